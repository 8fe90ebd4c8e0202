// Slot records and alignments as bytes, for the file that keeps them (docs/formats/slot-records.md). Every figure comes
// back to the last bit.
#pragma once

#include "frame_pass.hpp"

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

namespace heatrow {

// All that pixels said of a frame, or why it was rejected: what is not in here, a run from kept records lacks.
std::vector<std::uint8_t> encode_outcome(const FrameOutcome& outcome);
// False where the bytes are not of this form; `outcome` is then not to be used. Leaves alone what encode_outcome does
// not hold.
bool decode_outcome(std::span<const std::uint8_t> bytes, FrameOutcome& outcome);

std::vector<std::uint8_t> encode_alignment(const FlightAlignment& alignment);
std::optional<FlightAlignment> decode_alignment(std::span<const std::uint8_t> bytes);

}  // namespace heatrow
