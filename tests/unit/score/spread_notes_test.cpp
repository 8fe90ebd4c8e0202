// What modules with findings have in common.
#include "spread_notes.hpp"

#include "support/simulated_site.hpp"

#include <catch2/catch.hpp>

using namespace heatrow;
using namespace heatrow::test;
using Catch::Contains;

namespace {

struct Judged {
    Layout layout;
    ScoreResult result;

    Judged() : layout(make_site({2, 2, 20, 2})) {
        result.modules.resize(layout.modules.size());
        for (ModuleScore& module : result.modules) {
            module.assessed = true;
        }
    }
    void fault(std::size_t module) {
        Finding& finding = result.findings.emplace_back();
        finding.module = static_cast<int>(module);
        finding.pattern = Pattern::hot_cell;
        finding.abnormality = AbnormalityClass::thermal;
    }
};

}  // namespace

TEST_CASE("spread: the hypergeometric tail is that of R. A. Fisher's tea tasting", "[score]") {
    // Eight cups, four with milk first, four named: all right 1 in 70, three at least 17 in 70 (The Design of
    // Experiments, 1935).
    CHECK(chance_of_at_least(4, 4, 4, 8) == Approx(1.0 / 70.0));
    CHECK(chance_of_at_least(3, 4, 4, 8) == Approx(17.0 / 70.0));
    CHECK(chance_of_at_least(0, 4, 4, 8) == Approx(1.0));
}

TEST_CASE("spread: faults at the ends of rows, or toward the negative ends of strings, are noted once each",
          "[score]") {
    Judged ends;
    for (std::size_t i = 0; i < ends.layout.modules.size(); i += 20) {  // strings run along the tables
        ends.fault(i);
    }
    const auto at_ends = notes_on_spread(ends.layout, ends.result);
    REQUIRE(at_ends.size() == 1);
    CHECK_THAT(
        at_ends[0],
        Contains("8 of 8 modules with findings of class 2 or 3 are at the ends of their rows, as 16 of all 160"));

    Judged negative;
    for (std::size_t i = 0; i < negative.layout.modules.size(); i += 20) {
        negative.fault(i + 15);
        negative.fault(i + 17);
    }
    const auto thirds = notes_on_spread(negative.layout, negative.result);
    REQUIRE(thirds.size() == 1);
    CHECK_THAT(thirds[0], Contains("in the third of their strings at the negative end"));
}

TEST_CASE("spread: what lies anywhere, is few, shaded or of doubtful name gives no note", "[score]") {
    Judged anywhere;
    for (std::size_t i = 3; i < anywhere.layout.modules.size(); i += 7) {
        anywhere.fault(i);
    }
    CHECK(notes_on_spread(anywhere.layout, anywhere.result).empty());

    Judged few;
    for (std::size_t i = 0; i < 80; i += 20) {
        few.fault(i);
    }
    CHECK(notes_on_spread(few.layout, few.result).empty());

    Judged other;
    for (std::size_t i = 0; i < other.layout.modules.size(); i += 20) {
        other.fault(i);
        other.result.findings.back().candidates = {1};
        other.fault(i);
        other.result.findings.back().pattern = Pattern::shading;
    }
    CHECK(notes_on_spread(other.layout, other.result).empty());
}
