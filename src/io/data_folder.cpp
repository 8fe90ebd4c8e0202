#include "heatrow/io/data_folder.hpp"

#include "heatrow/core/error.hpp"

#include <fmt/format.h>

#include <cstdlib>
#include <string>

namespace heatrow {
namespace {

namespace fs = std::filesystem;

// The program's own file, to find what was installed beside it wherever the installation was moved.
std::optional<fs::path> program_file() {
    std::error_code failed;
    fs::path program = fs::read_symlink("/proc/self/exe", failed);
    return failed ? std::nullopt : std::optional(std::move(program));
}

}  // namespace

std::vector<fs::path> data_folders() {
    std::vector<fs::path> candidates;
    if (const char* stated = std::getenv("HEATROW_DATA"); stated != nullptr && *stated != '\0') {
        candidates.emplace_back(stated);
    }
    if (const auto program = program_file()) {
        candidates.push_back(program->parent_path().parent_path() / HEATROW_DATA_DIR);
    }
    candidates.emplace_back(HEATROW_SOURCE_DATA_DIR);

    std::vector<fs::path> folders;
    for (const fs::path& candidate : candidates) {
        std::error_code ignored;  // what cannot be looked into holds nothing
        if (fs::is_directory(candidate / "profiles", ignored) ||
            fs::is_directory(candidate / "module-types", ignored)) {
            folders.push_back(candidate);
        }
    }
    return folders;
}

fs::path find_profile(std::string_view id, const fs::path& survey_folder) {
    std::vector<fs::path> folders;
    if (!survey_folder.empty()) {
        folders.push_back(survey_folder);
    }
    for (const fs::path& folder : data_folders()) {
        folders.push_back(folder / "profiles");
    }
    std::string searched;
    const bool is_name = !id.empty() && id.find_first_of("/\\") == std::string_view::npos && id != "." && id != "..";
    for (const fs::path& folder : folders) {
        fs::path file = folder / fmt::format("{}.toml", id);
        if (is_name && fs::is_regular_file(file)) {
            return file;
        }
        searched += (searched.empty() ? "" : ", ") + folder.string();
    }
    throw Error(ErrorKind::usage,
                "cannot find the profile",
                fmt::format("\"{}\"", id),
                searched.empty() ? "no data folder was found" : fmt::format("there is no {}.toml in {}", id, searched),
                "Check `profile` in survey.toml, or set HEATROW_DATA to the folder that holds `profiles`");
}

ModuleTypeCatalogue find_module_types(const std::optional<fs::path>& survey_module_types) {
    std::vector<fs::path> folders;
    if (survey_module_types) {
        if (!fs::is_directory(*survey_module_types)) {
            throw Error(ErrorKind::usage,
                        "cannot find the module types",
                        survey_module_types->string(),
                        "no such folder",
                        "Correct site.module_types in survey.toml or leave it out");
        }
        folders.push_back(*survey_module_types);
    }
    for (const fs::path& folder : data_folders()) {
        folders.push_back(folder / "module-types");
    }
    return ModuleTypeCatalogue(std::move(folders));
}

}  // namespace heatrow
