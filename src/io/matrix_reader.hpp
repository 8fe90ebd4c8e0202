// A matrix of temperatures as text, as handheld cameras' general exports write it: optional lines of words above, then
// rows of numbers separated by comma, semicolon or tab, with decimal point or comma.
#pragma once

#include "heatrow/io/frame_reader.hpp"

#include <tl/expected.hpp>

#include <cstdint>
#include <span>
#include <string>

namespace heatrow::detail {

// Printable at its beginning: worth a try as a matrix.
bool looks_like_text(std::span<const std::uint8_t> bytes);

// Empty cells and "NaN" become NaN. unreadable: rows of unequal length, words among the numbers, fewer than 2 x 2.
tl::expected<FrameCounts, Rejection> read_matrix(std::span<const std::uint8_t> bytes, const std::string& name);

}  // namespace heatrow::detail
