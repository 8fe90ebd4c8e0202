#include "cell_shape.hpp"
#include "evidence_text.hpp"
#include "finding_parts.hpp"
#include "findings.hpp"
#include "heatrow/score/scaling.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

// What a cell's difference is taken against: its substring's level where that is warm, else the module's healthy cells.
double cell_base_k(const ModuleState& module, int cell) {
    const int substring = module.type->substring_of_cell[static_cast<std::size_t>(cell)];
    return module.is_warm(substring) ? module.substring_k[static_cast<std::size_t>(substring - 1)] : module.base_k;
}

double cell_rise_k(const ModuleState& module, int cell) {
    return module.difference_k[static_cast<std::size_t>(cell)] - cell_base_k(module, cell);
}

// Largest rise among the up to eight cells around.
double hottest_around_k(const ModuleState& module, int cell) {
    const auto at = module.type->cell_at(cell);
    double hottest = -HUGE_VAL;
    for (int row = std::max(0, at.row - 1); row <= std::min(module.type->rows - 1, at.row + 1); ++row) {
        for (int column = std::max(0, at.column - 1); column <= std::min(module.type->columns - 1, at.column + 1);
             ++column) {
            const int other = module.type->cell_number({row, column});
            if (other != cell) {
                hottest = std::fmax(hottest, cell_rise_k(module, other));
            }
        }
    }
    return hottest;
}

// The level of the cell's own substring against the module's healthy cells.
double substring_rise_k(const ModuleState& module, int cell) {
    const int substring = module.type->substring_of_cell[static_cast<std::size_t>(cell)];
    return module.substring_k[static_cast<std::size_t>(substring - 1)] - module.base_k;
}

double temperature_c(const ModuleState& module, int cell) {
    return module.input->fused.cells[static_cast<std::size_t>(cell)].temperature.value.value();
}

// That the cell is warmer than a candidate must be, and its substring is not: else it would be the substring's finding.
double whole_cell_probability(const ScoreInput& input,
                              const SurveyState& state,
                              const ModuleState& module,
                              const HotCell& hot) {
    const double cell = normal_cdf((hot.rise_k - input.profile.candidate_cell_k.value) / hot.u_k);
    const double substring =
        normal_cdf((input.profile.candidate_substring_k.value - substring_rise_k(module, hot.cell)) /
                   substring_u_k(state, module));
    return cell * substring;
}

std::string next_hottest_words(const ModuleState& module, const std::vector<HotCell>& reported) {
    double next = kNaN;
    for (int cell = 0; cell < module.type->cell_count(); ++cell) {
        const bool is_reported =
            std::any_of(reported.begin(), reported.end(), [&](const HotCell& h) { return h.cell == cell; });
        if (!is_reported) {
            next = std::fmax(next, cell_rise_k(module, cell));
        }
    }
    return number_words(next, 1) + " K";
}

// The cell's own difference; with `part`, what three pixels see of that part of it.
Finding begin_cell_finding(const ScoreInput& input,
                           const ModuleState& module,
                           Pattern pattern,
                           const HotCell& hot,
                           const CellShape* part = nullptr) {
    Finding finding = begin_finding(input, module, pattern);
    const double ratio = part != nullptr ? part->point_ratio : 1.0;
    const double ratio_u = part != nullptr ? part->point_ratio_u : 0.0;
    finding.delta_t = with_cell_terms(
        input, module, ratio * hot.rise_k, combine_independent(ratio * hot.measured_u_k, ratio_u * hot.rise_k));
    finding.t_reference = Celsius(temperature_c(module, hot.cell) - hot.rise_k);
    finding.t_hot = finding.t_reference + finding.delta_t.value;
    finding.reference = "median of " + count_words(module.base_cells, "healthy cell") + " of the same module";
    if (part != nullptr) {
        finding.flags.set(Flag::lower_bound);  // pixels even out what is smaller than they are
    }
    scale_and_classify(input, finding);
    return finding;
}

void add_single_cell(const ScoreInput& input,
                     const SurveyState& state,
                     const ModuleState& module,
                     const std::vector<HotCell>& all,
                     const HotCell& hot,
                     std::vector<Finding>& findings) {
    const CellLook* look = all.size() == 1 ? look_at(module, input.profile, hot.cell, hot.rise_k)
                                           : nullptr;  // two may blur into each other
    const CellShape shape = look != nullptr ? shape_of(*look) : CellShape{};
    const bool is_part =
        shape.pattern != Pattern::hot_cell && shape.probability >= input.profile.cause_named_from.value;
    Finding finding = is_part ? begin_cell_finding(input, module, shape.pattern, hot, &shape)
                              : begin_cell_finding(input, module, Pattern::hot_cell, hot);
    finding.cells = {module.type->cell_at(hot.cell)};
    const double whole = whole_cell_probability(input, state, module, hot);
    finding.pattern_probability = whole;
    finding.pattern_second = Pattern::substring_bypassed_by_cell;
    const bool is_undecided = shape.pattern != Pattern::hot_cell && !is_part;  // `hot_cell` stands for all
    if (is_part || (shape.pattern == Pattern::hot_cell && shape.probability < whole)) {
        finding.pattern_probability *= shape.probability;
        finding.pattern_second = shape.second;
    } else if (is_undecided) {
        finding.pattern_second = shape.pattern;
    }
    const std::string cell = to_string(finding.cells.front());
    finding.evidence = (is_part ? "What three pixels see of cell " + cell : "Cell " + cell) + " is " +
                       difference_words(finding.delta_t) + " above the " + finding.reference + scaled_words(finding) +
                       "; the hottest cell beside those reported is " + next_hottest_words(module, all) +
                       " and its substring " + number_words(substring_rise_k(module, hot.cell), 1) + " K above it; " +
                       (is_undecided ? "not clearly " : "") + (look != nullptr ? shape.words + "; " : "") +
                       count_words(static_cast<int>(finding.frames.size()), "frame") + ".";
    findings.push_back(std::move(finding));
}

