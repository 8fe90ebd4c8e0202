// What patterns were called over many small scenes: the page of tests/scenes/patterns.
#pragma once

#include "class_rules.hpp"
#include "grade_input.hpp"

#include <string>
#include <vector>

namespace scene {

// Markdown: all surveys pooled, then each scene; macro-F1, false and second findings, and the confusion of patterns.
// Then how sure the results say they are, against the truth, over all; the class only with rules. With `notes`: every
// case that was missed or called otherwise, and every false finding, a line each.
std::string patterns_page(const std::vector<GradeInput>& surveys, const ClassRules& rules, bool notes);

}  // namespace scene
