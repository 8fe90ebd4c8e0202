// Patterns on simulated modules without pixels: what the cells show is laid on by hand.
#include "heatrow/score/score.hpp"
#include "support/simulated_site.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

using namespace heatrow;
using namespace heatrow::test;
using Catch::Matchers::WithinAbs;

namespace {

const Profile& profile() {
    static const Profile shipped = shipped_profile(HEATROW_FIELD_PRACTICE);
    return shipped;
}

constexpr int kModule = 45;

struct Site {
    explicit Site(bool half_cut = false)
        : layout(make_site({3, 3, 20, 2, half_cut})), inputs(simulate(layout, {}, {})) {
        ModuleType& type = layout.types.front();
        type.junction_boxes = {{0.5, 0.11}};
        for (int substring = 1; half_cut && substring <= 3; ++substring) {  // twins above and below the middle
            for (const bool lower : {false, true}) {
                std::vector<int> branch;
                for (const int cell : type.cells_of_substring(substring)) {
                    if ((type.cell_at(cell).row >= type.rows / 2) == lower) {
                        branch.push_back(cell);
                    }
                }
                type.branches.push_back(branch);
            }
        }
    }

    [[nodiscard]] const ModuleType& type() const { return layout.types.front(); }
    void warm(int module, int cell, double by_k) {
        auto& value =
            inputs[static_cast<std::size_t>(module)].fused.cells[static_cast<std::size_t>(cell)].temperature.value;
        value = value + KelvinDelta(by_k);
    }
    void warm(int module, const std::vector<int>& cells, double by_k) {
        for (const int cell : cells) {
            warm(module, cell, by_k);
        }
    }
    void warm_all(int module, double by_k) {
        for (int cell = 0; cell < type().cell_count(); ++cell) {
            warm(module, cell, by_k);
        }
    }
    // Cells from twice as much cooler to twice as much hotter, by a hash: what cells do that drive each other.
    void make_patchwork(int module, const std::vector<int>& cells, double size_k) {
        for (const int cell : cells) {
            const unsigned kind = ((static_cast<unsigned>(cell) + 1U) * 2654435761U >> 16U) % 5U;
            warm(module, cell, size_k * (static_cast<double>(kind) - 2.0));
        }
    }
    [[nodiscard]] std::vector<int> all_cells() const {
        std::vector<int> cells;
        for (int cell = 0; cell < type().cell_count(); ++cell) {
            cells.push_back(cell);
        }
        return cells;
    }
    [[nodiscard]] ScoreResult score() const { return heatrow::score({layout, inputs, profile()}); }

    Layout layout;
    std::vector<ModuleInput> inputs;
};

bool says(const Finding& finding, const char* words) {
    return finding.evidence.find(words) != std::string::npos;
}

}  // namespace

TEST_CASE("patterns: a warm substring is open where its cells are alike, shorted where they are a patchwork",
          "[score]") {
    Site open;
    open.warm(kModule, open.type().cells_of_substring(2), 5.0);
    const auto even = open.score();
    REQUIRE(even.findings.size() == 1);
    CHECK(even.findings[0].pattern == Pattern::substring_open_circuit);
    CHECK(even.findings[0].substrings == std::vector<int>{2});
    CHECK(even.findings[0].pattern_probability > 0.8);
    CHECK(says(even.findings[0], "open, not shorted, since the cells are alike"));

    Site shorted;
    shorted.warm(kModule, shorted.type().cells_of_substring(2), 5.0);
    shorted.make_patchwork(kModule, shorted.type().cells_of_substring(2), 1.3);
    const auto uneven = shorted.score();
    REQUIRE(uneven.findings.size() == 1);
    CHECK(uneven.findings[0].pattern == Pattern::substring_short_circuited);
    CHECK(says(uneven.findings[0], "shorted, not open, since the cells are a patchwork"));
}

