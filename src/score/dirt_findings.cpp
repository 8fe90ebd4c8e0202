// Hot cells side by side of which each takes a share of its own: what lies on the glass, or what throws a shadow.
#include "cell_spread.hpp"
#include "evidence_text.hpp"
#include "finding_parts.hpp"
#include "findings.hpp"
#include "quiet_cells.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace heatrow {
namespace {

bool is_hotter(const HotCell& a, const HotCell& b) {
    return a.rise_k != b.rise_k ? a.rise_k > b.rise_k : a.cell < b.cell;
}

// Those of the hot cells that touch the hottest one at sides or corners, over others of them, hottest first.
std::vector<HotCell> hottest_patch(const ModuleType& type, const std::vector<HotCell>& hot) {
    std::vector<HotCell> patch{hot.front()};
    std::vector<HotCell> left(hot.begin() + 1, hot.end());
    for (std::size_t i = 0; i < patch.size(); ++i) {
        const auto around = cells_around(type, patch[i].cell);
        const auto touching = std::stable_partition(left.begin(), left.end(), [&](const HotCell& other) {
            return std::find(around.begin(), around.end(), other.cell) == around.end();
        });
        patch.insert(patch.end(), touching, left.end());
        left.erase(touching, left.end());
    }
    std::sort(patch.begin(), patch.end(), is_hotter);
    return patch;
}

std::vector<int> substrings_of(const ModuleState& module, const std::vector<HotCell>& patch) {
    std::vector<int> substrings;
    for (const HotCell& hot : patch) {
        substrings.push_back(module.type->substring_of_cell[static_cast<std::size_t>(hot.cell)]);
    }
    std::sort(substrings.begin(), substrings.end());
    substrings.erase(std::unique(substrings.begin(), substrings.end()), substrings.end());
    return substrings;
}

// Substrings with a cell in the patch, and warm ones with a cell beside it that is above its branch's quiet ones: the
// edge of what lies on the glass takes enough of its light to have it bypassed.
std::vector<int> substrings_beside(const ModuleState& module,
                                   const QuietLevels& levels,
                                   const std::vector<HotCell>& patch) {
    std::vector<int> substrings = substrings_of(module, patch);
    for (const HotCell& hot : patch) {
        for (const int cell : cells_around(*module.type, hot.cell)) {
            const auto c = static_cast<std::size_t>(cell);
            const int substring = module.type->substring_of_cell[c];
            if (module.is_warm(substring) && levels.rise_k[c] > 0.0 &&
                std::find(substrings.begin(), substrings.end(), substring) == substrings.end()) {
                substrings.push_back(substring);
            }
        }
    }
    std::sort(substrings.begin(), substrings.end());
    return substrings;
}

// Cells of even branches that are hotter than their quiet ones by what makes a candidate and by more than `blur_share`
// of what is around, hottest first.
std::vector<HotCell> hot_in_even_branches(const ScoreInput& input,
                                          const SurveyState& state,
                                          const ModuleState& module,
                                          const QuietLevels& levels,
                                          double blur_share) {
    std::vector<HotCell> hot;
    for (int cell = 0; cell < module.type->cell_count(); ++cell) {
        const auto c = static_cast<std::size_t>(cell);
        const double rise = levels.rise_k[c];
        if (!(rise >= input.profile.candidate_cell_k.value) ||
            levels.is_even[static_cast<std::size_t>(levels.branch[c])] == 0) {
            continue;
        }
        double around_k = 0.0;
        for (const int other : cells_around(*module.type, cell)) {
            around_k = std::fmax(around_k, levels.rise_k[static_cast<std::size_t>(other)]);
        }
        const double u = cell_u_k(state, module, cell);
        if (rise >= input.profile.candidate_sigma.value * u && rise > blur_share * around_k) {
            hot.push_back({cell, rise, u, measured_cell_u_k(state, module, cell)});
        }
    }
    std::sort(hot.begin(), hot.end(), is_hotter);
    return hot;
}

// A weak cell holds back those in series with it, which warm by what lost export warms them: no sign of dirt on them.
void drop_held_back(const ScoreInput& input,
                    const ModuleState& module,
                    const QuietLevels& levels,
                    std::vector<HotCell>& patch) {
    const double most = full_export_rise_k(input, module);
    const auto branch_of = [&](const HotCell& hot) { return levels.branch[static_cast<std::size_t>(hot.cell)]; };
    const std::vector<HotCell> all = patch;
    std::erase_if(patch, [&](const HotCell& held) {
        return held.rise_k <= most && std::any_of(all.begin(), all.end(), [&](const HotCell& cause) {
                   return cause.rise_k > most && branch_of(cause) == branch_of(held);
               });
    });
}

// The hot cells where pictures in visible light show something, however many these are.
std::optional<DirtPatch> patch_seen(const Profile& profile,
                                    const ModuleState& module,
                                    const std::vector<HotCell>& hot) {
    DirtPatch patch;
    patch.seen = visible_cover(profile, module);
    if (!patch.seen ||
        std::none_of(hot.begin(), hot.end(), [&](const HotCell& h) { return patch.seen->has(h.cell); })) {
        return std::nullopt;
    }
    std::copy_if(hot.begin(), hot.end(), std::back_inserter(patch.cells), [&](const HotCell& h) {
        return patch.seen->touches(*module.type, h.cell);
    });
    patch.substrings = substrings_of(module, patch.cells);
    return patch;
}

Pattern cause_of(const DirtPatch& dirt) {
    if (!dirt.seen) {
        return Pattern::external_cause_possible;
    }
    return dirt.seen->is_darker ? Pattern::shading : Pattern::soiling;
}

}  // namespace

