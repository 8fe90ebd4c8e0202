// Whole reads and writes at a place of an open file.
#pragma once

#include <cstdint>
#include <span>

namespace heatrow::detail {

// False where the file ends before, or cannot be read.
bool read_at(int descriptor, std::uint64_t offset, std::span<std::uint8_t> out);
// 0, or the error (errno).
int write_at(int descriptor, std::uint64_t offset, std::span<const std::uint8_t> bytes);

}  // namespace heatrow::detail
