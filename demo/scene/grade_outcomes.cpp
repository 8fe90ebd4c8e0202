#include "grade_outcomes.hpp"

#include "whole_view.hpp"

#include <algorithm>
#include <cctype>
#include <set>

namespace scene {
namespace {

// A note tells of a conflict where it says so and names one of the part's tables or its row.
bool tells_of(const std::string& note, const WrongLayoutPart& part) {
    std::string lower = note;
    std::ranges::transform(lower, lower.begin(), [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    if (lower.find("conflict") == std::string::npos) {
        return false;
    }
    return std::ranges::any_of(part.tables, [&note](const std::string& table) {
        const std::string row = table.substr(0, table.rfind('-'));  // R3 of R3-T2
        return note.find(table) != std::string::npos || note.find(row) != std::string::npos;
    });
}

}  // namespace

void add_outcomes(OutcomeSums& sums, const GradeInput& input) {
    const bool refused = !input.refused.empty();
    if (input.facts.text("expected") == "refused") {
        ++sums.to_refuse;
        sums.to_refuse_refused += refused ? 1 : 0;
        return;
    }
    ++sums.to_answer;
    sums.to_answer_refused += refused ? 1 : 0;
    if (refused) {
        return;
    }
    for (const auto& [number, part] : input.wrong_layout_parts) {
        ++sums.wrong_parts;
        sums.wrong_parts_told +=
            std::ranges::any_of(input.notes, [&part = part](const std::string& note) { return tells_of(note, part); })
                ? 1
                : 0;
    }
    std::set<std::string> seen;
    for (const FrameModule& outline : input.outlines) {
        if (outline.visible_share > kWholeShare && input.drawn_wrongly(outline.module)) {
            seen.insert(outline.module);
        }
    }
    sums.wrong_modules += static_cast<int>(seen.size());
    for (const FrameModule& view : input.views) {
        if (view.placement == "placed") {
            seen.erase(view.module);
        }
    }
    sums.wrong_modules_left += static_cast<int>(seen.size());
}

}  // namespace scene
