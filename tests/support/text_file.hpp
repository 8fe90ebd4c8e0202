// Files of text.
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

// Makes the folder too.
inline void write_text(const std::filesystem::path& file, const std::string& text) {
    std::filesystem::create_directories(file.parent_path());
    std::ofstream(file, std::ios::binary) << text;
}

}  // namespace heatrow::testing
