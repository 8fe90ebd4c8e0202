// The grader: its rules on hand-made tables, and whole on a perfect and on a shifted analysis.
#include "grade.hpp"

#include "best_estimator.hpp"
#include "csv_table.hpp"
#include "fault_sheet.hpp"
#include "grade_certainty.hpp"
#include "grade_patterns.hpp"
#include "render.hpp"
#include "scene_fixture.hpp"
#include "survey_writer.hpp"

#include <catch2/catch.hpp>
#include <fmt/format.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <cmath>
#include <map>

namespace {

namespace fs = std::filesystem;
using namespace scene;

Quad square(double x, double y) {
    return {{{x, y}, {x + 10, y}, {x + 10, y + 10}, {x, y + 10}}};
}

Abnormality place(const std::string& id,
                  const std::string& module,
                  const std::string& string,
                  const std::string& pattern,
                  std::set<int> cells = {}) {
    Abnormality result;
    result.id = id;
    result.module = module;
    result.string = string;
    result.pattern = pattern;
    result.cells = std::move(cells);
    return result;
}

Abnormality in_scope(Abnormality fault, double delta_t_k) {
    fault.in_scope = true;
    fault.delta_t_k = delta_t_k;
    fault.delta_t_1000_k = delta_t_k;
    return fault;
}

const Figure& figure(const Grade& grade, const std::string& name) {
    for (const Figure& candidate : grade.figures) {
        if (candidate.name == name) {
            return candidate;
        }
    }
    FAIL("no figure " << name);
    return grade.figures.front();
}

// An analysis that repeats the truth, module names changed by `rename`.
template <class Rename>
void write_analysis(const fs::path& rendered, const fs::path& out, Rename rename) {
    fs::create_directories(out);
    const auto outlines = CsvTable::read(rendered / "truth/outlines.csv", {"frame", "module", "visible_share"});
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GPKG");
    GDALDataset* dataset = driver->Create((out / "survey.gpkg").c_str(), 0, 0, 0, GDT_Unknown, nullptr);
    OGRLayer* layer = dataset->CreateLayer("views", nullptr, wkbNone, nullptr);
    for (const char* name : {"frame", "module", "placement"}) {
        OGRFieldDefn field(name, OFTString);
        layer->CreateField(&field);
    }
    const std::vector<std::string> corners{"x1", "y1", "x2", "y2", "x3", "y3", "x4", "y4"};
    for (const auto& name : corners) {
        OGRFieldDefn field(name.c_str(), OFTReal);
        layer->CreateField(&field);
    }
    for (std::size_t row = 0; row < outlines.size(); ++row) {
        if (outlines.number(row, "visible_share") < 0.995) {
            continue;
        }
        OGRFeature feature(layer->GetLayerDefn());
        feature.SetField("frame", outlines.text(row, "frame").c_str());
        feature.SetField("module", rename(outlines.text(row, "module")).c_str());
        feature.SetField("placement", "placed");
        for (const auto& name : corners) {
            feature.SetField(name.c_str(), outlines.number(row, name));
        }
        REQUIRE(layer->CreateFeature(&feature) == OGRERR_NONE);
    }
    GDALClose(dataset);

    const auto faults = CsvTable::read(rendered / "truth/faults.csv", {"fault", "decoy"});
    std::string findings =
        "finding,module,candidates,string,pattern,pattern_probability,pattern_second,substrings,cells,class,class_"
        "probability,delta_t_k,delta_t_u95_k,"
        "delta_t_1000_k,"
        "delta_t_1000_u95_k,evidence\n";
    for (std::size_t row = 0; row < faults.size(); ++row) {
        if (faults.text(row, "decoy") == "yes") {
            continue;
        }
        const std::string& module = faults.text(row, "module");
        findings += fmt::format("{},{},,{},{},0.9,,{},{},2,0.9,{:.3f},1.0,{:.3f},1.2,\"warm, so it seems\"\n",
                                faults.text(row, "fault"),
                                module.empty() ? "" : rename(module),
                                faults.text(row, "string"),
                                faults.text(row, "pattern"),
                                faults.text(row, "substrings"),
                                faults.text(row, "cells"),
                                faults.number(row, "delta_t_k") + 0.5,
                                faults.number(row, "delta_t_1000_k") + 2.0);
    }
    write_text(out / "findings.csv", findings);
    write_text(out / "modules.csv", "module,assessed\na,yes\nb,no\n");
}

}  // namespace

