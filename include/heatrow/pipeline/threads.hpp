// Threads for work that other rooms spread out.
#pragma once

#include "heatrow/core/for_each.hpp"

namespace heatrow {

// On up to `threads` threads (0 = all cores); ends with Interrupted between two items when the user asked for it.
ForEach on_threads(int threads);

}  // namespace heatrow
