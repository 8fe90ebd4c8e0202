// SHA-256 as 64 lower-case hexadecimal digits.
#pragma once

#include <cstdint>
#include <filesystem>
#include <span>
#include <string>

namespace heatrow {

std::string sha256_of(std::span<const std::uint8_t> bytes);
// Throws Error(input) where the file cannot be read.
std::string sha256_of_file(const std::filesystem::path& file);

}  // namespace heatrow
