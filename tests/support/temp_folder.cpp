#include "temp_folder.hpp"

#include <cstdlib>
#include <fstream>
#include <stdexcept>
#include <string>

namespace heatrow::testing {

TempFolder::TempFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "heatrow-test-XXXXXX").string();
    if (mkdtemp(name.data()) == nullptr) {
        throw std::runtime_error("no temporary folder can be made at " + name);
    }
    path_ = name;
}

TempFolder::~TempFolder() {
    std::error_code ignored;  // a leftover in the temporary folder fails no test
    std::filesystem::remove_all(path_, ignored);
}

std::filesystem::path TempFolder::write(std::string_view name, std::string_view content) const {
    const auto file = path_ / name;
    std::filesystem::create_directories(file.parent_path());
    std::ofstream stream(file, std::ios::binary);
    stream.write(content.data(), static_cast<std::streamsize>(content.size()));
    if (!stream.flush()) {
        throw std::runtime_error("cannot write " + file.string());
    }
    return file;
}

}  // namespace heatrow::testing