TEST_CASE("grade: a view is right, wrong or on no module by its centre", "[scene]") {
    const FrameModule a{"f", "A", square(0, 0)};
    const FrameModule b{"f", "B", square(12, 0)};
    const std::vector<const FrameModule*> outlines{&a, &b};
    CHECK(judge_view({"f", "A", square(3, -2)}, outlines) == ViewVerdict::right);
    CHECK(judge_view({"f", "A", square(11, 1)}, outlines) == ViewVerdict::wrong);
    CHECK(judge_view({"f", "A", square(6, 0)}, outlines) == ViewVerdict::elsewhere);  // in the gap
    CHECK(judge_view({"f", "C", square(0, 0)}, outlines) == ViewVerdict::wrong);
}

TEST_CASE("grade: a module without a view is unnamed, an ambiguous view is no name", "[scene]") {
    GradeInput input;
    input.modules = 3;
    input.outlines = {{"f", "A", square(0, 0)}, {"f", "B", square(12, 0)}, {"f", "C", square(24, 0), 0.5}};
    input.views = {{"f", "A", square(0.3, 0.4)}, {"f", "B", square(12, 0), 1.0, "ambiguous"}};
    const Grade result = grade({input});
    CHECK(figure(result, "views_right").value == Approx(100.0));
    CHECK(figure(result, "views_right").count == 1);
    CHECK(figure(result, "modules_unnamed").value == Approx(50.0));  // C is never wholly in view
    CHECK(figure(result, "modules_unnamed").count == 2);
    CHECK(figure(result, "outline_error_median").value == Approx(0.5));
    input.views.push_back({"f", "B", square(0, 0)});
    CHECK(figure(grade({input}), "views_wrong").value == Approx(50.0));
    CHECK(figure(grade({input, input}), "views_wrong").count == 4);
}

TEST_CASE("grade: findings and faults match one to one by object and cells", "[scene]") {
    const std::vector<Abnormality> faults{place("F1", "A", "S1", "hot_cell", {7}),
                                          place("F2", "B", "S1", "substring_bypassed", {0, 1, 2, 3}),
                                          place("F3", "", "S2", "string_warm_cause_open")};
    SECTION("all found") {
        const auto m = match_findings(faults,
                                      {place("x", "", "S2", "string_warm_cause_open"),
                                       place("y", "A", "S1", "hot_cell", {7}),
                                       place("z", "B", "S1", "hot_cell", {2})});
        CHECK(m.finding_of_fault == std::vector<int>{1, 2, 0});  // F2 found, its pattern wrong
    }
    SECTION("the second finding at one fault is beside it, neither right nor false") {
        const auto m = match_findings(
            faults,
            {place("x", "B", "S1", "hot_cell", {2}), place("y", "B", "S1", "substring_bypassed", {0, 1, 2, 3})});
        CHECK(m.fault_of_finding == std::vector<int>{-1, 1});  // the same pattern goes first
        CHECK(m.beside_a_fault == std::vector<bool>{true, false});
    }
    SECTION("no common cell, another module, another string: false") {
        const auto m = match_findings(faults,
                                      {place("x", "A", "S1", "hot_cell", {8}),
                                       place("y", "C", "S1", "hot_cell", {7}),
                                       place("z", "", "S1", "string_warm_cause_open")});
        CHECK(m.fault_of_finding == std::vector<int>{-1, -1, -1});
        CHECK(m.beside_a_fault == std::vector<bool>{false, false, false});
    }
    SECTION("modules of a warm string are beside the string's fault") {
        const auto m = match_findings(faults, {place("x", "D", "S2", "open_circuit_module")});
        CHECK(m.finding_of_fault[2] == -1);
        CHECK(m.beside_a_fault[0]);
    }
}

