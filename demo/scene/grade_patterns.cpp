#include "grade_patterns.hpp"

#include "grade_certainty.hpp"
#include "grade_targets.hpp"

#include <fmt/format.h>

#include <map>

namespace scene {
namespace {

std::string section(const std::string& title, const Cases& cases, int surveys) {
    const Figure f1 = macro_f1(cases);
    return fmt::format(
        "### {}\n\n{} surveys, {} modules. Macro-F1 {} ({}) over {} cases. False findings: {}. Further "
        "findings on a fault found already: {} of {}.\n\n{}\n",
        title,
        surveys,
        cases.modules,
        value_text(f1),
        interval_text(f1),
        f1.count,
        cases.false_findings.size(),
        cases.beside,
        cases.findings,
        to_markdown(confusion_table(cases)));
}

std::string all_notes(const Cases& cases) {
    std::string out;
    for (const FaultCase& item : cases.faults) {
        if (item.fault.in_scope && !item.finding) {
            out += fmt::format("- missed: {}\n", item.where);
        } else if (item.fault.in_scope && item.label == LabelVerdict::wrong) {
            out += fmt::format("- pattern: {}, was called {}\n", item.where, item.finding->id);
        }
    }
    for (const FalseFinding& item : cases.false_findings) {
        out += fmt::format("- false: {}\n", item.where);
    }
    return out;
}

// Targets of names and findings. Those of differences and classes are told pattern by pattern: cells that are warm in a
// part, boxes and dirt have other figures than hot cells.
GradeTable targets_of_objects(const GradeSums& sums) {
    GradeTable table = target_table(sums);
    table.note.clear();
    std::erase_if(table.rows, [](const std::vector<std::string>& row) {
        return row.front().starts_with("cell") || row.front().starts_with("95 %") || row.front().starts_with("class") ||
               row.front().starts_with("healthy cells");
    });
    return table;
}

}  // namespace

std::string patterns_page(const std::vector<GradeInput>& surveys, const ClassRules& rules, bool notes) {
    struct Pool {
        Cases cases;
        int surveys = 0;
    };
    Pool all;
    GradeSums sums;
    std::map<std::string, Pool> by_scene;
    for (const GradeInput& input : surveys) {
        if (!input.refused.empty()) {
            continue;
        }
        for (Pool* pool : {&all, &by_scene[input.facts.text("scene")]}) {
            add_cases(pool->cases, input);
            ++pool->surveys;
        }
        add_views(sums.views, input);
    }
    std::string out = section("All", all.cases, all.surveys);
    for (const auto& [scene, pool] : by_scene) {
        out += section(scene, pool.cases, pool.surveys);
    }
    sums.cases = std::move(all.cases);
    sums.rules = rules;
    out += "### Names and findings\n\n" + to_markdown(targets_of_objects(sums)) + "\n" +
           to_markdown(pattern_table(sums.cases)) + "\n### How sure\n";
    for (const GradeTable& table : {interval_table(sums), pattern_probability_table(sums.cases), class_table(sums)}) {
        if (!table.rows.empty()) {
            out += "\n" + to_markdown(table);
        }
    }
    return out + (notes ? "\n" + all_notes(sums.cases) : "");
}

}  // namespace scene
