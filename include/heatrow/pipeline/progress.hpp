// How far a run has come; the library reports it, the program draws it.
#pragma once

#include <cstddef>
#include <functional>
#include <string_view>

namespace heatrow {

// stage: what is being done, in words; done of total items. Called from several threads, one call at a time.
using Progress = std::function<void(std::string_view stage, std::size_t done, std::size_t total)>;

}  // namespace heatrow