TEST_CASE("grade: decoys and out-of-scope faults count as they should", "[scene]") {
    GradeInput input;
    input.modules = 100;
    Abnormality decoy = place("D1", "E", "S3", "hot_cell", {1});
    decoy.decoy = true;
    input.faults = {in_scope(place("F1", "A", "S1", "hot_cell", {7}), 20.0),
                    in_scope(place("F2", "B", "S1", "open_circuit_module"), 6.0),
                    place("F3", "C", "S1", "hot_cell", {3}),
                    decoy};
    Abnormality right = place("x", "A", "S1", "hot_cell", {7});
    right.delta_t_k = 19.0;
    right.delta_t_u95_k = 1.5;
    right.delta_t_1000_k = 21.0;
    right.delta_t_1000_u95_k = 0.5;
    input.findings = {right, place("y", "C", "S1", "hot_cell", {3}), place("z", "E", "S3", "hot_cell", {1})};
    const Grade result = grade({input});
    CHECK(figure(result, "recall_in_scope").value == Approx(50.0));
    CHECK(figure(result, "recall.open_circuit_module").value == Approx(0.0));
    CHECK(figure(result, "pattern_right").count == 1);
    CHECK(figure(result, "false_findings").value == Approx(10.0));  // z lies on a decoy; y is true, out of scope
    CHECK(figure(result, "delta_t_bias.all").value == Approx(-1.0));
    CHECK(figure(result, "delta_t_u95_coverage.all").value == Approx(100.0));
    CHECK(figure(result, "delta_t_1000_u95_coverage.all").value == Approx(0.0));
}

TEST_CASE("grade: merged names count where the pixels or the evidence do not decide", "[scene]") {
    CHECK(judge_label("hot_point", "hot_cell", 4.0) == LabelVerdict::merged);
    CHECK(judge_label("hot_point", "hot_cell", 6.0) == LabelVerdict::wrong);
    CHECK(judge_label("substring_open_circuit", "substring_bypassed", 6.0) == LabelVerdict::merged);
    CHECK(judge_label("substring_bypassed", "substring_open_circuit", 6.0) == LabelVerdict::merged);
    CHECK(judge_label("substring_bypassed", "substring_short_circuited", 6.0) == LabelVerdict::wrong);
    CHECK(judge_label("hot_cell", "hot_cell", 6.0) == LabelVerdict::right);
    CHECK(judge_label("module_replaced", "module_cooler", 6.0) == LabelVerdict::merged);
    CHECK_THROWS_WITH(judge_label("hot_cell", "warm_cell", 6.0), Catch::Contains("warm_cell"));
}

TEST_CASE("grade: macro-F1 averages patterns, false findings lower it", "[scene]") {
    GradeInput input;
    input.modules = 10;
    input.faults = {in_scope(place("F1", "A", "S1", "hot_cell", {7}), 20.0),
                    in_scope(place("F2", "B", "S1", "hot_cell", {7}), 20.0),
                    in_scope(place("F3", "C", "S1", "open_circuit_module"), 6.0)};
    input.findings = {place("x", "A", "S1", "hot_cell", {7}), place("y", "C", "S1", "open_circuit_module")};
    // hot_cell: one hit, one miss, F1 = 2/3; open_circuit_module: 1.
    CHECK(figure(grade({input}), "pattern_macro_f1").value == Approx(100.0 * (2.0 / 3.0 + 1.0) / 2.0));
    input.findings.push_back(place("z", "D", "S1", "open_circuit_module"));
    CHECK(figure(grade({input}), "pattern_macro_f1").value == Approx(100.0 * 2.0 / 3.0));
}

