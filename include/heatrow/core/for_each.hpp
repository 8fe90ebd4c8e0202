// Work on many things of a kind, which the caller may spread over threads.
#pragma once

#include <cstddef>
#include <functional>

namespace heatrow {

// Calls work(i) for i in [0, count), each once, in any order and on any thread; `work` writes to its own place only.
using ForEach = std::function<void(std::size_t count, const std::function<void(std::size_t)>& work)>;
inline void one_after_the_other(std::size_t count, const std::function<void(std::size_t)>& work) {
    for (std::size_t i = 0; i < count; ++i) {
        work(i);
    }
}

}  // namespace heatrow
