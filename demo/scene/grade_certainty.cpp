#include "grade_certainty.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

namespace scene {
namespace {

struct Bin {
    double from, to;
    const char* name;
};
constexpr std::array<Bin, 5> kBins{{{0.0, 0.6, "below 60 %"},
                                    {0.6, 0.8, "60 to 80 %"},
                                    {0.8, 0.95, "80 to 95 %"},
                                    {0.95, 0.99, "95 to 99 %"},
                                    {0.99, 2.0, "99 % and more"}}};

// What the exponent's range adds to the half width at 1000 W/m2: delta ln(1000/G) times its standard uncertainty, the
// exponent being taken as evenly likely in its range. ln(1000/G) follows from the two differences of the finding.
double exponent_half_width_k(const Abnormality& finding, const ClassRule& rule) {
    const double ratio = finding.delta_t_1000_k / finding.delta_t_k;
    if (!(ratio > 0.0) || !(rule.exponent > 0.0)) {
        return 0.0;
    }
    const double u = (rule.exponent_high - rule.exponent_low) / std::sqrt(12.0);
    return kU95 * finding.delta_t_1000_k * std::log(ratio) / rule.exponent * u;
}

// The same cases, intervals at 1000 W/m2 less what the exponent's range adds.
Cases with_known_exponent(const GradeSums& sums) {
    Cases cases = sums.cases;
    for (FaultCase& item : cases.faults) {
        const auto rule = item.finding ? sums.rules.find(item.finding->pattern) : sums.rules.end();
        if (rule != sums.rules.end()) {
            const double less = exponent_half_width_k(*item.finding, rule->second);
            double& half_width = item.finding->delta_t_1000_u95_k;
            half_width = std::sqrt(std::max(0.0, half_width * half_width - less * less));
        }
    }
    return cases;
}

// The class of the hottest cell of a substring that is warm; 0 where none is known.
int class_of_its_cell(const GradeSums& sums, const FaultCase& item) {
    const auto rule = sums.rules.find("hot_cell");
    return level_of(item.finding->pattern) != Level::substring || std::isnan(item.fault.cell_delta_t_1000_k) ||
                   rule == sums.rules.end()
               ? 0
               : rule->second.class_of(item.fault.cell_delta_t_1000_k);
}

}  // namespace

std::vector<StatedCase> stated_patterns(const Cases& cases) {
    std::vector<StatedCase> result;
    for (const FaultCase& item : cases.faults) {
        if (item.finding && !std::isnan(item.finding->pattern_probability)) {
            result.push_back({item.finding->pattern_probability, item.label != LabelVerdict::wrong});
        }
    }
    for (const FalseFinding& item : cases.false_findings) {
        if (!std::isnan(item.finding.pattern_probability)) {
            result.push_back({item.finding.pattern_probability, false});
        }
    }
    return result;
}

std::vector<ClassCase> class_cases(const GradeSums& sums) {
    std::vector<ClassCase> result;
    for (const FaultCase& item : sums.cases.faults) {
        const auto rule = item.finding ? sums.rules.find(item.finding->pattern) : sums.rules.end();
        if (rule == sums.rules.end() || item.label == LabelVerdict::wrong ||
            std::isnan(item.finding->class_probability) || std::isnan(item.finding->delta_t_1000_u95_k)) {
            continue;
        }
        const int truth = rule->second.class_of(item.true_delta_t_1000_k());
        const bool cell_sets_it =
            item.finding->abnormality_class > rule->second.class_of(item.finding->delta_t_1000_k) ||
            class_of_its_cell(sums, item) > truth;
        if (!cell_sets_it) {
            result.push_back(
                {{item.finding->class_probability, truth == item.finding->abnormality_class},
                 kU95 * rule->second.distance_k(item.true_delta_t_1000_k()) / item.finding->delta_t_1000_u95_k});
        }
    }
    return result;
}

GradeTable reliability_table(const std::string& title, const std::vector<StatedCase>& cases) {
    GradeTable table{title, {"stated", "findings", "mean stated", "right"}, {}, ""};
    double brier = 0.0;
    double calibration_error = 0.0;
    for (const Bin& bin : kBins) {
        std::vector<double> stated;
        int right = 0;
        for (const StatedCase& item : cases) {
            if (item.stated >= bin.from && item.stated < bin.to) {
                stated.push_back(100.0 * item.stated);
                right += item.right ? 1 : 0;
                brier += std::pow(item.stated - (item.right ? 1.0 : 0.0), 2.0);
            }
        }
        if (stated.empty()) {
            continue;
        }
        const Figure mean = mean_figure("", stated, "%");
        const Figure share = share_figure("", right, mean.count);
        calibration_error += std::abs(mean.value - share.value) * mean.count;
        table.rows.push_back({bin.name, std::to_string(mean.count), value_text(mean), figure_text(share)});
    }
    const double n = std::max(1.0, static_cast<double>(cases.size()));
    const auto right = static_cast<double>(std::ranges::count_if(cases, [](const StatedCase& c) { return c.right; }));
    table.note = fmt::format(
        "{} findings. Brier score (Brier 1950) {:.4f}; of the mean share stated for all it would be {:.4f}. "
        "Expected calibration error {:.1f} %: mean distance of stated and right over the bins.",
        cases.size(),
        brier / n,
        right / n * (1.0 - right / n),
        calibration_error / n);
    return table;
}

GradeTable interval_table(const GradeSums& sums) {
    GradeTable table{
        "Intervals",
        {"pattern",
         "error over u in frame",
         "hold in frame",
         "error over u at 1000 W/m2",
         "hold at 1000 W/m2",
         "hold, exponent known"},
        {},
        "Of findings in scope with the right or a merged name. Error over u: error over its stated standard "
        "uncertainty, root mean square; 1 where right. Exponent known: without what the range of the "
        "exponent adds, since a rendered pattern has one exponent. Dirt is left out: where it is reported as a warm "
        "module or substring, the truth knows its hottest cell alone."};
    const Cases known = with_known_exponent(sums);
    const auto is_compared = [](const FaultCase& item) { return item.fault.pattern != "soiling"; };
    std::set<std::string> patterns{""};
    for (const FaultCase& item : sums.cases.faults) {
        patterns.insert(item.fault.in_scope && is_compared(item) ? item.fault.pattern : "");
    }
    for (const std::string& pattern : patterns) {
        const auto chosen = [&](const FaultCase& item) {
            return is_compared(item) && (pattern.empty() || item.fault.pattern == pattern);
        };
        const DifferenceErrors in_frame = difference_errors(sums.cases, Scale::in_frame, chosen);
        const DifferenceErrors scaled = difference_errors(sums.cases, Scale::at_1000, chosen);
        const DifferenceErrors fixed = difference_errors(known, Scale::at_1000, chosen);
        if (in_frame.with_interval == 0) {
            continue;
        }
        table.rows.push_back({pattern.empty() ? "all" : pattern,
                              figure_text(rms_figure("", in_frame.over_u, "")),
                              figure_text(share_figure("", in_frame.covered, in_frame.with_interval)),
                              figure_text(rms_figure("", scaled.over_u, "")),
                              figure_text(share_figure("", scaled.covered, scaled.with_interval)),
                              figure_text(share_figure("", fixed.covered, fixed.with_interval))});
    }
    return table;
}

GradeTable pattern_probability_table(const Cases& cases) {
    GradeTable table = reliability_table("Stated probability of the pattern", stated_patterns(cases));
    int wrong = 0;
    int second_right = 0;
    for (const FaultCase& item : cases.faults) {
        if (item.finding && item.label == LabelVerdict::wrong) {
            ++wrong;
            second_right +=
                !item.finding->pattern_second.empty() &&
                        judge_label(item.fault.pattern, item.finding->pattern_second, item.short_side_px()) !=
                            LabelVerdict::wrong
                    ? 1
                    : 0;
        }
    }
    table.note += fmt::format(" Where the pattern is wrong, the runner-up is right: {}.",
                              figure_text(share_figure("", second_right, wrong)));
    return table;
}

GradeTable class_table(const GradeSums& sums) {
    std::vector<StatedCase> near;
    int far = 0;
    int far_right = 0;
    for (const ClassCase& item : class_cases(sums)) {
        if (item.distance_u <= 2.0) {
            near.push_back(item.probability);
        } else {
            ++far;
            far_right += item.probability.right ? 1 : 0;
        }
    }
    GradeTable table = reliability_table("Stated probability of the class, within 2 u of a limit", near);
    table.note += fmt::format(" Further than 2 u from a limit the class is right in {} (asked 99 %).",
                              figure_text(share_figure("", far_right, far)));
    return table;
}

}  // namespace scene