TEST_CASE("grade: the page of patterns counts what was called what, pooled and by scene", "[scene]") {
    GradeInput input;
    input.modules = 10;
    input.faults = {in_scope(place("F1", "A", "S1", "hot_cell", {7}), 20.0),
                    in_scope(place("F2", "B", "S1", "substring_open_circuit", {7, 8}), 5.0),
                    in_scope(place("F3", "C", "S1", "open_circuit_module"), 6.0)};
    input.findings = {place("x", "A", "S1", "hot_cell", {7}),
                      place("y", "B", "S1", "substring_bypassed", {7, 8}),
                      place("z", "D", "S1", "hot_cell", {1})};
    const std::string page = patterns_page({input}, {}, true);
    CHECK_THAT(page, Catch::Contains("| hot_cell | 1 | 1 | 0 | 0 | - | 66.7 % |"));  // z is called so and is none
    CHECK_THAT(page, Catch::Contains("| substring_open_circuit | 1 | 0 | 1 | 0 | - | 100.0 % |"));
    CHECK_THAT(page, Catch::Contains("| open_circuit_module | 1 | 0 | 0 | 1 | - | 0.0 % |"));
    CHECK_THAT(page, Catch::Contains("- missed: ") && Catch::Contains("- false: "));
    CHECK_THAT(patterns_page({input}, {}, false), !Catch::Contains("- missed: "));
}

TEST_CASE("grade: the mean over the cell is the truth of a part that is called by the wider name", "[scene]") {
    FaultCase item;
    item.fault = in_scope(place("F", "m", "s", "hot_point", {1}), 30.0);
    item.fault.cell_delta_t_k = 15.0;
    item.fault.cell_delta_t_1000_k = 16.0;
    item.finding = place("f", "m", "s", "hot_point", {1});
    item.label = LabelVerdict::right;
    CHECK(item.true_delta_t_k() == 30.0);
    item.finding->pattern = "hot_cell";
    item.label = LabelVerdict::merged;
    CHECK(item.true_delta_t_k() == 15.0);
    CHECK(item.true_delta_t_1000_k() == 16.0);
}

TEST_CASE("grade: intervals are held against their errors, with and without the exponent's share", "[scene]") {
    GradeSums sums;
    ClassRule rule{10.0, 40.0};
    rule.exponent_low = 0.9;
    rule.exponent_high = 1.3;
    sums.rules["hot_cell"] = rule;
    for (int i = 0; i < 20; ++i) {  // errors of one standard uncertainty in frame, of 2.2 K at 1000 W/m2
        FaultCase item;
        item.fault = in_scope(place("F", "m", "s", "hot_cell", {1}), 20.0);
        item.fault.delta_t_1000_k = 25.0;
        item.finding = place("f", "m", "s", "hot_cell", {1});
        item.label = LabelVerdict::right;
        item.finding->delta_t_k = i % 2 == 0 ? 21.0 : 19.0;
        item.finding->delta_t_u95_k = kU95;
        item.finding->delta_t_1000_k = i % 2 == 0 ? 27.2 : 22.8;
        item.finding->delta_t_1000_u95_k = 2.3;
        sums.cases.faults.push_back(item);
    }
    const GradeTable table = interval_table(sums);
    REQUIRE(table.rows.size() == 2);
    CHECK(table.rows[1][0] == "hot_cell");
    CHECK_THAT(table.rows[1][1], Catch::StartsWith("1.00 ("));
    CHECK_THAT(table.rows[1][2], Catch::StartsWith("100.0 %"));
    CHECK_THAT(table.rows[1][4], Catch::StartsWith("100.0 %"));
    // ln(1000/G) = 0.26 and 0.18 of 27.2 and 22.8 K: 1.6 and 0.9 K of the half width are the exponent's.
    CHECK_THAT(table.rows[1][5], Catch::StartsWith("0.0 %"));
}

