// The `grade` command: an analysis against the truth of its scene.
#pragma once

#include "figures.hpp"
#include "matching.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace scene {

// What is compared, read from a rendered folder and an analysis of it.
struct GradeInput {
    std::vector<FrameModule> outlines;
    std::vector<FrameModule> views;
    std::vector<Abnormality> faults;
    std::vector<Abnormality> findings;
    int modules = 0;           // of the layout
    int modules_assessed = 0;  // by modules.csv
};
GradeInput read_grade_input(const std::filesystem::path& rendered, const std::filesystem::path& analysis);

// One thing that went wrong, for the reader to look up.
struct GradeNote {
    std::string kind;  // "missed", "false", "pattern", "view"
    std::string text;
};

struct Grade {
    std::vector<Figure> figures;
    std::vector<GradeNote> notes;
};
// All surveys pooled.
Grade grade(const std::vector<GradeInput>& surveys);

std::string to_text(const Grade& grade);
std::string to_json(const Grade& grade);

}  // namespace scene
