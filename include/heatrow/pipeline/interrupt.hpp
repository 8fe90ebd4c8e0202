// The user's wish to stop, set by a signal handler and looked at between frames.
#pragma once

namespace heatrow {

// Safe in a signal handler.
void request_interrupt() noexcept;

// Throws Interrupted once an interrupt was requested.
void stop_if_interrupted();

}  // namespace heatrow
