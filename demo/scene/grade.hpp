// The `grade` command: analyses against the truth of their scenes.
#pragma once

#include "figures.hpp"
#include "grade_input.hpp"
#include "grade_table.hpp"
#include "grade_targets.hpp"

#include <string>
#include <vector>

namespace scene {

// One thing that went wrong, for the reader to look up.
struct GradeNote {
    std::string kind;  // "refused", "missed", "false", "pattern", "view"
    std::string text;
};

struct Grade {
    std::vector<Figure> figures;  // by stable names, for programs
    std::vector<GradeTable> tables;
    std::vector<GradeNote> notes;
};
// All surveys pooled.
Grade grade(const std::vector<GradeInput>& surveys, const ClassRules& rules = {});

std::string to_text(const Grade& grade);
std::string to_json(const Grade& grade);
std::string to_markdown(const Grade& grade);

// A page for docs/accuracy.md: a line a scene, the targets over all scenes of medium conditions, a section a scene.
std::string accuracy_page(const std::vector<GradeInput>& surveys, const ClassRules& rules);

}  // namespace scene
