// A first survey.toml for a folder: what can be told from its files is filled in, what only people know is demanded.
#pragma once

#include "inspect_frames.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace heatrow::cli {

// What a folder holds, names relative to it; empty where nothing of the kind was found.
struct SurveyFolder {
    std::filesystem::path folder;
    std::string frames;   // folder of the frames; "." for the folder itself
    std::string pattern;  // of their names
    std::vector<std::filesystem::path> frame_files;
    std::string layout;
    std::string poses;
    std::string corner_points;
    std::string conditions;
};

// Looks for the frames in `frames`, in the folder itself, then in its subfolders; the commonest kind of file is taken.
// Throws Error(input) where there is no frame.
SurveyFolder look_into_survey_folder(const std::filesystem::path& folder);

// The text of the draft. Lines that must be filled in begin with "# FILL IN"; until then `analyse` names the key that
// is missing.
std::string draft_settings(const SurveyFolder& found, const std::vector<InspectedFrame>& frames);

}  // namespace heatrow::cli
