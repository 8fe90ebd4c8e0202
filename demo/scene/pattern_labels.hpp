// How the names of patterns relate when results are graded.
#pragma once

#include <string>

namespace scene {

enum class Level { cell, substring, module, string };
// What a pattern lies on; a name that is no pattern is an Error.
Level level_of(const std::string& pattern);
const char* name_of(Level level);

enum class LabelVerdict {
    right,
    merged,  // the name that stands for this pattern where the evidence does not decide between several
    wrong,
};
// Is `called` a right name for `truth`, with `short_side_px` pixels across the cell's short side?
// Merged names: docs/patterns.md.
LabelVerdict judge_label(const std::string& truth, const std::string& called, double short_side_px);

}  // namespace scene
