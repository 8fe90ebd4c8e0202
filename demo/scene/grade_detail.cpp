#include "grade_targets.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

namespace scene {
namespace {

// A fault in scope or a false finding, by the names that count: merged names stand for the true one.
struct Named {
    std::string truth;   // empty: a false finding
    std::string called;  // empty: not found
};

std::vector<Named> named_cases(const Cases& cases) {
    std::vector<Named> result;
    for (const FaultCase& item : cases.faults) {
        if (item.fault.in_scope) {
            const bool right = item.finding && item.label != LabelVerdict::wrong;
            result.push_back({item.fault.pattern,
                              right          ? item.fault.pattern
                              : item.finding ? item.finding->pattern
                                             : ""});
        }
    }
    for (const FalseFinding& item : cases.false_findings) {
        result.push_back({"", item.finding.pattern});
    }
    return result;
}

struct Bin {
    double from, to;
    std::string name;
};

}  // namespace

Figure macro_f1(const Cases& cases) {
    const std::vector<Named> named = named_cases(cases);
    std::set<std::string> patterns;
    for (const Named& item : named) {
        if (!item.truth.empty()) {
            patterns.insert(item.truth);
        }
    }
    const auto f1 = [&](const std::vector<int>& chosen) {
        double sum = 0.0;
        int count = 0;
        for (const std::string& pattern : patterns) {
            double hits = 0.0;
            double others = 0.0;  // false positives and false negatives
            for (const int index : chosen) {
                const Named& item = named[static_cast<std::size_t>(index)];
                hits += item.truth == pattern && item.called == pattern ? 1.0 : 0.0;
                others += (item.truth == pattern) != (item.called == pattern) ? 1.0 : 0.0;
            }
            if (hits + others > 0.0) {
                sum += 2.0 * hits / (2.0 * hits + others);
                ++count;
            }
        }
        return count == 0 ? 0.0 : 100.0 * sum / count;
    };
    return bootstrap_figure("pattern_macro_f1", patterns.empty() ? 0 : static_cast<int>(named.size()), f1, "%");
}

GradeTable confusion_table(const Cases& cases) {
    GradeTable table{"Patterns: what is true, and what it was called",
                     {"true pattern", "in scope", "right", "merged name", "not found", "called otherwise", "F1"},
                     {},
                     "F1: right and merged names against those, the missed, and others that were called so."};
    struct Counts {
        int all = 0, right = 0, merged = 0, missed = 0, wrongly_so = 0;
        std::map<std::string, int> otherwise;
    };
    std::map<std::string, Counts> by_pattern;
    for (const FaultCase& item : cases.faults) {
        if (!item.fault.in_scope) {
            continue;
        }
        Counts& counts = by_pattern[item.fault.pattern];
        ++counts.all;
        counts.missed += item.finding ? 0 : 1;
        if (item.finding) {
            counts.right += item.label == LabelVerdict::right ? 1 : 0;
            counts.merged += item.label == LabelVerdict::merged ? 1 : 0;
            if (item.label == LabelVerdict::wrong) {
                ++counts.otherwise[item.finding->pattern];
                ++by_pattern[item.finding->pattern].wrongly_so;
            }
        }
    }
    const std::string no_fault = "no fault there";
    for (const FalseFinding& item : cases.false_findings) {
        ++by_pattern[no_fault].otherwise[item.finding.pattern];
        ++by_pattern[item.finding.pattern].wrongly_so;
    }
    for (const auto& [pattern, counts] : by_pattern) {
        const bool is_none = pattern == no_fault;
        if (counts.all == 0 && !is_none) {
            continue;
        }
        std::string otherwise;
        for (const auto& [called, count] : counts.otherwise) {
            otherwise += fmt::format("{}{} {}", otherwise.empty() ? "" : ", ", called, count);
        }
        const auto number = [is_none](int count) { return is_none ? std::string("-") : std::to_string(count); };
        const double hits = counts.right + counts.merged;
        table.rows.push_back(
            {pattern,
             number(counts.all),
             number(counts.right),
             number(counts.merged),
             number(counts.missed),
             otherwise.empty() ? "-" : otherwise,
             is_none ? "-" : fmt::format("{:.1f} %", 200.0 * hits / (hits + counts.all + counts.wrongly_so))});
    }
    return table;
}

GradeTable recall_table(const Cases& cases) {
    GradeTable table{
        "Found, against difference over sigma",
        {"difference over sigma", "cell", "substring", "module", "string"},
        {},
        "All faults that some frame shows wholly, whatever their limit. Sigma: scatter of the healthy objects "
        "of the level in the same result, at 1000 W/m2 (1.4826 times the median distance to the median)."};
    const std::vector<Bin> bins{{-1e9, 3, "below 3"},
                                {3, 5, "3 to 5"},
                                {5, 8, "5 to 8"},
                                {8, 12, "8 to 12"},
                                {12, 20, "12 to 20"},
                                {20, 1e9, "20 and more"}};
    for (const Bin& bin : bins) {
        std::vector<std::string> row{bin.name};
        bool any = false;
        for (const Level level : {Level::cell, Level::substring, Level::module, Level::string}) {
            int count = 0;
            int found = 0;
            for (const FaultCase& item : cases.faults) {
                const double ratio = item.fault.delta_t_1000_k / item.sigma_k;
                if (level_of(item.fault.pattern) == level && item.whole_views > 0 && ratio >= bin.from &&
                    ratio < bin.to) {
                    ++count;
                    found += item.finding ? 1 : 0;
                }
            }
            row.push_back(figure_text(share_figure("", found, count)));
            any = any || count > 0;
        }
        if (any) {
            table.rows.push_back(std::move(row));
        }
    }
    return table;
}

namespace {

// Recall, bias, RMSE and coverage of the cases chosen.
template <class Chosen>
std::vector<std::string> summary_row(const Cases& cases, const std::string& name, Chosen chosen) {
    int count = 0;
    int found = 0;
    for (const FaultCase& item : cases.faults) {
        if (item.fault.in_scope && chosen(item)) {
            ++count;
            found += item.finding ? 1 : 0;
        }
    }
    const DifferenceErrors in_frame = difference_errors(cases, Scale::in_frame, chosen);
    const DifferenceErrors scaled = difference_errors(cases, Scale::at_1000, chosen);
    return {name,
            figure_text(share_figure("", found, count)),
            figure_text(mean_figure("", in_frame.errors_k, "K")),
            figure_text(rms_figure("", in_frame.errors_k, "K")),
            figure_text(share_figure("", in_frame.covered, in_frame.with_interval)),
            figure_text(rms_figure("", scaled.errors_k, "K")),
            figure_text(share_figure("", scaled.covered, scaled.with_interval))};
}

const std::vector<std::string> kSummaryHeader{"",
                                              "recall",
                                              "bias in frame",
                                              "RMSE in frame",
                                              "intervals in frame",
                                              "RMSE at 1000 W/m2",
                                              "intervals at 1000 W/m2"};

}  // namespace

GradeTable pattern_table(const Cases& cases) {
    GradeTable table{"By pattern", kSummaryHeader, {}, "Differences: of findings with the right or a merged name."};
    std::set<std::string> patterns;
    for (const FaultCase& item : cases.faults) {
        if (item.fault.in_scope) {
            patterns.insert(item.fault.pattern);
        }
    }
    for (const std::string& pattern : patterns) {
        table.rows.push_back(
            summary_row(cases, pattern, [&pattern](const FaultCase& item) { return item.fault.pattern == pattern; }));
    }
    return table;
}

GradeTable pixel_table(const Cases& cases) {
    GradeTable table{"Single cells, by pixels across the short side of a cell", kSummaryHeader, {}, ""};
    const std::vector<Bin> bins{{0, 2, "below 2"},
                                {2, 3, "2 to 3"},
                                {3, 4, "3 to 4"},
                                {4, 5, "4 to 5"},
                                {5, 7, "5 to 7"},
                                {7, 10, "7 to 10"},
                                {10, 1e9, "10 and more"}};
    for (const bool half_cut : {false, true}) {
        for (const Bin& bin : bins) {
            const auto chosen = [&](const FaultCase& item) {
                return level_of(item.fault.pattern) == Level::cell && item.half_cut == half_cut &&
                       item.short_side_px() >= bin.from && item.short_side_px() < bin.to;
            };
            if (std::ranges::any_of(cases.faults,
                                    [&](const FaultCase& item) { return item.fault.in_scope && chosen(item); })) {
                table.rows.push_back(summary_row(cases, bin.name + (half_cut ? " px, half-cut" : " px, full"), chosen));
            }
        }
    }
    return table;
}

GradeTable calibration_table(const GradeSums& sums) {
    GradeTable table{
        "Stated probability of the class",
        {"stated", "findings", "mean stated", "class right"},
        {},
        "Findings on true faults with the right or a merged pattern; the class by the profile's rule on the "
        "true difference at 1000 W/m2."};
    const std::vector<Bin> bins{{0.0, 0.6, "below 60 %"},
                                {0.6, 0.8, "60 to 80 %"},
                                {0.8, 0.95, "80 to 95 %"},
                                {0.95, 0.995, "95 to 99.5 %"},
                                {0.995, 2.0, "99.5 % and more"}};
    for (const Bin& bin : bins) {
        std::vector<double> stated;
        int right = 0;
        for (const FaultCase& item : sums.cases.faults) {
            const auto rule = item.finding ? sums.rules.find(item.finding->pattern) : sums.rules.end();
            if (rule == sums.rules.end() || item.label == LabelVerdict::wrong ||
                !(item.finding->class_probability >= bin.from && item.finding->class_probability < bin.to)) {
                continue;
            }
            stated.push_back(100.0 * item.finding->class_probability);
            right += rule->second.class_of(item.true_delta_t_1000_k()) == item.finding->abnormality_class ? 1 : 0;
        }
        if (!stated.empty()) {
            table.rows.push_back({bin.name,
                                  std::to_string(stated.size()),
                                  value_text(mean_figure("", stated, "%")),
                                  figure_text(share_figure("", right, static_cast<int>(stated.size())))});
        }
    }
    return table;
}

}  // namespace scene
