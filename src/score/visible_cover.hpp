// What partner frames in visible light say of a module: what lies on its glass, or shades it.
#pragma once

#include "survey_state.hpp"

#include <optional>
#include <string>
#include <vector>

namespace heatrow {

// Cells that look unlike the same cells of the modules beside theirs.
struct VisibleCover {
    std::vector<int> cells;  // ascending
    bool is_darker = false;  // as in shade; else brighter, as under dirt
    double levels = 0.0;     // median by which they differ, of 255

    [[nodiscard]] bool has(int cell) const;
    // The cell, or one of the up to eight around it: what covers a sliver of a cell hardly shows in its mean.
    [[nodiscard]] bool touches(const ModuleType& type, int cell) const;
};

// Nothing without two pictures from different places, since one cannot tell dirt from what is mirrored, or where no
// cell differs by `visible_sigma` standard deviations and `visible_levels`.
std::optional<VisibleCover> visible_cover(const Profile& profile, const ModuleState& module);

// The whole front is brighter than those beside it, by the same measure.
bool is_brighter_front(const Profile& profile, const ModuleState& module);

// "in visible light (IR_0008.jpg and 2 more) 3 cells there are brighter than the same cells of 40 modules, by 62 of 255
// levels"
std::string cover_words(const ModuleState& module, const VisibleCover& cover);
std::string front_words(const ModuleState& module);

}  // namespace heatrow
