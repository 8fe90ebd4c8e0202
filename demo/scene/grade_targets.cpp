#include "grade_targets.hpp"

#include "heatrow/core/finding.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

namespace scene {
namespace {

using Row = std::vector<std::string>;

constexpr const char* kNotGraded = "not graded";
const Row kTargetHeader{"quantity", "target", "measured", "95 % interval", "count", "verdict", "remark"};

// By the value: met or missed. "so far" where the other is still inside the interval: more cases decide.
std::string verdict(bool value_meets, bool interval_may_change_it) {
    const std::string so_far = interval_may_change_it ? " so far" : "";
    return value_meets ? "met" + so_far : "**missed" + so_far + "**";
}

std::string verdict_within(const Figure& figure, double low, double high) {
    const bool meets = figure.value >= low && figure.value <= high;
    if (std::isnan(figure.low)) {
        return verdict(meets, true);
    }
    const bool all_inside = figure.low >= low && figure.high <= high;
    const bool all_outside = figure.high < low || figure.low > high;
    return verdict(meets, meets ? !all_inside : !all_outside);
}

std::string verdict_at_most(const Figure& figure, double limit) {
    return verdict_within(figure, -limit, limit);  // of signed figures, the size counts
}

std::string verdict_at_least(const Figure& figure, double limit) {
    return verdict_within(figure, limit, std::numeric_limits<double>::infinity());
}

Row graded(const std::string& quantity,
           const std::string& target,
           const Figure& figure,
           const std::string& verdict,
           const std::string& remark = "") {
    return {quantity, target, value_text(figure), interval_text(figure), std::to_string(figure.count), verdict, remark};
}

Row not_graded(const std::string& quantity, const std::string& target, const std::string& why) {
    return {quantity, target, "-", "-", "0", kNotGraded, why};
}

void add_naming(std::vector<Row>& rows, const ViewSums& v) {
    if (v.whole_outlines == 0) {
        rows.push_back(not_graded("views named rightly", ">= 99.9 %", "no module is wholly in view"));
        return;
    }
    const Figure named = share_figure("", v.whole_outlines_named, v.whole_outlines);
    rows.push_back(graded("whole views named rightly",
                          ">= 99.9 %",
                          named,
                          verdict_at_least(named, 99.9),
                          "of all frames, those too dark or smeared included"));
    const Figure wrong = share_figure("", v.wrong + v.elsewhere, v.views);
    rows.push_back(v.views == 0 ? not_graded("views with a wrong name", "0", "no view bears a name")
                                : graded("views with a wrong name (integer slips)",
                                         "0",
                                         wrong,
                                         v.wrong + v.elsewhere == 0 ? "met" : "**missed**",
                                         fmt::format("{} on another module, {} on none", v.wrong, v.elsewhere)));
    const Figure ambiguous = share_figure("", v.ambiguous_modules, v.visible_modules);
    rows.push_back(
        graded("modules left ambiguous", "<= 0.1 %", ambiguous, verdict_at_most(ambiguous, 0.1), "of those visible"));
    rows.push_back(not_graded("wrong names in flights without pixels",
                              "<= 0.1 % of 10,000 flights",
                              "measured by `tests/flights/run`, see there"));
    if (v.place_errors_m.empty()) {
        rows.push_back(not_graded("place inside the pitch, 95th percentile", "<= 2 cm", "no view is named rightly"));
        return;
    }
    std::vector<double> place_cm = v.place_errors_m;
    for (double& value : place_cm) {
        value *= 100.0;
    }
    const Figure place = quantile_figure("", place_cm, 0.95, "cm");
    rows.push_back(graded("place inside the pitch, 95th percentile", "<= 2 cm", place, verdict_at_most(place, 2.0)));
    const Figure outline = quantile_figure("", v.outline_errors_px, 0.5, "px");
    rows.push_back(graded("outline error, median", "<= 0.3 px", outline, verdict_at_most(outline, 0.3)));
}

void add_finding(std::vector<Row>& rows, const Cases& cases) {
    int in_scope = 0;
    int found = 0;
    for (const FaultCase& item : cases.faults) {
        in_scope += item.fault.in_scope ? 1 : 0;
        found += item.fault.in_scope && item.finding ? 1 : 0;
    }
    if (in_scope == 0) {
        rows.push_back(not_graded("recall", ">= 99 %", "no fault is in scope"));
    } else {
        const Figure recall = share_figure("", found, in_scope);
        rows.push_back(graded("faults at 1.2 times a limit, found", ">= 99 %", recall, verdict_at_least(recall, 99.0)));
    }
    const Figure wrong =
        share_figure("", static_cast<int>(cases.false_findings.size()), cases.modules, 1000.0, "per 1000 modules");
    rows.push_back(graded("false findings", "< 1 per 1000 modules", wrong, verdict_at_most(wrong, 1.0)));
    const Figure f1 = macro_f1(cases);
    if (f1.count == 0) {
        rows.push_back(not_graded("pattern, macro-F1", ">= 97 %", "no fault in scope and no false finding"));
        return;
    }
    std::map<std::string, int> by_pattern;
    for (const FaultCase& item : cases.faults) {
        by_pattern[item.fault.pattern] += item.fault.in_scope ? 1 : 0;
    }
    int fewest = in_scope;
    for (const auto& [pattern, count] : by_pattern) {
        fewest = count == 0 ? fewest : std::min(fewest, count);
    }
    rows.push_back(graded("pattern, macro-F1",
                          ">= 97 %",
                          f1,
                          verdict(f1.value >= 97.0, fewest < 300 || (f1.low < 97.0 && f1.high >= 97.0)),
                          fmt::format("merged names allowed; {} of {} patterns, {} cases at least, asked 300",
                                      by_pattern.size(),
                                      heatrow::kPatternCount,
                                      fewest)));
}

// Root mean square of what each case may be off: max(floor_k, share x difference).
double allowed_k(const std::vector<double>& truths, double floor_k, double share) {
    double squares = 0.0;
    for (const double truth : truths) {
        squares += std::pow(std::max(floor_k, share * truth), 2.0);
    }
    return std::sqrt(squares / static_cast<double>(std::max<std::size_t>(1, truths.size())));
}

// Bias and RMSE of the differences of single cells, against max(K, share), `factor` times for half-cut cells.
template <class Chosen>
void add_difference(
    std::vector<Row>& rows, const Cases& cases, const std::string& which, double factor, Chosen chosen) {
    const auto of_cell = [&chosen](const FaultCase& item) {
        return level_of(item.fault.pattern) == Level::cell && chosen(item);
    };
    const DifferenceErrors in_frame = difference_errors(cases, Scale::in_frame, of_cell);
    if (in_frame.errors_k.empty()) {
        rows.push_back(not_graded("cell in frame, " + which,
                                  factor > 1.0 ? "twice the full cell's" : "max(0.3 K, 2 %), max(0.6 K, 4 %)",
                                  "no such fault was found with its pattern"));
        return;
    }
    std::vector<double> best;
    for (const FaultCase& item : cases.faults) {
        if (item.fault.in_scope && item.finding && item.label != LabelVerdict::wrong && of_cell(item)) {
            best.push_back(item.best_in_frame_k);
        }
    }
    const Figure best_rms = rms_figure("", best, "K");
    const double bias_limit = allowed_k(in_frame.truths_k, 0.3 * factor, 0.02 * factor);
    const Figure bias = mean_figure("", in_frame.errors_k, "K");
    rows.push_back(graded("cell in frame, bias, " + which,
                          fmt::format("<= {:.2f} K", bias_limit),
                          bias,
                          verdict_at_most(bias, bias_limit),
                          fmt::format("max({:.1f} K, {:.0f} %) of these", 0.3 * factor, 2.0 * factor)));
    const double rms_limit = allowed_k(in_frame.truths_k, 0.6 * factor, 0.04 * factor);
    const Figure rms = rms_figure("", in_frame.errors_k, "K");
    rows.push_back(graded(
        "cell in frame, RMSE, " + which,
        fmt::format("<= {:.2f} K", rms_limit),
        rms,
        verdict_at_most(rms, rms_limit),
        fmt::format(
            "max({:.1f} K, {:.0f} %) of these; best estimator {:.2f} K", 0.6 * factor, 4.0 * factor, best_rms.value)));
}

void add_differences(std::vector<Row>& rows, const Cases& cases) {
    add_difference(rows, cases, "full cell", 1.0, [](const FaultCase& item) { return !item.half_cut; });
    add_difference(rows, cases, "half-cut cell", 2.0, [](const FaultCase& item) { return item.half_cut; });
    constexpr double kRoom = 0.9;  // a picture of 5 or 10 px a cell has some of 4.5 or 9 at its borders
    add_difference(rows, cases, "half-cut cell of 5 x 5 px or more", 2.0, [](const FaultCase& item) {
        return item.half_cut && item.short_side_px() >= 5.0 * kRoom;
    });
    add_difference(rows, cases, "full cell of 10 x 10 px or more", 1.0, [](const FaultCase& item) {
        return !item.half_cut && item.short_side_px() >= 10.0 * kRoom;
    });
    if (cases.healthy_cell_errors_k.empty()) {
        rows.push_back(not_graded("healthy cells in frame, RMSE", "-", "the result states no cell values"));
    } else {
        const Figure healthy = rms_figure("", cases.healthy_cell_errors_k, "K");
        rows.push_back(graded("healthy cells in frame, RMSE", "no target", healthy, "-", "flight's mean conditions"));
    }
    const auto of_cell = [](const FaultCase& item) { return level_of(item.fault.pattern) == Level::cell; };
    const DifferenceErrors scaled = difference_errors(cases, Scale::at_1000, of_cell);
    if (scaled.errors_k.empty()) {
        rows.push_back(
            not_graded("cell at 1000 W/m2, RMSE", "max(1 K, 6 %)", "no such fault was found with its pattern"));
    } else {
        const double limit = allowed_k(scaled.truths_k, 1.0, 0.06);
        const Figure rms = rms_figure("", scaled.errors_k, "K");
        rows.push_back(graded("cell at 1000 W/m2, RMSE",
                              fmt::format("<= {:.2f} K", limit),
                              rms,
                              verdict_at_most(rms, limit),
                              "max(1 K, 6 %) of these"));
    }
    for (const auto& [scale, name, wanted] : {std::tuple(Scale::in_frame, "in frame", "1,000 cases a pattern"),
                                              std::tuple(Scale::at_1000, "at 1000 W/m2", "400 scenes")}) {
        const DifferenceErrors all = difference_errors(cases, scale, [](const FaultCase&) { return true; });
        const std::string quantity = fmt::format("95 % intervals that hold, {}", name);
        if (all.with_interval == 0) {
            rows.push_back(not_graded(quantity, "93 to 97 %", "no finding states one"));
            continue;
        }
        const Figure share = share_figure("", all.covered, all.with_interval);
        rows.push_back(graded(
            quantity, "93 to 97 %", share, verdict_within(share, 93.0, 97.0), fmt::format("asked over {}", wanted)));
    }
}

void add_class(std::vector<Row>& rows, const GradeSums& sums) {
    const std::string quantity = "class, further than 2 u from a limit";
    if (sums.rules.empty()) {
        rows.push_back(not_graded(quantity, ">= 99 %", "no profile was given (--profile)"));
        return;
    }
    int outside = 0;
    int right = 0;
    for (const FaultCase& item : sums.cases.faults) {
        const auto rule = item.finding ? sums.rules.find(item.finding->pattern) : sums.rules.end();
        if (rule == sums.rules.end() || item.label == LabelVerdict::wrong ||
            std::isnan(item.finding->delta_t_1000_u95_k) ||
            rule->second.distance_k(item.true_delta_t_1000_k()) <= item.finding->delta_t_1000_u95_k) {
            continue;
        }
        ++outside;
        right += rule->second.class_of(item.true_delta_t_1000_k()) == item.finding->abnormality_class ? 1 : 0;
    }
    if (outside == 0) {
        rows.push_back(not_graded(quantity, ">= 99 %", "no finding lies that far off"));
    } else {
        const Figure share = share_figure("", right, outside);
        rows.push_back(
            graded(quantity, ">= 99 %", share, verdict_at_least(share, 99.0), "inside: see the probabilities"));
    }
}

void add_mirrored(std::vector<Row>& rows, const MirrorSums& m) {
    const std::string quantity = "mirrored sun, cloud edges, walls, operator reported as fault";
    const int all = m.sun + m.others;
    const int reported = m.sun_reported + m.others_reported;
    if (all == 0) {
        rows.push_back(not_graded(quantity, "0 of 600", "no module mirrors any"));
    } else {
        rows.push_back(
            graded(quantity,
                   "0 of 600",
                   share_figure("", reported, all),
                   verdict(reported == 0, reported == 0 && all < 600),
                   fmt::format("{} of {} suns, {} of {} others", m.sun_reported, m.sun, m.others_reported, m.others)));
    }
    if (m.zone_faults == 0) {
        rows.push_back(not_graded("true faults inside glint zones, found", ">= 95 %", "no fault in scope lies in one"));
    } else {
        const Figure found = share_figure("", m.zone_faults_found, m.zone_faults);
        rows.push_back(
            graded("true faults inside glint zones, found", ">= 95 %", found, verdict_at_least(found, 95.0)));
    }
}

// What is stated of the class against how often it is right: over all that state a probability, and over those nearer
// to a limit than their interval, where it matters.
void add_class_probability(std::vector<Row>& rows, const GradeSums& sums) {
    for (const bool near_only : {false, true}) {
        const std::string quantity = near_only ? "class probability, within 2 u of a limit" : "class probability, all";
        double stated = 0.0;
        int count = 0;
        int right = 0;
        for (const FaultCase& item : sums.cases.faults) {
            const auto rule = item.finding ? sums.rules.find(item.finding->pattern) : sums.rules.end();
            if (rule == sums.rules.end() || item.label == LabelVerdict::wrong ||
                std::isnan(item.finding->class_probability)) {
                continue;
            }
            const double half_width = item.finding->delta_t_1000_u95_k;
            if (near_only && !(rule->second.distance_k(item.true_delta_t_1000_k()) <= half_width)) {
                continue;
            }
            ++count;
            stated += item.finding->class_probability;
            right += rule->second.class_of(item.true_delta_t_1000_k()) == item.finding->abnormality_class ? 1 : 0;
        }
        if (count == 0) {
            rows.push_back(not_graded(quantity, "as stated", "no such finding, or no profile was given"));
            continue;
        }
        const double mean = 100.0 * stated / count;
        const Figure share = share_figure("", right, count);
        const bool holds = share.low <= mean && mean <= share.high;
        constexpr int kEnough = 300;
        rows.push_back(graded(quantity,
                              fmt::format("{:.1f} % right, as stated", mean),
                              share,
                              holds ? verdict(true, count < kEnough) : "**missed**",
                              "right within the interval; by what is stated: see the table"));
    }
}

// Nothing where no survey and no layout is wrong.
void add_outcomes(std::vector<Row>& rows, const OutcomeSums& o) {
    const auto all_of = [&rows](const std::string& quantity, const std::string& target, int some, int all) {
        if (all > 0) {
            rows.push_back(graded(quantity, target, share_figure("", some, all), some == all ? "met" : "**missed**"));
        }
    };
    all_of("surveys that cannot be right, refused", "all", o.to_refuse_refused, o.to_refuse);
    if (o.to_answer_refused > 0) {
        rows.push_back(
            graded("other surveys, refused", "none", share_figure("", o.to_answer_refused, o.to_answer), "**missed**"));
    }
    all_of("wrong rows and tables of a layout, told as a conflict", "all", o.wrong_parts_told, o.wrong_parts);
    all_of("modules in them left without a name", "all", o.wrong_modules_left, o.wrong_modules);
}

// Rows that could not be graded become a sentence each under the table.
void move_not_graded(GradeTable& table) {
    std::vector<Row> rows;
    for (Row& row : table.rows) {
        if (row[5] != kNotGraded) {
            rows.push_back(std::move(row));
            continue;
        }
        table.note += fmt::format("{}{} ({}): {}", table.note.empty() ? "Not graded: " : "; ", row[0], row[1], row[6]);
    }
    table.note += table.note.empty() ? "" : ".";
    table.rows = std::move(rows);
}

}  // namespace

GradeTable target_table(const GradeSums& sums) {
    GradeTable table{"Targets", kTargetHeader, {}, ""};
    add_naming(table.rows, sums.views);
    add_finding(table.rows, sums.cases);
    add_differences(table.rows, sums.cases);
    add_class(table.rows, sums);
    add_class_probability(table.rows, sums);
    table.rows.push_back(not_graded("changes between seasons of 4.2 combined standard uncertainties",
                                    ">= 95 % found, <= 1 % of unchanged called changed",
                                    "measured by `tests/scenes/seasons`, see there"));
    add_mirrored(table.rows, sums.mirrors);
    move_not_graded(table);
    return table;
}

GradeTable outcome_table(const GradeSums& sums) {
    GradeTable table{"Wrong surveys and layouts", kTargetHeader, {}, ""};
    add_outcomes(table.rows, sums.outcomes);
    return table;
}

}  // namespace scene
