#include "grade_patterns.hpp"

#include "grade_certainty.hpp"

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

}  // namespace

std::string patterns_page(const std::vector<GradeInput>& surveys, const ClassRules& rules, bool notes) {
    struct Pool {
        Cases cases;
        int surveys = 0;
    };
    Pool all;
    std::map<std::string, Pool> by_scene;
    for (const GradeInput& input : surveys) {
        if (!input.refused.empty()) {
            continue;
        }
        for (Pool* pool : {&all, &by_scene[input.facts.text("scene")]}) {
            add_cases(pool->cases, input);
            ++pool->surveys;
        }
    }
    std::string out = section("All", all.cases, all.surveys);
    for (const auto& [scene, pool] : by_scene) {
        out += section(scene, pool.cases, pool.surveys);
    }
    GradeSums sums;
    sums.cases = std::move(all.cases);
    sums.rules = rules;
    out += "### How sure\n";
    for (const GradeTable& table : {interval_table(sums), pattern_probability_table(sums.cases), class_table(sums)}) {
        if (!table.rows.empty()) {
            out += "\n" + to_markdown(table);
        }
    }
    return out + (notes ? "\n" + all_notes(sums.cases) : "");
}

}  // namespace scene
