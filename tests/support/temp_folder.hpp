// A folder for the files of one test, gone at its end.
#pragma once

#include <filesystem>
#include <string_view>

namespace heatrow::testing {

class TempFolder {
  public:
    TempFolder();
    ~TempFolder();
    TempFolder(const TempFolder&) = delete;
    TempFolder& operator=(const TempFolder&) = delete;

    [[nodiscard]] const std::filesystem::path& path() const { return path_; }
    // Writes a file, its folders included, and returns its path.
    std::filesystem::path write(std::string_view name, std::string_view content) const;

  private:
    std::filesystem::path path_;
};

}  // namespace heatrow::testing
