#include "grade.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

namespace scene {
namespace {

GradeSums count(const std::vector<const GradeInput*>& surveys, const ClassRules& rules) {
    GradeSums sums;
    sums.rules = rules;
    for (const GradeInput* input : surveys) {
        ++sums.surveys;
        sums.frames += input->frames;
        add_outcomes(sums.outcomes, *input);
        if (!input->refused.empty()) {
            sums.refused.push_back(
                fmt::format("{} seed {}: {}", input->facts.text("scene"), input->facts.text("seed"), input->refused));
            continue;
        }
        add_views(sums.views, *input);
        add_cases(sums.cases, *input);
        add_mirrors(sums.mirrors, *input);
    }
    return sums;
}

// In scope, found, pattern right or merged; of one pattern, or of all for an empty name.
std::array<int, 3> recall_counts(const Cases& cases, const std::string& pattern) {
    std::array<int, 3> counts{};
    for (const FaultCase& item : cases.faults) {
        if (item.fault.in_scope && (pattern.empty() || item.fault.pattern == pattern)) {
            ++counts[0];
            counts[1] += item.finding ? 1 : 0;
            counts[2] += item.finding && item.label != LabelVerdict::wrong ? 1 : 0;
        }
    }
    return counts;
}

void list_views(std::vector<Figure>& figures, const ViewSums& v) {
    figures.push_back(share_figure("views_right", v.right, v.views));
    figures.push_back(share_figure("views_wrong", v.wrong, v.views));
    figures.push_back(share_figure("views_on_no_module", v.elsewhere, v.views));
    figures.push_back(share_figure("whole_views_named_rightly", v.whole_outlines_named, v.whole_outlines));
    figures.push_back(share_figure("modules_unnamed", v.unnamed_modules, v.visible_modules));
    figures.push_back(share_figure("modules_ambiguous", v.ambiguous_modules, v.visible_modules));
    figures.push_back(share_figure("modules_assessed", v.modules_assessed, v.modules));
    figures.push_back(quantile_figure("outline_error_median", v.outline_errors_px, 0.5, "px"));
    figures.push_back(quantile_figure("outline_error_p95", v.outline_errors_px, 0.95, "px"));
    figures.push_back(quantile_figure("place_error_p95", v.place_errors_m, 0.95, "m"));
}

void list_findings(std::vector<Figure>& figures, const Cases& cases) {
    const auto all = recall_counts(cases, "");
    figures.push_back(share_figure("recall_in_scope", all[1], all[0]));
    figures.push_back(share_figure("pattern_right", all[2], all[1]));
    figures.push_back(macro_f1(cases));
    std::map<std::string, int> patterns;
    for (const FaultCase& item : cases.faults) {
        patterns[item.fault.pattern] += item.fault.in_scope ? 1 : 0;
    }
    std::erase_if(patterns, [](const auto& entry) { return entry.second == 0; });
    for (const auto& [pattern, in_scope] : patterns) {
        const auto counts = recall_counts(cases, pattern);
        figures.push_back(share_figure("recall." + pattern, counts[1], counts[0]));
        figures.push_back(share_figure("pattern_right." + pattern, counts[2], counts[1]));
    }
    const int above = static_cast<int>(std::ranges::count_if(
        cases.false_findings, [](const FalseFinding& item) { return item.finding.abnormality_class > 1; }));
    figures.push_back(share_figure(
        "false_findings", static_cast<int>(cases.false_findings.size()), cases.modules, 1000.0, "per 1000 modules"));
    figures.push_back(share_figure("false_findings_above_class_1", above, cases.modules, 1000.0, "per 1000 modules"));
    figures.push_back(share_figure("findings_beside_a_fault", cases.beside, cases.findings));
    patterns["all"] = 0;
    for (const auto& [pattern, in_scope] : patterns) {
        const auto chosen = [&pattern](const FaultCase& item) {
            return pattern == "all" || item.fault.pattern == pattern;
        };
        const DifferenceErrors measured = difference_errors(cases, Scale::in_frame, chosen);
        const DifferenceErrors scaled = difference_errors(cases, Scale::at_1000, chosen);
        figures.push_back(mean_figure("delta_t_bias." + pattern, measured.errors_k, "K"));
        figures.push_back(rms_figure("delta_t_rmse." + pattern, measured.errors_k, "K"));
        figures.push_back(share_figure("delta_t_u95_coverage." + pattern, measured.covered, measured.with_interval));
        figures.push_back(mean_figure("delta_t_1000_bias." + pattern, scaled.errors_k, "K"));
        figures.push_back(rms_figure("delta_t_1000_rmse." + pattern, scaled.errors_k, "K"));
        figures.push_back(share_figure("delta_t_1000_u95_coverage." + pattern, scaled.covered, scaled.with_interval));
    }
    figures.push_back(rms_figure("healthy_cells_rmse", cases.healthy_cell_errors_k, "K"));
}

void list_mirrors(std::vector<Figure>& figures, const MirrorSums& m) {
    figures.push_back(share_figure("mirrored_reported", m.sun_reported + m.others_reported, m.sun + m.others));
    figures.push_back(share_figure("mirrored_sun_reported", m.sun_reported, m.sun));
    figures.push_back(share_figure("glint_zone_faults_found", m.zone_faults_found, m.zone_faults));
}

void list_outcomes(std::vector<Figure>& figures, const OutcomeSums& o) {
    figures.push_back(share_figure("wrong_surveys_refused", o.to_refuse_refused, o.to_refuse));
    figures.push_back(share_figure("other_surveys_refused", o.to_answer_refused, o.to_answer));
    figures.push_back(share_figure("layout_conflicts_told", o.wrong_parts_told, o.wrong_parts));
    figures.push_back(share_figure("modules_of_conflicts_left", o.wrong_modules_left, o.wrong_modules));
}

void list_notes(std::vector<GradeNote>& notes, const GradeSums& sums) {
    for (const std::string& text : sums.refused) {
        notes.push_back({"refused", text});
    }
    for (const FaultCase& item : sums.cases.faults) {
        if (item.fault.in_scope && !item.finding) {
            notes.push_back({"missed", item.where});
        } else if (item.fault.in_scope && item.label == LabelVerdict::wrong) {
            notes.push_back({"pattern", item.where + ", was called " + item.finding->pattern});
        }
    }
    for (const FalseFinding& item : sums.cases.false_findings) {
        notes.push_back({"false", item.where});
    }
    for (const std::string& text : sums.views.notes) {
        notes.push_back({"view", text});
    }
}

// The notes, at most so many of a kind.
std::vector<std::string> note_lines(const Grade& grade, int most) {
    std::vector<std::string> lines;
    std::map<std::string, int> shown;
    for (const GradeNote& note : grade.notes) {
        if (++shown[note.kind] <= most) {
            lines.push_back(note.kind + ": " + note.text);
        }
    }
    for (const auto& [kind, all] : shown) {
        if (all > most) {
            lines.push_back(fmt::format("{}: and {} more", kind, all - most));
        }
    }
    return lines;
}

std::vector<const GradeInput*> pointers(const std::vector<GradeInput>& surveys) {
    std::vector<const GradeInput*> result;
    for (const GradeInput& input : surveys) {
        result.push_back(&input);
    }
    return result;
}

Grade grade_of(const std::vector<const GradeInput*>& surveys, const ClassRules& rules) {
    const GradeSums sums = count(surveys, rules);
    Grade result;
    list_views(result.figures, sums.views);
    list_findings(result.figures, sums.cases);
    list_mirrors(result.figures, sums.mirrors);
    list_outcomes(result.figures, sums.outcomes);
    list_notes(result.notes, sums);
    if (sums.refused.size() < surveys.size()) {
        result.tables = {target_table(sums),
                         outcome_table(sums),
                         confusion_table(sums.cases),
                         recall_table(sums.cases),
                         pattern_table(sums.cases),
                         pixel_table(sums.cases),
                         calibration_table(sums)};
    } else {
        result.tables = {outcome_table(sums)};
    }
    std::erase_if(result.tables, [](const GradeTable& table) { return table.rows.empty(); });
    return result;
}

// One line of the overview.
std::vector<std::string> overview_row(const std::string& scene, const GradeSums& sums) {
    const ViewSums& v = sums.views;
    const auto recall = recall_counts(sums.cases, "");
    const DifferenceErrors cells = difference_errors(
        sums.cases, Scale::in_frame, [](const FaultCase& item) { return level_of(item.fault.pattern) == Level::cell; });
    const DifferenceErrors all = difference_errors(sums.cases, Scale::in_frame, [](const FaultCase&) { return true; });
    const std::string place =
        v.place_errors_m.empty()
            ? "-"
            : fmt::format("{:.1f} cm", 100.0 * quantile_figure("", v.place_errors_m, 0.95, "m").value);
    const auto share = [](int part, int whole) {
        return whole == 0 ? std::string("-") : fmt::format("{:.1f} % of {}", 100.0 * part / whole, whole);
    };
    return {scene,
            std::to_string(sums.surveys),
            std::to_string(sums.frames),
            sums.refused.empty() ? "-" : fmt::format("{}", sums.refused.size()),
            share(v.whole_outlines_named, v.whole_outlines),
            fmt::format("{}", v.wrong + v.elsewhere),
            share(v.ambiguous_modules, v.visible_modules),
            place,
            share(recall[1], recall[0]),
            share(recall[2], recall[1]),
            fmt::format("{} in {}", sums.cases.false_findings.size(), sums.cases.modules),
            cells.errors_k.empty() ? "-" : fmt::format("{:.2f} K", rms_figure("", cells.errors_k, "K").value),
            share(all.covered, all.with_interval)};
}

}  // namespace

Grade grade(const std::vector<GradeInput>& surveys, const ClassRules& rules) {
    return grade_of(pointers(surveys), rules);
}

std::string to_text(const Grade& grade) {
    std::string out;
    for (const GradeTable& table : grade.tables) {
        out += to_text(table) + "\n";
    }
    constexpr int kMostNotes = 20;
    for (const std::string& line : note_lines(grade, kMostNotes)) {
        out += line + "\n";
    }
    return out;
}

std::string to_markdown(const Grade& grade) {
    std::string out;
    for (const GradeTable& table : grade.tables) {
        out += to_markdown(table) + "\n";
    }
    constexpr int kMostNotes = 8;
    for (const std::string& line : note_lines(grade, kMostNotes)) {
        out += "- " + line + "\n";
    }
    return out;
}

std::string to_json(const Grade& grade) {
    using nlohmann::ordered_json;
    const auto number = [](double value) { return std::isnan(value) ? ordered_json() : ordered_json(value); };
    ordered_json figures = ordered_json::object();
    for (const Figure& figure : grade.figures) {
        figures[figure.name] = {{"value", number(figure.value)},
                                {"low", number(figure.low)},
                                {"high", number(figure.high)},
                                {"count", figure.count},
                                {"unit", figure.unit}};
    }
    ordered_json tables = ordered_json::array();
    for (const GradeTable& table : grade.tables) {
        tables.push_back({{"title", table.title}, {"header", table.header}, {"rows", table.rows}});
    }
    ordered_json notes = ordered_json::array();
    for (const GradeNote& note : grade.notes) {
        notes.push_back({{"kind", note.kind}, {"text", note.text}});
    }
    return ordered_json{{"figures", figures}, {"tables", tables}, {"notes", notes}}.dump(2) + "\n";
}

std::string accuracy_page(const std::vector<GradeInput>& surveys, const ClassRules& rules) {
    std::vector<std::string> order;
    std::map<std::string, std::vector<const GradeInput*>> by_scene;
    std::vector<const GradeInput*> medium;
    for (const GradeInput& input : surveys) {
        const std::string scene = input.facts.text("scene");
        if (!by_scene.contains(scene)) {
            order.push_back(scene);
        }
        by_scene[scene].push_back(&input);
        if (input.facts.text("medium") == "yes") {
            medium.push_back(&input);
        }
    }
    GradeTable overview{"Scenes",
                        {"scene",
                         "surveys",
                         "frames",
                         "refused",
                         "whole views named rightly",
                         "wrong names",
                         "modules ambiguous",
                         "place, 95 %",
                         "recall in scope",
                         "pattern right or merged",
                         "false findings in modules",
                         "RMSE of cells in frame",
                         "intervals that hold"},
                        {},
                        "Refused surveys count in no other column."};
    for (const std::string& scene : order) {
        overview.rows.push_back(overview_row(scene, count(by_scene[scene], rules)));
    }
    std::string out = to_markdown(overview) + "\n";
    if (!medium.empty()) {
        const Grade pooled = grade_of(medium, rules);
        out += "### All scenes of medium conditions\n\n" + to_markdown(pooled);
    }
    for (const std::string& scene : order) {
        const auto& of_scene = by_scene[scene];
        out += fmt::format("\n### {}\n\n", scene);  // not the title, which is free text
        out += to_markdown(grade_of(of_scene, rules));
    }
    return out;
}

}  // namespace scene
