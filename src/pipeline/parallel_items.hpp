// Work on many items (frames, modules) in parallel, results in their order.
#pragma once

#include "heatrow/pipeline/progress.hpp"

#include <cstddef>
#include <functional>
#include <string_view>

namespace heatrow {

// Calls work(i) for i in [0, count), each once, on up to `threads` threads (0 = all cores). `work` writes only to the
// i-th place of its result, so that nothing depends on the order. Reports progress under `stage`; stops with
// Interrupted between two items when the user asked for it. The first exception of `work` ends the loop and is thrown
// again.
void for_each_item(std::size_t count,
                   int threads,
                   std::string_view stage,
                   const Progress& progress,
                   const std::function<void(std::size_t)>& work);

}  // namespace heatrow