TEST_CASE("grade: stated probabilities of patterns are held against how often they are right", "[scene]") {
    Cases cases;
    for (int i = 0; i < 10; ++i) {
        FaultCase item;
        item.fault = in_scope(place("F", "m", "s", "hot_cell", {1}), 20.0);
        item.finding = place("f", "m", "s", i < 6 ? "hot_cell" : "junction_box", {1});
        item.finding->pattern_probability = 0.7;
        item.finding->pattern_second = "hot_cell";
        item.label = i < 6 ? LabelVerdict::right : LabelVerdict::wrong;
        cases.faults.push_back(item);
    }
    FalseFinding none;
    none.finding.pattern_probability = 0.9;
    cases.false_findings.push_back(none);
    const GradeTable table = pattern_probability_table(cases);
    REQUIRE(table.rows.size() == 2);
    CHECK(table.rows[0][0] == "60 to 80 %");
    CHECK_THAT(table.rows[0][3], Catch::StartsWith("60.0 %"));
    CHECK_THAT(table.rows[1][3], Catch::StartsWith("0.0 %"));
    // (6 x 0.09 + 4 x 0.49 + 0.81)/11, and (10 x 10 + 90)/11.
    CHECK_THAT(table.note, Catch::Contains("0.3009") && Catch::Contains("error 17.3 %"));
    CHECK_THAT(table.note, Catch::Contains("the runner-up is right: 100.0 %"));
}

TEST_CASE("grade: a class is held against the rule near a limit and far from it", "[scene]") {
    GradeSums sums;
    sums.rules["hot_cell"] = {10.0, 40.0};
    sums.rules["substring_open_circuit"] = {3.0, std::nan("")};
    const auto add = [&sums](const char* pattern, double truth, double measured, int stated_class) {
        FaultCase item;
        item.fault = in_scope(place("F", "m", "s", pattern, {1}), truth);
        item.finding = place("f", "m", "s", pattern, {1});
        item.finding->delta_t_1000_k = measured;
        item.finding->delta_t_1000_u95_k = kU95;
        item.finding->abnormality_class = stated_class;
        item.finding->class_probability = 0.7;
        item.label = LabelVerdict::right;
        sums.cases.faults.push_back(item);
    };
    add("hot_cell", 11.0, 11.5, 2);
    add("hot_cell", 9.0, 11.0, 2);
    add("hot_cell", 20.0, 20.0, 2);
    add("substring_open_circuit", 5.0, 5.0, 3);  // a cell in it sets the class
    const auto cases = class_cases(sums);
    REQUIRE(cases.size() == 3);
    CHECK(cases[0].distance_u == Approx(1.0));
    CHECK(cases[0].probability.right);
    CHECK(!cases[1].probability.right);
    CHECK(cases[2].distance_u == Approx(10.0));
    CHECK_THAT(class_table(sums).note, Catch::Contains("the class is right in 100.0 %") && Catch::Contains("n 1"));
}

TEST_CASE("grade: a refused survey is told and counts nowhere else", "[scene]") {
    GradeInput good;
    good.modules = 10;
    good.faults = {in_scope(place("F1", "A", "S1", "hot_cell", {7}), 20.0)};
    good.findings = {place("x", "A", "S1", "hot_cell", {7})};
    GradeInput refused = good;
    refused.findings.clear();
    refused.refused = "heatrow: no frame has a pose";
    const Grade result = grade({good, refused});
    CHECK(figure(result, "recall_in_scope").count == 1);
    REQUIRE(result.notes.size() == 1);
    CHECK(result.notes[0].kind == "refused");
    CHECK_THAT(result.notes[0].text, Catch::Contains("no frame has a pose"));
}

TEST_CASE("grade: true classes follow the profile's limits", "[scene]") {
    const ClassRule rule{10.0, 40.0};
    CHECK(rule.class_of(9.9) == 1);
    CHECK(rule.class_of(10.0) == 2);
    CHECK(rule.class_of(40.0) == 3);
    CHECK(rule.distance_k(37.0) == Approx(3.0));
    const ClassRule no_third{3.0, std::nan("")};
    CHECK(no_third.class_of(100.0) == 2);
    CHECK(no_third.distance_k(100.0) == Approx(97.0));
}

