// A result file that is there wholly or not at all.
#pragma once

#include <filesystem>
#include <string_view>

namespace heatrow {

// Throws Error(output) if the path exists and `overwrite` is false, or if it is no ordinary file. Lets a command refuse
// before its work rather than after.
void require_free_file(const std::filesystem::path& path, bool overwrite);

// Writes the file under another name beside it, makes it durable and renames it. Until then an earlier one stays as it
// was. Throws Error(output) as require_free_file does, or if it cannot be written; nothing is left behind then.
void publish_file(const std::filesystem::path& path, std::string_view content, bool overwrite);

}  // namespace heatrow
