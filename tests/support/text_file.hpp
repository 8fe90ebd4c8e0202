// The text of a file.
#pragma once

#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

namespace heatrow::testing {

inline std::string text_of(const std::filesystem::path& file) {
    std::ifstream in(file, std::ios::binary);
    std::ostringstream text;
    text << in.rdbuf();
    return text.str();
}

}  // namespace heatrow::testing