void add_many_cells(const ScoreInput& input,
                    const SurveyState& state,
                    const ModuleState& module,
                    const std::vector<HotCell>& hot,
                    std::vector<Finding>& findings) {
    Finding finding = begin_cell_finding(input, module, Pattern::multiple_hot_cells, hot.front());
    std::vector<int> numbers;
    double none_false = 1.0;
    for (const auto& each : hot) {
        numbers.push_back(each.cell);
        none_false = std::min(none_false, whole_cell_probability(input, state, module, each));
    }
    std::sort(numbers.begin(), numbers.end());
    for (const int number : numbers) {
        finding.cells.push_back(module.type->cell_at(number));
    }
    finding.pattern_probability = none_false;
    finding.pattern_second = Pattern::patchwork_cause_open;
    finding.evidence =
        count_words(static_cast<int>(hot.size()), "cell") + " are " + number_words(hot.back().rise_k, 1) + " to " +
        number_words(hot.front().rise_k, 1) + " K above the " + finding.reference + "; the hottest, " +
        to_string(module.type->cell_at(hot.front().cell)) + ", by " + difference_words(finding.delta_t) +
        scaled_words(finding) + "; " + count_words(static_cast<int>(finding.frames.size()), "frame") + ".";
    findings.push_back(std::move(finding));
}

bool in_one_branch(const ModuleType& type, int cell, int other) {
    const int substring = type.substring_of_cell[static_cast<std::size_t>(cell)];
    const auto branches = type.branches_of_substring(substring);
    return std::any_of(branches.begin(), branches.end(), [&](const std::vector<int>& branch) {
        return std::find(branch.begin(), branch.end(), cell) != branch.end() &&
               std::find(branch.begin(), branch.end(), other) != branch.end();
    });
}

// A weak cell holds back the current of its substring (of a half-cut one: of its half); the cells in series with it
// export less than they could and warm by at most what all export lost would warm them. The current that its half does
// not carry goes through the other half, and drives the cell of it that can carry least into reverse. So much is the
// hot cell's doing and no finding of its own.
void drop_held_back(const ScoreInput& input, const ModuleState& module, std::vector<HotCell>& hot) {
    constexpr double kInOtherHalf =
        0.5;  // of the weak cell's rise, at most; own choice: hotter ones are faults themselves
    const double most = full_export_rise_k(input, module);
    const auto substring_of = [&](const HotCell& h) {
        return module.type->substring_of_cell[static_cast<std::size_t>(h.cell)];
    };
    const std::vector<HotCell> all = hot;
    std::erase_if(hot, [&](const HotCell& h) {
        return std::any_of(all.begin(), all.end(), [&](const HotCell& cause) {
            if (!(cause.rise_k > most) || substring_of(cause) != substring_of(h)) {
                return false;
            }
            return h.rise_k <= most ||
                   (h.rise_k < kInOtherHalf * cause.rise_k && !in_one_branch(*module.type, h.cell, cause.cell));
        });
    });
}

}  // namespace

std::vector<HotCell> hot_cells(const ScoreInput& input, const SurveyState& state, const ModuleState& module) {
    auto hot = cells_beyond_blur(input, state, module, input.profile.neighbour_blur_share.value);
    drop_held_back(input, module, hot);
    return hot;
}

std::vector<HotCell> cells_beyond_blur(const ScoreInput& input,
                                       const SurveyState& state,
                                       const ModuleState& module,
                                       double blur_share) {
    std::vector<HotCell> hot;
    for (int cell = 0; cell < module.type->cell_count(); ++cell) {
        const double rise = cell_rise_k(module, cell);
        if (!(rise >= input.profile.candidate_cell_k.value)) {  // false for cells without data
            continue;
        }
        const double u = cell_u_k(state, module, cell);
        const double lit_up = blur_share * hottest_around_k(module, cell);
        if (rise >= input.profile.candidate_sigma.value * u && rise > lit_up) {
            hot.push_back({cell, rise, u, measured_cell_u_k(state, module, cell)});
        }
    }
    std::sort(hot.begin(), hot.end(), [](const HotCell& a, const HotCell& b) {
        return a.rise_k != b.rise_k ? a.rise_k > b.rise_k : a.cell < b.cell;
    });
    return hot;
}

void add_cell_findings(const ScoreInput& input,
                       const SurveyState& state,
                       const ModuleState& module,
                       const Explained& explained,
                       std::vector<Finding>& findings) {
    auto hot = hot_cells(input, state, module);
    // Those in a warm substring belong to its finding.
    std::erase_if(hot, [&](const HotCell& h) {
        const int substring = module.type->substring_of_cell[static_cast<std::size_t>(h.cell)];
        return module.is_warm(substring) || explained.has_substring(substring) || explained.has_cell(h.cell);
    });
    if (hot.empty()) {
        return;
    }
    if (static_cast<double>(hot.size()) >= input.profile.multiple_cells_from.value) {
        add_many_cells(input, state, module, hot, findings);
        return;
    }
    for (const auto& each : hot) {
        add_single_cell(input, state, module, hot, each, findings);
    }
}

}  // namespace heatrow