TEST_CASE("patterns: half-cut twins are judged branch by branch", "[score]") {
    Site open(true);
    const auto branches = open.type().branches_of_substring(1);
    REQUIRE(branches.size() == 2);
    open.warm(kModule, branches[0], 5.0);
    open.warm(kModule, branches[1], 5.0);
    open.make_patchwork(kModule, branches[1], 1.3);  // the twin carries what it can with the diode conducting
    const auto one_open = open.score();
    REQUIRE(one_open.findings.size() == 1);
    INFO(one_open.findings[0].evidence);
    CHECK(one_open.findings[0].pattern == Pattern::substring_open_circuit);

    Site weak(true);
    weak.warm(kModule, branches[0], 4.0);
    weak.warm(kModule, branches[0][9], 35.0);
    weak.warm(kModule, branches[1], 5.0);
    weak.make_patchwork(kModule, branches[1], 1.3);
    const auto by_cell = weak.score();
    REQUIRE(by_cell.findings.size() == 1);
    INFO(by_cell.findings[0].evidence);
    CHECK(by_cell.findings[0].pattern == Pattern::substring_bypassed_by_cell);
    CHECK(by_cell.findings[0].cells == std::vector<CellIndex>{weak.type().cell_at(branches[0][9])});

    Site shorted(true);
    for (const auto& branch : branches) {
        shorted.warm(kModule, branch, 5.0);
        shorted.make_patchwork(kModule, branch, 1.3);
    }
    const auto both = shorted.score();
    REQUIRE(both.findings.size() == 1);
    CHECK(both.findings[0].pattern == Pattern::substring_short_circuited);
}

TEST_CASE("patterns: a warm patchwork alone is a shorted module, one that ignores cells has another cause", "[score]") {
    Site shorted;
    shorted.warm_all(kModule, 5.0);
    shorted.make_patchwork(kModule, shorted.all_cells(), 1.5);
    const auto result = shorted.score();
    REQUIRE(result.findings.size() == 1);
    CHECK(result.findings[0].pattern == Pattern::short_circuited_module);
    CHECK(result.findings[0].module == kModule);

    // The same with one third cooler: a branch of a shorted module gives up as much heat as the others.
    shorted.warm(kModule, shorted.type().cells_of_substring(1), -2.4);
    const auto lopsided = shorted.score();
    REQUIRE(lopsided.findings.size() == 1);
    CHECK(lopsided.findings[0].pattern != Pattern::short_circuited_module);

    Site broken;
    for (const int cell : broken.all_cells()) {  // blots of three by three cells
        const CellIndex at = broken.type().cell_at(cell);
        broken.warm(kModule, cell, 4.0 + 3.0 * ((at.row / 3 + at.column / 3) % 2));
    }
    const auto blots = broken.score();
    REQUIRE(blots.findings.size() == 1);
    CHECK(blots.findings[0].pattern == Pattern::external_cause_possible);
    CHECK(says(blots.findings[0], "does not keep to cells"));
}

TEST_CASE("patterns: a patchwork about which the views disagree is mirrored, no finding, and a note says so",
          "[score]") {
    const auto blotted = [](double view_u_k) {  // blots of three by three cells
        Site site;
        for (const int cell : site.all_cells()) {
            const CellIndex at = site.type().cell_at(cell);
            site.warm(kModule, cell, (at.row / 3 + at.column / 3) % 2 == 0 ? -1.2 : 1.2);
        }
        for (FusedCell& cell : site.inputs[kModule].fused.cells) {
            cell.temperature.u = view_u_k;
        }
        return site;
    };
    const auto has_note = [](const ScoreResult& result) {
        return std::any_of(result.notes.begin(), result.notes.end(), [](const std::string& note) {
            return note.find("changes from view to view") != std::string::npos;
        });
    };
    const ScoreResult steady = blotted(0.1).score();
    REQUIRE(steady.findings.size() == 1);
    CHECK(steady.findings[0].pattern == Pattern::external_cause_possible);
    CHECK_FALSE(says(steady.findings[0], "one view only"));
    CHECK_FALSE(has_note(steady));

    const ScoreResult mirrored = blotted(1.0).score();
    CHECK(mirrored.findings.empty());
    CHECK(has_note(mirrored));

    Site once = blotted(0.1);
    once.inputs[kModule].fused.frames.resize(1);
    const ScoreResult single = once.score();
    REQUIRE(single.findings.size() == 1);
    CHECK(says(single.findings[0], "one view only"));
}