TEST_CASE("grade: stated probabilities of a class are held against how often it is right", "[scene]") {
    // Twenty faults near the limit of 10 K, called class 2; half of them are.
    const auto verdict_of = [](double stated) {
        GradeSums sums;
        sums.rules["hot_cell"] = {10.0, 40.0};
        for (int i = 0; i < 20; ++i) {
            FaultCase item;
            item.fault = in_scope(place("F", "m", "s", "hot_cell", {1}), i % 2 == 0 ? 9.5 : 10.5);
            item.finding = place("f", "m", "s", "hot_cell", {1});
            item.finding->abnormality_class = 2;
            item.finding->class_probability = stated;
            item.finding->delta_t_1000_u95_k = 2.0;
            item.label = LabelVerdict::right;
            sums.cases.faults.push_back(item);
        }
        for (const auto& row : target_table(sums).rows) {
            if (row[0] == "class probability, within 2 u of a limit") {
                CHECK(row[4] == "20");
                return row[5];
            }
        }
        return std::string("no such row");
    };
    CHECK(verdict_of(0.55) == "met so far");
    CHECK(verdict_of(0.95) == "**missed**");
}

TEST_CASE("grade: the best estimator of a cell follows noise, pixels and views", "[scene]") {
    // Sharp pixels, a cell of 5 x 5: the mean of 25 pixels, a little worse for the pixels on its borders.
    const CellViewing sharp{.width_px = 5.0, .height_px = 5.0, .blur_sigma_px = 0.01, .noise_k = 0.05};
    CHECK(best_cell_error_k(sharp, 20.0) == Approx(0.01).epsilon(0.15));
    CellViewing blurred = sharp;
    blurred.blur_sigma_px = 1.2;
    CHECK(best_cell_error_k(blurred, 20.0) > 1.3 * best_cell_error_k(sharp, 20.0));
    blurred.views = 4;
    CellViewing once = blurred;
    once.views = 1;
    CHECK(best_cell_error_k(blurred, 20.0) == Approx(0.5 * best_cell_error_k(once, 20.0)));
    CellViewing gain = sharp;
    gain.gain_share = 0.02;
    CHECK(best_cell_error_k(gain, 20.0) == Approx(0.4 / std::sqrt(3.0)).epsilon(0.01));
}

TEST_CASE("grade: intervals", "[scene]") {
    // Wilson's interval for 95 of 100, as in textbooks.
    const Figure share = share_figure("s", 95, 100);
    CHECK(share.low == Approx(88.82).margin(0.01));
    CHECK(share.high == Approx(97.85).margin(0.01));
    CHECK(std::isnan(share_figure("s", 0, 0).value));
    CHECK(mean_figure("m", {1.0, 2.0, 3.0}, "K").value == Approx(2.0));
    const Figure rms = rms_figure("r", std::vector<double>(100, 2.0), "K");
    CHECK(rms.value == Approx(2.0));
    // Chi-square with 100 degrees of freedom: 74.222 and 129.561.
    CHECK(rms.low == Approx(2.0 * std::sqrt(100.0 / 129.561)).epsilon(1e-3));
    CHECK(rms.high == Approx(2.0 * std::sqrt(100.0 / 74.222)).epsilon(1e-3));
    CHECK(quantile_figure("q", {5.0, 1.0, 3.0}, 0.5, "px").value == Approx(3.0));
}

