// A result folder that is there wholly or not at all.
#pragma once

#include "heatrow/core/for_each.hpp"

#include <filesystem>
#include <string_view>

namespace heatrow {

// Throws Error(output) if the path exists and `overwrite` is false, or if it exists and is not a result folder (a
// folder with a manifest.json, or an empty one). Lets a command refuse before its work rather than after.
void require_free_output(const std::filesystem::path& final_path, bool overwrite);

// Files are written into a folder of another name beside the final one; `publish` makes them durable and puts the
// folder in place by one rename. Until then an earlier result stays as it was; a run that fails leaves nothing.
// A run that is killed leaves `<name>.part-<pid>`, which may be deleted.
class OutputFolder {
  public:
    // Throws Error(output) as require_free_output does, or if it cannot be written beside the final path.
    OutputFolder(const std::filesystem::path& final_path, bool overwrite);
    ~OutputFolder();
    OutputFolder(const OutputFolder&) = delete;
    OutputFolder& operator=(const OutputFolder&) = delete;

    // Where to write.
    [[nodiscard]] const std::filesystem::path& path() const { return part_; }
    // Throws Error(output); the earlier result is then still in place. for_each: over files.
    void publish(const ForEach& for_each = one_after_the_other);

  private:
    std::filesystem::path final_;
    std::filesystem::path part_;
    bool overwrite_;
    bool published_ = false;
};

// Writes a file whole; throws Error(output) on any failure, the close included. The disk may still have to write it:
// OutputFolder::publish or `make_durable` wait for that.
void write_file(const std::filesystem::path& path, std::string_view content);

// Waits until a file, or the names in a folder, are on the disk; throws Error(output) where they do not get there.
void make_durable(const std::filesystem::path& path);

}  // namespace heatrow