TEST_CASE("patterns: graded uneven modules toward the negative end are degradation, toward the other end they are not",
          "[score]") {
    const auto graded = [](bool at_negative_end) {
        Site site;
        const auto& string = site.layout.strings[3].modules;
        for (int i = 0; i < 6; ++i) {
            const auto place =
                at_negative_end ? string.size() - 1 - static_cast<std::size_t>(i) : static_cast<std::size_t>(i);
            site.warm_all(string[place], 4.5 - 0.75 * i);
            site.make_patchwork(string[place], site.all_cells(), 0.6);
        }
        return site.score();
    };
    const auto toward = graded(true);
    const auto found = std::find_if(toward.findings.begin(), toward.findings.end(), [](const Finding& finding) {
        return finding.pattern == Pattern::potential_induced_degradation;
    });
    REQUIRE(found != toward.findings.end());
    CHECK(found->string == 3);
    CHECK(found->module == -1);
    CHECK(says(*found, "from the string's negative end on"));
    for (const Finding& finding : graded(false).findings) {
        CHECK(finding.pattern != Pattern::potential_induced_degradation);
    }

    Site two;  // shorted modules at the end of a string, an even one between them
    const auto& string = two.layout.strings[3].modules;
    for (const auto& [from_end, rise_k] : {std::pair(1U, 6.0), std::pair(3U, 4.0)}) {
        two.warm_all(string[string.size() - from_end], rise_k);
        two.make_patchwork(string[string.size() - from_end], two.all_cells(), 1.5);
    }
    const auto apart = two.score();
    REQUIRE(apart.findings.size() == 2);
    CHECK(apart.findings[0].pattern == Pattern::short_circuited_module);
    CHECK(apart.findings[1].pattern == Pattern::short_circuited_module);
}

TEST_CASE("patterns: cooler modules and missing ones", "[score]") {
    Site site;
    site.warm_all(20, -5.0);
    site.warm_all(70, -20.0);  // 23 K over the air elsewhere
    const auto result = site.score();
    REQUIRE(result.findings.size() == 2);
    for (const Finding& finding : result.findings) {
        CHECK(finding.pattern == (finding.module == 20 ? Pattern::module_cooler : Pattern::module_missing));
        CHECK(finding.abnormality == AbnormalityClass::none);
    }
}

TEST_CASE("patterns: ground at the place of a module that may stand elsewhere is no missing module", "[score]") {
    Site site;
    site.warm_all(70, -20.0);
    site.inputs[70].placement = Placement::ambiguous;
    site.inputs[70].candidates = {69};
    CHECK(site.score().findings.empty());
}

TEST_CASE("patterns: what the modules of one table show alike along their slope is no fault of theirs", "[score]") {
    Site site;
    constexpr int kInTable = 40;  // the second table
    const auto warm_top = [&](int module) {
        for (const int cell : site.all_cells()) {
            site.warm(module, cell, std::max(0.0, 3.5 - site.type().cell_at(cell).row));
        }
    };
    for (int module = kInTable; module < 2 * kInTable; ++module) {
        warm_top(module);
    }
    CHECK(site.score().findings.empty());
    site.warm(50, 33, 15.0);
    const auto hot = site.score();
    REQUIRE(hot.findings.size() == 1);
    CHECK(hot.findings.front().pattern == Pattern::hot_cell);

    Site alone;
    for (const int cell : alone.all_cells()) {
        alone.warm(kModule, cell, std::max(0.0, 3.5 - alone.type().cell_at(cell).row));
    }
    CHECK_FALSE(alone.score().findings.empty());
}

TEST_CASE("patterns: a spot on the box shows in all cells in front of it", "[score]") {
    Site site;
    REQUIRE_FALSE(site.type().junction_boxes.empty());
    const Eigen::Vector2d box = site.type().junction_boxes.front();
    std::vector<int> around;
    for (const int cell : site.all_cells()) {
        const auto corners = site.type().cell_corners(site.type().cell_at(cell));
        const bool beside = box.x() > corners[0].x() - 0.02 && box.x() < corners[1].x() + 0.02 &&
                            box.y() > corners[0].y() - 0.02 && box.y() < corners[2].y() + 0.02;
        if (beside) {
            around.push_back(cell);
        }
    }
    REQUIRE(around.size() == 2);
    site.warm(kModule, around, 6.0);
    const auto result = site.score();
    REQUIRE(result.findings.size() == 1);
    CHECK(result.findings[0].pattern == Pattern::junction_box);
    CHECK(result.findings[0].cells.size() == 2);
    CHECK(result.findings[0].delta_t.value.value() > 10.0);
}

