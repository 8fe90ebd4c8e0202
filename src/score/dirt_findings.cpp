// Hot cells side by side of which each takes a share of its own: what lies on the glass, or what throws a shadow.
#include "cell_spread.hpp"
#include "evidence_text.hpp"
#include "finding_parts.hpp"
#include "findings.hpp"
#include "heatrow/core/median.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

namespace heatrow {
namespace {

// The largest group of hot cells that touch at sides or corners, hottest first.
std::vector<HotCell> largest_patch(const ModuleType& type, const std::vector<HotCell>& hot) {
    std::vector<HotCell> largest;
    std::vector<char> seen(hot.size(), 0);
    for (std::size_t start = 0; start < hot.size(); ++start) {
        if (seen[start] != 0) {
            continue;
        }
        std::vector<std::size_t> patch{start};
        seen[start] = 1;
        for (std::size_t i = 0; i < patch.size(); ++i) {
            const auto around = cells_around(type, hot[patch[i]].cell);
            for (std::size_t other = 0; other < hot.size(); ++other) {
                if (seen[other] == 0 && std::find(around.begin(), around.end(), hot[other].cell) != around.end()) {
                    seen[other] = 1;
                    patch.push_back(other);
                }
            }
        }
        if (patch.size() > largest.size()) {
            std::sort(patch.begin(), patch.end());
            largest.clear();
            for (const std::size_t i : patch) {
                largest.push_back(hot[i]);
            }
        }
    }
    return largest;
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

// The cell's branch, but for the patch and what lies around it, has cells alike: else the cell is part of a patchwork.
bool rest_of_branch_is_even(const ScoreInput& input,
                            const SurveyState& state,
                            const ModuleState& module,
                            const std::vector<HotCell>& patch,
                            int cell) {
    const int substring = module.type->substring_of_cell[static_cast<std::size_t>(cell)];
    for (auto branch : module.type->branches_of_substring(substring)) {
        if (std::find(branch.begin(), branch.end(), cell) == branch.end()) {
            continue;
        }
        for (const HotCell& hot : patch) {
            const auto around = cells_around(*module.type, hot.cell);
            std::erase_if(branch, [&](int other) {
                return other == hot.cell || std::find(around.begin(), around.end(), other) != around.end();
            });
        }
        std::vector<double> rest;
        for (const int other : branch) {
            rest.push_back(module.difference_k[static_cast<std::size_t>(other)]);
        }
        const auto cells = static_cast<int>(rest.size());
        return cells < 3 || even_probability(input, state, module, robust_sigma(std::move(rest)), cells) > 0.5;
    }
    return true;
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
    // What blur may have made links the patch; what counts shows more than blur makes, in a branch that is no
    // patchwork.
    constexpr double kBlurOfLinks = 0.8;  // of the profile's share
    const double blur = input.profile.neighbour_blur_share.value;
    const auto beyond_blur = cells_beyond_blur(input, state, module, kBlurOfLinks * blur);
    if (auto seen = patch_seen(input.profile, module, beyond_blur)) {
        return seen;
    }
    auto patch = largest_patch(*module.type, beyond_blur);
    const auto hot = hot_cells(input, state, module);
    const auto linked = patch;
    std::erase_if(patch, [&](const HotCell& member) {
        return std::none_of(hot.begin(), hot.end(), [&](const HotCell& other) { return other.cell == member.cell; });
    });
    // A short stays within its substring; so does what a weak cell makes of its twin.
    if (patch.size() < 3 || substrings_of(module, patch).size() < 2) {
        std::erase_if(patch, [&](const HotCell& member) {
            return !rest_of_branch_is_even(input, state, module, linked, member.cell);
        });
    }
    if (static_cast<double>(patch.size()) < input.profile.dirt_cells_from.value ||
        patch.front().rise_k < input.profile.dirt_unequal_ratio.value * patch.back().rise_k) {
        return std::nullopt;
    }
    DirtPatch dirt;
    dirt.cells = patch;
    dirt.substrings = substrings_of(module, patch);
    return dirt;
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
