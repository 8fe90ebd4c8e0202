#include "heatrow/pipeline/interrupt.hpp"

#include "heatrow/core/error.hpp"

#include <atomic>

namespace heatrow {
namespace {

std::atomic<bool> interrupt_requested{false};
static_assert(std::atomic<bool>::is_always_lock_free);

}  // namespace

void request_interrupt() noexcept {
    interrupt_requested.store(true, std::memory_order_relaxed);
}

void stop_if_interrupted() {
    if (interrupt_requested.load(std::memory_order_relaxed)) {
        throw Interrupted();
    }
}

}  // namespace heatrow