TEST_CASE("patterns: unequal hot cells in one patch may have a cause outside, and take their substring along",
          "[score]") {
    Site site;
    site.warm(kModule, site.type().cells_of_substring(2), 4.0);
    site.warm(kModule, 33, 35.0);
    site.warm(kModule, 27, 25.0);
    site.warm(kModule, 34, 20.0);
    const auto result = site.score();
    REQUIRE(result.findings.size() == 1);
    CHECK(result.findings[0].pattern == Pattern::external_cause_possible);
    CHECK(result.findings[0].cells.size() == 3);
    CHECK(says(result.findings[0], "is bypassed for it"));
}

TEST_CASE("patterns: hot cells side by side are one patch if they are all there are, else cells of their own",
          "[score]") {
    Site two;
    two.warm(kModule, 27, 30.0);
    two.warm(kModule, 33, 28.0);
    const auto patch = two.score();
    REQUIRE(patch.findings.size() == 1);
    CHECK(patch.findings[0].pattern == Pattern::external_cause_possible);
    CHECK(patch.findings[0].cells.size() == 2);

    two.warm(kModule, 6, 29.0);
    const auto apart = two.score();
    REQUIRE(apart.findings.size() == 1);
    CHECK(apart.findings[0].pattern == Pattern::multiple_hot_cells);
}

TEST_CASE("patterns: dirt over two substrings of half cells is no short of both, although their twins are a patchwork",
          "[score]") {
    Site site(true);
    for (const int substring : {1, 2}) {
        const auto branches = site.type().branches_of_substring(substring);
        site.warm(kModule, branches[0], 3.0);
        site.warm(kModule, branches[1], 5.0);
        site.make_patchwork(kModule, branches[1], 1.5);
    }
    const auto cell = [&](int row, int column) { return site.type().cell_number({row, column}); };
    site.warm(kModule, cell(4, 1), 20.0);
    site.warm(kModule, cell(4, 2), 45.0);
    site.warm(kModule, cell(5, 2), 15.0);
    const auto result = site.score();
    REQUIRE(result.findings.size() == 1);
    INFO(result.findings[0].evidence);
    CHECK(result.findings[0].pattern == Pattern::external_cause_possible);
    CHECK(result.findings[0].cells.size() == 3);
    CHECK(says(result.findings[0], "substring 1 and 2 is bypassed for it"));
}

TEST_CASE("patterns: a milder hot cell in the other half of a hot cell's substring is its doing", "[score]") {
    const auto cells_named = [](double other_k) {
        Site site(true);
        const auto branches = site.type().branches_of_substring(2);
        site.warm(kModule, branches[0][8], 25.0);
        site.warm(kModule, branches[1][11], other_k);
        return site.score().findings.size();
    };
    CHECK(cells_named(10.0) == 1);
    CHECK(cells_named(18.0) == 2);
}

TEST_CASE("patterns: what visible light shows on hot cells names dirt, shade and broken glass", "[score]") {
    constexpr int kCell = 27;
    const auto look = [](const Site& site) {
        VisibleLook seen;
        seen.brighter.assign(static_cast<std::size_t>(site.type().cell_count()), 1.0);
        seen.scatter = 2.0;
        seen.front_brighter = 1.0;
        seen.front_scatter = 2.0;
        seen.pictures = 2;
        seen.others = 30;
        seen.frame = "visible_1.jpg";
        return seen;
    };
    const auto scored = [&](double brighter, int cell, int pictures) {
        Site site;
        site.warm(kModule, kCell, 20.0);
        VisibleLook seen = look(site);
        seen.brighter[static_cast<std::size_t>(cell)] = brighter;
        seen.pictures = pictures;
        site.inputs[kModule].visible = seen;
        const auto result = site.score();
        REQUIRE(result.findings.size() == 1);
        return result.findings[0];
    };
    const Finding dirt = scored(40.0, kCell, 2);
    CHECK(dirt.pattern == Pattern::soiling);
    CHECK(dirt.pattern_second == Pattern::hot_cell);
    CHECK(dirt.abnormality == AbnormalityClass::thermal);
    CHECK(
        says(dirt,
             "in visible light (visible_1.jpg and 1 more) 1 cell there is brighter than the same cells of 30 modules"));
    const Finding shade = scored(-40.0, kCell, 2);
    CHECK(shade.pattern == Pattern::shading);
    CHECK(shade.abnormality == AbnormalityClass::none);
    CHECK(scored(40.0, kCell, 1).pattern == Pattern::hot_cell);      // may be mirrored
    CHECK(scored(40.0, kCell - 2, 2).pattern == Pattern::hot_cell);  // elsewhere
    CHECK(scored(11.0, kCell, 2).pattern == Pattern::hot_cell);      // hardly seen

    Site broken;
    for (const int cell : broken.all_cells()) {  // blots of three by three cells
        const CellIndex at = broken.type().cell_at(cell);
        broken.warm(kModule, cell, 4.0 + 3.0 * ((at.row / 3 + at.column / 3) % 2));
    }
    VisibleLook bright = look(broken);
    bright.front_brighter = 25.0;
    broken.inputs[kModule].visible = bright;
    const auto result = broken.score();
    REQUIRE(result.findings.size() == 1);
    CHECK(result.findings[0].pattern == Pattern::broken_glass_suspected);
    CHECK(result.findings[0].pattern_second == Pattern::external_cause_possible);
}

