#include "visible_cover.hpp"

#include "cell_spread.hpp"
#include "evidence_text.hpp"
#include "heatrow/core/median.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

bool differs(const Profile& profile, double levels, double scatter) {
    return levels >= profile.visible_levels.value && levels >= profile.visible_sigma.value * scatter;
}

// The look that may speak for the module.
const VisibleLook* look_of(const ModuleState& module) {
    constexpr int kFewestPictures = 2;
    return module.input->visible && module.input->visible->pictures >= kFewestPictures ? &*module.input->visible
                                                                                       : nullptr;
}

std::string pictures_words(const VisibleLook& look) {
    return "in visible light (" + look.frame + " and " + std::to_string(look.pictures - 1) + " more)";
}

}  // namespace

bool VisibleCover::has(int cell) const {
    return std::binary_search(cells.begin(), cells.end(), cell);
}

bool VisibleCover::touches(const ModuleType& type, int cell) const {
    const auto around = cells_around(type, cell);
    return has(cell) || std::any_of(around.begin(), around.end(), [this](int other) { return has(other); });
}

std::optional<VisibleCover> visible_cover(const Profile& profile, const ModuleState& module) {
    const VisibleLook* look = look_of(module);
    if (look == nullptr) {
        return std::nullopt;
    }
    const auto cells_by = [&](double sign) {
        VisibleCover cover;
        cover.is_darker = sign < 0.0;
        std::vector<double> levels;
        for (std::size_t cell = 0; cell < look->brighter.size(); ++cell) {
            if (differs(profile, sign * look->brighter[cell], look->scatter)) {
                cover.cells.push_back(static_cast<int>(cell));
                levels.push_back(sign * look->brighter[cell]);
            }
        }
        cover.levels = median_of(std::move(levels));
        return cover;
    };
    const VisibleCover brighter = cells_by(1.0);
    const VisibleCover darker = cells_by(-1.0);
    const VisibleCover& more = darker.cells.size() > brighter.cells.size() ? darker : brighter;
    return more.cells.empty() ? std::nullopt : std::optional(more);
}

bool is_brighter_front(const Profile& profile, const ModuleState& module) {
    const VisibleLook* look = look_of(module);
    return look != nullptr && differs(profile, look->front_brighter, look->front_scatter);
}

std::string cover_words(const ModuleState& module, const VisibleCover& cover) {
    const VisibleLook& look = *module.input->visible;
    return pictures_words(look) + " " + count_words(static_cast<int>(cover.cells.size()), "cell") + " there " +
           (cover.cells.size() == 1 ? "is " : "are ") + (cover.is_darker ? "darker" : "brighter") +
           " than the same cells of " + count_words(look.others, "module") + ", by " + number_words(cover.levels, 0) +
           " of 255 levels";
}

std::string front_words(const ModuleState& module) {
    const VisibleLook& look = *module.input->visible;
    return pictures_words(look) + " its front is brighter than those of " + count_words(look.others, "module") +
           ", by " + number_words(look.front_brighter, 0) + " of 255 levels";
}

}  // namespace heatrow