TEST_CASE("grade: quoted fields of a table keep commas, quotes and line ends", "[scene]") {
    const auto table = CsvTable::parse("a,b\r\n\"x, \"\"y\"\"\nz\",2.5\n,\n", "test", {"a", "b"});
    REQUIRE(table.size() == 2);
    CHECK(table.text(0, "a") == "x, \"y\"\nz");
    CHECK(table.number(0, "b") == 2.5);
    CHECK(std::isnan(table.number(1, "b")));
    CHECK_THROWS_WITH(CsvTable::parse("a\n1,2\n", "test", {"a"}),
                      Catch::Contains("row 2") && Catch::Contains("2 fields"));
    CHECK_THROWS_WITH(CsvTable::parse("a\n1\n", "test", {"c"}), Catch::Contains("column 'c' is missing"));
    CHECK_THROWS_WITH(table.number(0, "a"), Catch::Contains("no number"));
}

TEST_CASE("grade: a perfect analysis is perfect, one shifted by a module is wrong", "[scene]") {
    const scene_test::TemporaryFolder folder;
    write_text(folder.path() / "scene.toml", scene_test::small_scene_text());
    render_scene({.scene = folder.path() / "scene.toml", .out = folder.path() / "survey", .seed = {}, .threads = 2},
                 [](int, int) {});
    write_analysis(folder.path() / "survey", folder.path() / "good", [](const std::string& id) { return id; });
    const Grade good = grade({read_grade_input(folder.path() / "survey", folder.path() / "good")});
    CHECK(figure(good, "views_right").value == Approx(100.0));
    CHECK(figure(good, "views_right").count > 10);
    CHECK(figure(good, "modules_unnamed").value == Approx(0.0));
    CHECK(figure(good, "outline_error_median").value < 1e-3);
    CHECK(figure(good, "false_findings").value == Approx(0.0));
    const double in_scope_count = figure(good, "recall_in_scope").count;
    if (in_scope_count > 0) {
        CHECK(figure(good, "recall_in_scope").value == Approx(100.0));
        CHECK(figure(good, "delta_t_bias.all").value == Approx(0.5).margin(0.002));
        CHECK(figure(good, "delta_t_u95_coverage.all").value == Approx(100.0));
        CHECK(figure(good, "delta_t_1000_u95_coverage.all").value == Approx(0.0));
    }
    CHECK(in_scope_count > 0);

    const std::map<std::string, std::string> next{{"01", "02"}, {"02", "03"}, {"03", "01"}};
    write_analysis(folder.path() / "survey", folder.path() / "bad", [&next](const std::string& id) {
        return id.substr(0, id.size() - 2) + next.at(id.substr(id.size() - 2));
    });
    const Grade bad = grade({read_grade_input(folder.path() / "survey", folder.path() / "bad")});
    CHECK(figure(bad, "views_right").value == Approx(0.0));
    CHECK(figure(bad, "views_wrong").value == Approx(100.0));
    CHECK(figure(bad, "recall.hot_cell").value == Approx(0.0));
    CHECK(to_json(bad).find("\"views_wrong\"") != std::string::npos);
    CHECK(to_text(bad).find("missed: small seed 3: F01 hot_cell on module R1-T1-A02") != std::string::npos);
}

TEST_CASE("sheet: a tile for each fault that a frame shows wholly", "[scene]") {
    const scene_test::TemporaryFolder folder;
    write_text(folder.path() / "scene.toml", scene_test::small_scene_text());
    const fs::path survey = folder.path() / "survey";
    render_scene({.scene = folder.path() / "scene.toml", .out = survey, .seed = {}, .threads = 2}, [](int, int) {});
    const fs::path picture = folder.path() / "sheet.png";
    const auto tiles = write_fault_sheet({.rendered = survey, .out = picture});
    REQUIRE_FALSE(tiles.empty());
    CHECK(tiles.front().pattern == "hot_cell");
    CHECK(tiles.front().module == "R1-T1-A02");
    CHECK(tiles.front().high - tiles.front().low > 200.0);  // 2 K of 0.01 K a count
    CHECK(scene_test::file_bytes(picture).starts_with("\x89PNG"));
    CHECK_THROWS_WITH(write_fault_sheet({.rendered = survey, .out = picture}), Catch::Contains("--overwrite"));
}
