// A folder that appears whole or not at all, and files in it.
#pragma once

#include <filesystem>
#include <string>

namespace scene {

// Stands beside the folders of the seasons of one site.
constexpr const char* kSeasonList = "seasons.csv";

// Everything is written into `path()`, a folder beside the target; `publish` gives it the target's name. Without
// `publish` it is removed again.
class OutputFolder {
  public:
    // Refuses an existing target unless `overwrite`.
    OutputFolder(std::filesystem::path target, bool overwrite);
    ~OutputFolder();
    OutputFolder(const OutputFolder&) = delete;
    OutputFolder& operator=(const OutputFolder&) = delete;

    [[nodiscard]] const std::filesystem::path& path() const { return aside_; }
    void publish();

  private:
    std::filesystem::path target_;
    std::filesystem::path aside_;
    bool published_ = false;
};

// Writes a text file; a failure is an Error.
void write_text(const std::filesystem::path& file, const std::string& text);

}  // namespace scene
