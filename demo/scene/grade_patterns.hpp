// What patterns were called over many small scenes: the page of tests/scenes/patterns.
#pragma once

#include "grade_input.hpp"

#include <string>
#include <vector>

namespace scene {

// Markdown: all surveys pooled, then each scene; macro-F1, false and second findings, and the confusion of patterns.
// With `notes`: every case that was missed or called otherwise, and every false finding, a line each.
std::string patterns_page(const std::vector<GradeInput>& surveys, bool notes);

}  // namespace scene
