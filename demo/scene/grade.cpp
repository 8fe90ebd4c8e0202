#include "grade.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>
#include <map>

namespace scene {
namespace {

// Sums over all surveys.
struct Sums {
    int views = 0, right = 0, wrong = 0, elsewhere = 0, ambiguous = 0;
    int whole_outlines = 0, whole_outlines_named = 0;
    int visible_modules = 0, unnamed_modules = 0;
    int modules = 0, modules_assessed = 0;
    std::vector<double> outline_errors_px;
    int in_scope = 0, found = 0, pattern_right = 0;
    int false_findings = 0, false_above_class_1 = 0, beside = 0, findings = 0;
    std::map<std::string, std::array<int, 3>> by_pattern;  // in scope, found, pattern right
    struct Differences {
        std::vector<double> measured_k, scaled_k;  // estimate minus truth
        int measured_covered = 0, measured_with_u = 0, scaled_covered = 0, scaled_with_u = 0;
    };
    std::map<std::string, Differences> differences;  // by pattern, and "all"
};

std::string where(const Abnormality& place) {
    return place.module.empty() ? "string " + place.string : "module " + place.module;
}

void add_views(Sums& sums, Grade& grade, const GradeInput& input) {
    std::map<std::string, std::vector<const FrameModule*>> by_frame;
    std::map<std::string, bool> named;  // modules with a whole view; true once some view bears the name
    for (const FrameModule& outline : input.outlines) {
        by_frame[outline.frame].push_back(&outline);
        if (outline.visible_share > 0.99) {
            named.emplace(outline.module, false);
            ++sums.whole_outlines;
        }
    }
    std::map<std::pair<std::string, std::string>, bool> right_views;
    for (const FrameModule& view : input.views) {
        if (view.placement != "placed") {
            ++sums.ambiguous;
            continue;
        }
        ++sums.views;
        const auto found = named.find(view.module);
        if (found != named.end()) {
            found->second = true;
        }
        const auto& outlines = by_frame[view.frame];
        const ViewVerdict verdict = judge_view(view, outlines);
        sums.right += verdict == ViewVerdict::right ? 1 : 0;
        sums.wrong += verdict == ViewVerdict::wrong ? 1 : 0;
        sums.elsewhere += verdict == ViewVerdict::elsewhere ? 1 : 0;
        if (verdict != ViewVerdict::right) {
            grade.notes.push_back({"view",
                                   fmt::format("{} in {} lies {}",
                                               view.module,
                                               view.frame,
                                               verdict == ViewVerdict::wrong ? "on another module" : "on no module")});
            continue;
        }
        right_views[{view.frame, view.module}] = true;
        const auto truth = std::ranges::find(outlines, view.module, [](const FrameModule* o) { return o->module; });
        double error = 0.0;
        for (std::size_t i = 0; i < 4; ++i) {
            error += 0.25 * (view.corners_px[i] - (*truth)->corners_px[i]).norm();
        }
        sums.outline_errors_px.push_back(error);
    }
    for (const FrameModule& outline : input.outlines) {
        if (outline.visible_share > 0.99 && right_views.contains({outline.frame, outline.module})) {
            ++sums.whole_outlines_named;
        }
    }
    sums.visible_modules += static_cast<int>(named.size());
    for (const auto& [module, has_name] : named) {
        sums.unnamed_modules += has_name ? 0 : 1;
    }
    sums.modules += input.modules;
    sums.modules_assessed += input.modules_assessed;
}

void add_differences(Sums::Differences& sums, const Abnormality& fault, const Abnormality& finding) {
    const double measured = finding.delta_t_k - fault.delta_t_k;
    if (!std::isnan(measured)) {
        sums.measured_k.push_back(measured);
        if (!std::isnan(finding.delta_t_u95_k)) {
            ++sums.measured_with_u;
            sums.measured_covered += std::abs(measured) <= finding.delta_t_u95_k ? 1 : 0;
        }
    }
    const double scaled = finding.delta_t_1000_k - fault.delta_t_1000_k;
    if (!std::isnan(scaled)) {
        sums.scaled_k.push_back(scaled);
        if (!std::isnan(finding.delta_t_1000_u95_k)) {
            ++sums.scaled_with_u;
            sums.scaled_covered += std::abs(scaled) <= finding.delta_t_1000_u95_k ? 1 : 0;
        }
    }
}

void add_findings(Sums& sums, Grade& grade, const GradeInput& input) {
    const Matching matching = match_findings(input.faults, input.findings);
    for (std::size_t i = 0; i < input.faults.size(); ++i) {
        const Abnormality& fault = input.faults[i];
        if (!fault.in_scope || fault.decoy) {
            continue;
        }
        auto& counts = sums.by_pattern[fault.pattern];
        ++sums.in_scope;
        ++counts[0];
        if (matching.finding_of_fault[i] < 0) {
            grade.notes.push_back({"missed",
                                   fmt::format("{} {} on {}, {:.1f} K at 1000 W/m2",
                                               fault.id,
                                               fault.pattern,
                                               where(fault),
                                               fault.delta_t_1000_k)});
            continue;
        }
        const Abnormality& finding = input.findings[static_cast<std::size_t>(matching.finding_of_fault[i])];
        ++sums.found;
        ++counts[1];
        if (finding.pattern != fault.pattern) {
            grade.notes.push_back(
                {"pattern",
                 fmt::format("{} {} on {} was called {}", fault.id, fault.pattern, where(fault), finding.pattern)});
            continue;
        }
        ++sums.pattern_right;
        ++counts[2];
        add_differences(sums.differences["all"], fault, finding);
        add_differences(sums.differences[fault.pattern], fault, finding);
    }
    for (std::size_t k = 0; k < input.findings.size(); ++k) {
        const Abnormality& finding = input.findings[k];
        ++sums.findings;
        if (matching.fault_of_finding[k] >= 0) {
            continue;
        }
        if (matching.beside_a_fault[k]) {
            ++sums.beside;
            continue;
        }
        ++sums.false_findings;
        sums.false_above_class_1 += finding.abnormality_class > 1 ? 1 : 0;
        grade.notes.push_back({"false",
                               fmt::format("{} {} on {}, class {}, {:.1f} K at 1000 W/m2",
                                           finding.id,
                                           finding.pattern,
                                           where(finding),
                                           finding.abnormality_class,
                                           finding.delta_t_1000_k)});
    }
}

void list_figures(Grade& grade, const Sums& sums) {
    auto& figures = grade.figures;
    figures.push_back(share_figure("views_right", sums.right, sums.views));
    figures.push_back(share_figure("views_wrong", sums.wrong, sums.views));
    figures.push_back(share_figure("views_on_no_module", sums.elsewhere, sums.views));
    figures.push_back(share_figure("whole_views_named_rightly", sums.whole_outlines_named, sums.whole_outlines));
    figures.push_back(share_figure("modules_unnamed", sums.unnamed_modules, sums.visible_modules));
    figures.push_back(share_figure("modules_assessed", sums.modules_assessed, sums.modules));
    figures.push_back(quantile_figure("outline_error_median", sums.outline_errors_px, 0.5, "px"));
    figures.push_back(quantile_figure("outline_error_p95", sums.outline_errors_px, 0.95, "px"));
    figures.push_back(share_figure("recall_in_scope", sums.found, sums.in_scope));
    figures.push_back(share_figure("pattern_right", sums.pattern_right, sums.found));
    for (const auto& [pattern, counts] : sums.by_pattern) {
        figures.push_back(share_figure("recall." + pattern, counts[1], counts[0]));
        figures.push_back(share_figure("pattern_right." + pattern, counts[2], counts[1]));
    }
    figures.push_back(share_figure("false_findings", sums.false_findings, sums.modules, 1000.0, "per 1000 modules"));
    figures.push_back(share_figure(
        "false_findings_above_class_1", sums.false_above_class_1, sums.modules, 1000.0, "per 1000 modules"));
    figures.push_back(share_figure("findings_beside_a_fault", sums.beside, sums.findings));
    for (const auto& [pattern, differences] : sums.differences) {
        figures.push_back(mean_figure("delta_t_bias." + pattern, differences.measured_k, "K"));
        figures.push_back(rms_figure("delta_t_rmse." + pattern, differences.measured_k, "K"));
        figures.push_back(
            share_figure("delta_t_u95_coverage." + pattern, differences.measured_covered, differences.measured_with_u));
        figures.push_back(mean_figure("delta_t_1000_bias." + pattern, differences.scaled_k, "K"));
        figures.push_back(rms_figure("delta_t_1000_rmse." + pattern, differences.scaled_k, "K"));
        figures.push_back(share_figure(
            "delta_t_1000_u95_coverage." + pattern, differences.scaled_covered, differences.scaled_with_u));
    }
}

}  // namespace

Grade grade(const std::vector<GradeInput>& surveys) {
    Grade result;
    Sums sums;
    for (const GradeInput& input : surveys) {
        add_views(sums, result, input);
        add_findings(sums, result, input);
    }
    list_figures(result, sums);
    return result;
}

std::string to_text(const Grade& grade) {
    std::string out = fmt::format("{:<46} {:>10}  {:>21}  {:>7}\n", "figure", "value", "95 % interval", "count");
    for (const Figure& figure : grade.figures) {
        if (std::isnan(figure.value)) {
            out += fmt::format("{:<46} {:>10}  {:>21}  {:>7}\n", figure.name, "-", "-", 0);
            continue;
        }
        out += fmt::format("{:<46} {:>10.3f}  {:>21}  {:>7}  {}\n",
                           figure.name,
                           figure.value,
                           std::isnan(figure.low) ? "-" : fmt::format("{:.3f} .. {:.3f}", figure.low, figure.high),
                           figure.count,
                           figure.unit);
    }
    constexpr int kMostNotes = 20;
    std::map<std::string, int> shown;
    for (const GradeNote& note : grade.notes) {
        if (++shown[note.kind] <= kMostNotes) {
            out += fmt::format("{}: {}\n", note.kind, note.text);
        }
    }
    for (const auto& [kind, count] : shown) {
        if (count > kMostNotes) {
            out += fmt::format("{}: and {} more\n", kind, count - kMostNotes);
        }
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
    ordered_json notes = ordered_json::array();
    for (const GradeNote& note : grade.notes) {
        notes.push_back({{"kind", note.kind}, {"text", note.text}});
    }
    return ordered_json{{"figures", figures}, {"notes", notes}}.dump(2) + "\n";
}

}  // namespace scene