TEST_CASE("patterns: what pixels resolve of a hot cell names parts, points and ribbons", "[score]") {
    constexpr int kCell = 27;
    constexpr double kRise_k = 14.0;
    CellLook half;
    half.cell = kCell;
    half.fill = 0.53;
    half.low = 0.3;
    half.across_m = 0.03;
    half.along_m = 0.04;
    half.off_centre = 0.2;
    half.point_ratio = 1.5;
    half.views = 3;
    const auto scored = [&](const CellLook& look, bool half_cut = false, double rise_k = 14.0) {
        Site site(half_cut);
        site.warm(kModule, look.cell, rise_k);
        site.inputs[kModule].looks = {look};
        const auto result = site.score();
        REQUIRE(result.findings.size() == 1);
        return result.findings[0];
    };

    const Finding part = scored(half);
    INFO(part.evidence);
    CHECK(part.pattern == Pattern::part_of_cell);
    CHECK(part.pattern_probability > 0.8);
    CHECK_THAT(part.delta_t.value.value(), WithinAbs(1.5 * kRise_k, 1.5));
    CHECK(part.flags.has(Flag::lower_bound));
    CHECK(says(part, "What three pixels see of cell"));
    CHECK(says(part, "a part of the cell by its pixels: on average 53 % of the hottest one"));

    // What is lost is the heat of the whole cell, however it lies in it.
    CellLook even = half;
    even.fill = 0.74;
    even.low = 0.74;
    const Finding whole = scored(even);
    CHECK(whole.pattern == Pattern::hot_cell);
    CHECK_THAT(part.loss_w_low, WithinAbs(whole.loss_w_low, 0.25 * whole.loss_w_low));

    CellLook spot = half;
    spot.fill = 0.38;
    spot.off_centre = 0.1;
    spot.along_m = spot.across_m;
    CHECK(scored(spot).pattern == Pattern::hot_point);

    CellLook line = spot;
    line.along_m = 1.25 * line.across_m;
    CHECK(scored(line).pattern == Pattern::cell_interconnect);

    // Between a point and a line the wider name stands, and says so.
    CellLook between = line;
    between.along_m = 1.17 * between.across_m;
    const Finding undecided = scored(between);
    CHECK(undecided.pattern == Pattern::hot_cell);
    CHECK(undecided.pattern_second == Pattern::cell_interconnect);
    CHECK(says(undecided, "not clearly a line"));
    CHECK_THAT(undecided.delta_t.value.value(), WithinAbs(kRise_k, 1.5));

    CellLook once = half;
    once.views = 1;
    CHECK(scored(once).pattern == Pattern::hot_cell);
    CHECK(scored(half, false, 4.1).pattern == Pattern::hot_cell);  // too weak: its hottest pixel is 7.7 K warmer
    CHECK(scored(line, false, 5.0).pattern == Pattern::cell_interconnect);  // 13 K
    CHECK(scored(half, true).pattern == Pattern::hot_cell);                 // figures of half cells are not measured
}