std::optional<DirtPatch> dirt_patch(const ScoreInput& input, const SurveyState& state, const ModuleState& module) {
    // What blur may have made links the patch; what counts shows more than blur makes.
    constexpr double kBlurOfLinks = 0.8;  // of the profile's share
    const double blur = input.profile.neighbour_blur_share.value;
    if (auto seen = patch_seen(input.profile, module, cells_beyond_blur(input, state, module, kBlurOfLinks * blur))) {
        return seen;
    }
    const QuietLevels levels = quiet_levels(input, state, module);
    const auto linked = hot_in_even_branches(input, state, module, levels, kBlurOfLinks * blur);
    const auto hot = hot_in_even_branches(input, state, module, levels, blur);
    if (hot.empty()) {
        return std::nullopt;
    }
    const auto joined = hottest_patch(*module.type, linked);
    const auto has = [](const std::vector<HotCell>& cells, const HotCell& one) {
        return std::any_of(cells.begin(), cells.end(), [&](const HotCell& other) { return other.cell == one.cell; });
    };
    auto patch = joined;
    std::erase_if(patch, [&](const HotCell& member) { return !has(hot, member); });
    drop_held_back(input, module, levels, patch);
    if (static_cast<double>(patch.size()) < input.profile.dirt_cells_from.value) {
        return std::nullopt;
    }
    // Cells with faults of their own lie anywhere; several that are alike count as one patch if they are all there are.
    const bool is_unequal = patch.front().rise_k >= input.profile.dirt_unequal_ratio.value * patch.back().rise_k;
    const bool is_alone = std::all_of(hot.begin(), hot.end(), [&](const HotCell& other) { return has(joined, other); });
    if (!is_unequal && (!is_alone || hot_box(input, state, module))) {
        return std::nullopt;
    }
    return DirtPatch{patch, substrings_beside(module, levels, joined), std::nullopt};
}

void add_dirt_finding(const ScoreInput& input,
                      const ModuleState& module,
                      const DirtPatch& dirt,
                      std::vector<Finding>& findings) {
    Finding finding = begin_finding(input, module, cause_of(dirt));
    const auto above_healthy = [&](const HotCell& hot) {
        return module.difference_k[static_cast<std::size_t>(hot.cell)] - module.base_k;
    };
    double hottest = -HUGE_VAL;
    double coolest = HUGE_VAL;
    double u = 0.0;
    for (const HotCell& hot : dirt.cells) {
        finding.cells.push_back(module.type->cell_at(hot.cell));
        u = above_healthy(hot) > hottest ? hot.measured_u_k : u;
        hottest = std::max(hottest, above_healthy(hot));
        coolest = std::min(coolest, above_healthy(hot));
    }
    std::sort(finding.cells.begin(), finding.cells.end(), [&](const CellIndex& a, const CellIndex& b) {
        return module.type->cell_number(a) < module.type->cell_number(b);
    });
    finding.delta_t = with_cell_terms(input, module, hottest, u);
    finding.t_reference = Celsius(module.base_c());
    finding.t_hot = finding.t_reference + finding.delta_t.value;
    finding.reference = "median of " + count_words(module.base_cells, "healthy cell") + " of the same module";
    // That faults of their own sit side by side by chance, or just below what pictures show, is left open.
    constexpr double kOnePatch = 0.9;
    finding.pattern_probability = kOnePatch;
    if (finding.pattern == Pattern::shading) {
        set_shading_outcome(kOnePatch, finding);
    } else {
        scale_and_classify(input, finding);
    }
    finding.pattern_second = dirt.cells.size() >= 3 ? Pattern::multiple_hot_cells : Pattern::substring_bypassed_by_cell;
    if (dirt.seen) {
        finding.pattern_second = dirt.cells.size() == 1 ? Pattern::hot_cell : Pattern::multiple_hot_cells;
    }
    finding.evidence = dirt.cells.size() == 1
                           ? "Cell " + to_string(finding.cells.front())
                           : count_words(static_cast<int>(dirt.cells.size()), "cell") + " in one patch are " +
                                 number_words(coolest, 1) + " to " + number_words(hottest, 1) + " K above the " +
                                 finding.reference +
                                 ", each by its own share, as where something on the glass takes their light; "
                                 "the hottest";
    finding.evidence +=
        (dirt.cells.size() == 1 ? " is " + difference_words(finding.delta_t) + " above the " + finding.reference
                                : " by " + difference_words(finding.delta_t)) +
        scaled_words(finding);
    std::string bypassed;
    for (const int substring : dirt.substrings) {
        if (module.is_warm(substring)) {
            bypassed += (bypassed.empty() ? "" : " and ") + std::to_string(substring);
        }
    }
    if (!bypassed.empty()) {
        finding.evidence += "; substring " + bypassed + " is bypassed for it";
    }
    finding.evidence +=
        dirt.seen ? "; " + cover_words(module, *dirt.seen) +
                        (dirt.seen->is_darker
                             ? ": shade, or something dark on the glass"
                             : ": look at the front, dirt, droppings or leaves; a fault below is not ruled out")
                  : std::string("; look at the front, dirt, droppings, shade and broken glass are open");
    finding.evidence += "; " + count_words(static_cast<int>(finding.frames.size()), "frame") + ".";
    findings.push_back(std::move(finding));
}

}  // namespace heatrow
