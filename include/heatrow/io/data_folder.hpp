// Where profiles and module types lie: HEATROW_DATA, the installed share/heatrow beside the program, the source tree.
#pragma once

#include "heatrow/io/module_type_reader.hpp"

#include <filesystem>
#include <optional>
#include <string_view>
#include <vector>

namespace heatrow {

// Folders that exist and hold `profiles` or `module-types`, best first.
std::vector<std::filesystem::path> data_folders();

// `<id>.toml` in the survey folder, else in `profiles` of a data folder. An empty `survey_folder` is not looked in.
// Throws Error(usage) naming the folders that were searched.
std::filesystem::path find_profile(std::string_view id, const std::filesystem::path& survey_folder);

// The survey's own types first, then the installed ones.
ModuleTypeCatalogue find_module_types(const std::optional<std::filesystem::path>& survey_module_types);

}  // namespace heatrow
