#include "parallel_items.hpp"

#include "heatrow/pipeline/interrupt.hpp"
#include "heatrow/pipeline/threads.hpp"

#include <oneapi/tbb/parallel_for.h>
#include <oneapi/tbb/task_arena.h>

#include <atomic>
#include <mutex>

namespace heatrow {

void for_each_item(std::size_t count,
                   int threads,
                   std::string_view stage,
                   const Progress& progress,
                   const std::function<void(std::size_t)>& work) {
    std::mutex reporting;
    std::size_t done = 0;
    const auto one = [&](std::size_t i) {
        stop_if_interrupted();
        work(i);
        if (progress) {
            const std::lock_guard lock(reporting);
            progress(stage, ++done, count);
        }
    };
    // Items are begun in their order: threads look at neighbours, and the last items are not one thread's alone.
    std::atomic<std::size_t> next = 0;
    const auto take_turns = [&](int) {
        try {
            for (std::size_t i = next++; i < count; i = next++) {
                one(i);
            }
        } catch (...) {
            next = count;  // ends the other threads' turns
            throw;
        }
    };
    oneapi::tbb::task_arena arena(threads > 0 ? threads : oneapi::tbb::task_arena::automatic);
    arena.execute(
        [&] { oneapi::tbb::parallel_for(0, arena.max_concurrency(), take_turns, oneapi::tbb::simple_partitioner{}); });
}

ForEach on_threads(int threads) {
    return [threads](std::size_t count, const std::function<void(std::size_t)>& work) {
        for_each_item(count, threads, "", {}, work);
    };
}

}  // namespace heatrow
