// `review` from the outside: a reviewed round trip by each door, on the invented survey's result folder.
#include "support/program.hpp"
#include "support/sample_result.hpp"
#include "support/temp_folder.hpp"
#include "support/text_file.hpp"

#include <catch2/catch.hpp>
#include <gdal_priv.h>
#include <nlohmann/json.hpp>
#include <ogrsf_frmts.h>

namespace fs = std::filesystem;
using namespace heatrow::testing;
using Catch::Matchers::Contains;
using Json = nlohmann::json;

namespace {

ProgramResult run(const std::vector<std::string>& arguments) {
    return run_program(HEATROW_PROGRAM, arguments);
}

// Two ids of the invented survey.
const std::string kHot = "F-1-3-hot_cell";
const std::string kString = "F-2-string";

std::string decisions(const std::string& rows) {
    return R"({"format":"heatrow-decisions","format_version":1,"survey":"sample-2026-06","decisions":[)" + rows + "]}";
}

const std::string kRejected = R"({"finding":"F-1-3-hot_cell","verdict":"rejected","comment":"a leaf",)"
                              R"("reviewer":"A. Reviewer","reviewed_utc":"2026-06-20T12:00:00+02:00"})";

Json show(const fs::path& result) {
    const auto shown = run({"review", "show", result.string(), "--json"});
    INFO(shown.err);
    REQUIRE(shown.exit_code == 0);
    return Json::parse(shown.out);
}

struct Workplace {
    TempFolder temp;
    fs::path result = temp.path() / "result";
    Workplace() { write_sample_result(result); }
    [[nodiscard]] fs::path file(const std::string& name) const { return temp.path() / name; }
};

// A workbook with one sheet of texts.
void write_xlsx(const fs::path& file, const std::vector<std::vector<std::string>>& rows) {
    GDALAllRegister();
    const GDALDatasetUniquePtr book(
        GetGDALDriverManager()->GetDriverByName("XLSX")->Create(file.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
    OGRLayer* sheet = book->CreateLayer("Findings");
    for (const std::string& name : rows.front()) {
        OGRFieldDefn field(name.c_str(), OFTString);
        REQUIRE(sheet->CreateField(&field) == OGRERR_NONE);
    }
    for (std::size_t i = 1; i < rows.size(); ++i) {
        OGRFeature feature(sheet->GetLayerDefn());
        for (std::size_t k = 0; k < rows[i].size(); ++k) {
            feature.SetField(static_cast<int>(k), rows[i][k].c_str());
        }
        REQUIRE(sheet->CreateFeature(&feature) == OGRERR_NONE);
    }
}

// An attribute of a finding, as someone edits it in a GIS.
void edit_gpkg(const fs::path& file, const std::string& finding, const std::string& column, const std::string& value) {
    GDALAllRegister();
    const GDALDatasetUniquePtr dataset(GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR | GDAL_OF_UPDATE));
    dataset->ExecuteSQL(
        ("UPDATE findings SET " + column + " = '" + value + "' WHERE finding = '" + finding + "'").c_str(),
        nullptr,
        nullptr);
}

}  // namespace

TEST_CASE("review: the decisions file of the page goes into log, tables and page", "[e2e]") {
    const Workplace place;
    write_text(place.file("d.json"), decisions(kRejected));
    const auto done = run({"review", "apply", place.result.string(), place.file("d.json").string(), "--overwrite"});
    INFO(done.err);
    REQUIRE(done.exit_code == 0);
    CHECK_THAT(done.out, Contains("1 decisions taken, 0 rows"));
    const Json shown = show(place.result);
    CHECK(shown["log"].size() == 1);
    CHECK(shown["log"][0]["reviewed_utc"] == "2026-06-20T10:00:00Z");
    CHECK(shown["log"][0]["before"]["verdict"] == "open");
    CHECK(shown["log"][0]["after"] ==
          Json{{"verdict", "rejected"}, {"pattern", ""}, {"comment", "a leaf"}, {"work_status", "open"}});
    CHECK(shown["log"][0]["source"] == "d.json");
    CHECK(shown["patterns"]["hot_cell"]["rejected"] == 1);
    // Wilson's interval of none of one: 0 to z^2 / (1 + z^2).
    CHECK(shown["all"]["agreement_low"] == 0.0);
    CHECK(shown["all"]["agreement_high"] == 0.7935);
    CHECK_THAT(text_of(place.result / "findings.csv"), Contains(",rejected,"));
    CHECK_THAT(text_of(place.result / "report.html"), Contains("a leaf"));
    CHECK_THAT(text_of(place.result / "findings.kml"), Contains("rejected"));
    CHECK_THAT(text_of(place.result / "worklist.csv"), !Contains(kHot) && Contains(kString));
    CHECK_FALSE(fs::exists(place.result / "worklist-class-3.gpx"));  // it was the only one of its class

    // Again: it holds already. Changed later: both stand in the log.
    const auto again = run({"review", "apply", place.result.string(), place.file("d.json").string(), "--overwrite"});
    CHECK_THAT(again.out, Contains("0 decisions taken, 1 rows"));
    write_text(place.file("later.csv"),
               "finding;verdict;pattern;comment;reviewer;reviewed_utc\r\n" + kHot +
                   ";confirmed;junction_box;seen on site;B. Reviewer;2026-06-21 08:00:00\r\n");
    REQUIRE(
        run({"review", "apply", place.result.string(), place.file("later.csv").string(), "--overwrite"}).exit_code ==
        0);
    const Json later = show(place.result);
    CHECK(later["log"].size() == 2);
    CHECK(later["log"][1]["before"]["verdict"] == "rejected");
    CHECK(later["log"][1]["after"]["pattern"] == "junction_box");
    CHECK(later["patterns"]["hot_cell"]["relabelled"] == 1);
}

TEST_CASE("review: spreadsheet and GIS are doors too", "[e2e]") {
    const Workplace place;
    write_xlsx(place.file("findings.xlsx"),
               {{"finding", "module", "verdict", "pattern", "comment", "reviewer", "reviewed_utc"},
                {kHot, "S1-M3", "confirmed", "hot_cell", "", "", ""},
                {kString, "", "open", "string_warm_cause_open", "", "", ""}});
    const auto sheet = run({"review",
                            "apply",
                            place.result.string(),
                            place.file("findings.xlsx").string(),
                            "--reviewer",
                            "A. Reviewer",
                            "--reviewed",
                            "2026-06-20T10:00:00Z",
                            "--overwrite",
                            "--json"});
    INFO(sheet.err);
    REQUIRE(sheet.exit_code == 0);
    CHECK(Json::parse(sheet.out)["taken"] == 1);
    CHECK(Json::parse(sheet.out)["unchanged"] == 1);

    fs::copy_file(place.result / "survey.gpkg", place.file("edited.gpkg"));
    edit_gpkg(place.file("edited.gpkg"), kHot, "verdict", "rejected");
    edit_gpkg(place.file("edited.gpkg"), kHot, "comment", "glint");
    // The time beside it is still that of the decision before.
    const auto stale =
        run({"review", "apply", place.result.string(), place.file("edited.gpkg").string(), "--overwrite"});
    CHECK(stale.exit_code == 1);
    CHECK_THAT(stale.err, Contains("when it was decided") && Contains("--reviewed"));
    const fs::path reviewed = place.file("reviewed");
    const auto map = run({"review",
                          "apply",
                          place.result.string(),
                          place.file("edited.gpkg").string(),
                          "--reviewed",
                          "2026-06-22T10:00:00Z",
                          "--out",
                          reviewed.string()});
    INFO(map.err);
    REQUIRE(map.exit_code == 0);
    CHECK(show(reviewed)["log"].size() == 2);
    CHECK(show(reviewed)["log"][1]["after"]["comment"] == "glint");
    CHECK(show(place.result)["log"].size() == 1);
}

TEST_CASE("review: rows that cannot be taken are refused one by one, and nothing is changed", "[e2e]") {
    const Workplace place;
    const auto before = files_of(place.result);
    write_text(place.file("bad.csv"),
               "finding,verdict,comment,reviewer,reviewed_utc\n"
               "nowhere,confirmed,,A,2026-06-20T10:00:00Z\n" +
                   kHot + ",confirmed,,A,2026-06-20T10:00:00Z\n" + kHot + ",rejected,dirt,A,2026-06-20T10:00:00Z\n" +
                   kString + ",rejected,,A,2026-06-20T10:00:00Z\n");
    const auto bad = run({"review", "apply", place.result.string(), place.file("bad.csv").string(), "--overwrite"});
    CHECK(bad.exit_code == 1);
    CHECK_THAT(bad.err, Contains("bad.csv, line 2: finding \"nowhere\": the record has no such finding"));
    CHECK_THAT(bad.err, Contains("bad.csv, line 4") && Contains("names it before"));
    CHECK_THAT(bad.err, Contains("bad.csv, line 5") && Contains("without a reason"));
    CHECK_THAT(bad.err, Contains("3 of their rows"));

    const auto refused = [&](const std::string& name, const std::string& text) {
        write_text(place.file(name), text);
        const auto result = run({"review", "apply", place.result.string(), place.file(name).string(), "--overwrite"});
        CHECK(result.exit_code == 1);
        return result.err;
    };
    CHECK_THAT(refused("slip.csv", "finding,verdict,reviwer\nx,open,A\n"), Contains("Did you mean \"reviewer\""));
    CHECK_THAT(refused("word.csv", "finding,verdict\n" + kHot + ",confirmd\n"), Contains("Did you mean \"confirmed\""));
    CHECK_THAT(refused("key.json", decisions(R"({"finding":"x","verdct":"open"})")),
               Contains("Did you mean \"verdict\""));
    CHECK_THAT(refused("cut.json", "{\"format\":"), Contains("cut.json"));
    CHECK_THAT(
        refused("other.json", R"({"format":"heatrow-decisions","format_version":1,"survey":"another","decisions":[]})"),
        Contains("\"another\""));
    CHECK_THAT(refused("note.txt", "confirmed"), Contains(".json, .csv, .xlsx or .gpkg"));
    write_text(place.file("good.json"), decisions(kRejected));
    const auto taken = run({"review", "apply", place.result.string(), place.file("good.json").string()});
    CHECK(taken.exit_code == 1);
    CHECK_THAT(taken.err, Contains("--overwrite"));
    CHECK(run({"review",
               "apply",
               place.result.string(),
               place.file("good.json").string(),
               "--reviewed",
               "Friday",
               "--overwrite"})
              .exit_code == 2);
    CHECK(files_of(place.result) == before);
}

TEST_CASE("review: a log is carried to a new run of the survey", "[e2e]") {
    const Workplace place;
    write_text(place.file("d.json"),
               decisions(kRejected + R"(,{"finding":"F-2-string","verdict":"confirmed","reviewer":"A",)"
                                     R"("reviewed_utc":"2026-06-20T10:00:00Z"})"));
    REQUIRE(run({"review", "apply", place.result.string(), place.file("d.json").string(), "--overwrite"}).exit_code ==
            0);
    const fs::path smaller = place.file("smaller");  // one string only: the finding on the second is gone
    write_sample_result(smaller, {.strings = 1, .modules_per_string = 12, .hostile_ids = false});
    const auto carried = run({"review", "carry", place.result.string(), smaller.string(), "--overwrite", "--json"});
    INFO(carried.err);
    REQUIRE(carried.exit_code == 0);
    const Json json = Json::parse(carried.out);
    CHECK(json["entries"] == 2);
    CHECK(json["found_again"] == 1);
    CHECK(json["gone"] == Json{"F-2-string"});
    const Json shown = show(smaller);
    CHECK(shown["log"].size() == 2);
    CHECK(shown["patterns"]["hot_cell"]["rejected"] == 1);
    // Once more adds nothing.
    CHECK_THAT(run({"review", "carry", place.result.string(), smaller.string(), "--overwrite"}).out,
               Contains("0 log rows"));
}

TEST_CASE("review: a pattern that the reviewer gives brings its own rule, and what was found is kept", "[e2e]") {
    const Workplace place;
    const auto apply = [&place](const std::string& name, const std::string& text) {
        write_text(place.file(name), text);
        const auto done =
            run({"review", "apply", place.result.string(), place.file(name).string(), "--overwrite", "--json"});
        INFO(done.err);
        REQUIRE(done.exit_code == 0);
        return Json::parse(done.out);
    };
    const auto first_answer = [&place](const std::string& statement) {
        GDALAllRegister();
        const GDALDatasetUniquePtr dataset(
            GDALDataset::Open((place.result / "survey.gpkg").c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY));
        OGRLayer* answer = dataset->ExecuteSQL(statement.c_str(), nullptr, nullptr);
        REQUIRE(answer != nullptr);
        const OGRFeatureUniquePtr row(answer->GetNextFeature());
        const std::string text = row ? row->GetFieldAsString(0) : "";
        dataset->ReleaseResultSet(answer);
        return text;
    };
    const auto before = files_of(place.result);
    const std::string columns = "finding,verdict,pattern,comment,reviewer,reviewed_utc\n";
    // 36.8 K at 1000 W/m2 is class 3 for a cell; the rule of a third without export has no class 3.
    const Json taken =
        apply("third.csv", columns + kHot + ",confirmed,substring_bypassed,,A. Reviewer,2026-06-21T08:00:00Z\n");
    CHECK(taken["findings"][0]["class_before"] == 3);
    CHECK(taken["findings"][0]["class_after"] == 2);
    const std::string csv = text_of(place.result / "findings.csv");
    CHECK_THAT(csv, Contains(",confirmed,open,,A. Reviewer,2026-06-21T08:00:00Z,hot_cell,3,36.82,"));
    CHECK_FALSE(fs::exists(place.result / "worklist-class-3.gpx"));
    CHECK(first_answer("SELECT state FROM modules WHERE module = 'S1-M3'") == "class_2");
    CHECK(first_answer("SELECT reviewed_class FROM findings WHERE finding = '" + kHot + "'") == "2");
    CHECK(first_answer("SELECT class FROM findings WHERE finding = '" + kHot + "'") == "3");
    CHECK(first_answer("SELECT class_before || ' ' || class FROM review_log") == "3 2");

    // Another exponent scales the difference anew: 31 K (1000 / 838)^2.
    apply("ribbon.csv", columns + kHot + ",confirmed,cell_interconnect,,A. Reviewer,2026-06-22T08:00:00Z\n");
    CHECK_THAT(first_answer("SELECT round(reviewed_delta_t_1000_k, 2) FROM findings WHERE finding = '" + kHot + "'"),
               Contains("44.14"));
    // A pattern without a rule keeps the class.
    const Json box = apply("box.csv", columns + kHot + ",confirmed,junction_box,,A. Reviewer,2026-06-23T08:00:00Z\n");
    CHECK(box["findings"][0]["class_after"] == 3);
    // The file as it was written changes nothing; given back the program's pattern, all is as it was.
    CHECK(apply("same.csv", text_of(place.result / "findings.csv"))["taken"] == 0);
    apply("back.csv", columns + kHot + ",open,hot_cell,,A. Reviewer,2026-06-24T08:00:00Z\n");
    CHECK(first_answer("SELECT state FROM modules WHERE module = 'S1-M3'") == "class_3");
    CHECK(first_answer("SELECT reviewed_class FROM findings WHERE finding = '" + kHot + "'").empty());
    auto after = files_of(place.result);
    for (const char* name : {"worklist.csv", "worklist-class-3.gpx", "modules.csv", "findings.kml"}) {
        CAPTURE(name);
        CHECK(after.at(name) == before.at(name));
    }
}

TEST_CASE("review: work goes from open to verified, through every door", "[e2e]") {
    const Workplace place;
    write_text(place.file("plan.json"),
               decisions(R"({"finding":"F-1-3-hot_cell","work_status":"repaired","comment":"module replaced",)"
                         R"("reviewer":"A. Technician","reviewed_utc":"2026-07-01T12:00:00Z"},)"
                         R"({"finding":"F-2-string","work_status":"repaired","reviewer":"A. Technician",)"
                         R"("reviewed_utc":"2026-07-01T12:00:00Z"})"));
    const auto done = run({"review", "apply", place.result.string(), place.file("plan.json").string(), "--overwrite"});
    INFO(done.err);
    REQUIRE(done.exit_code == 0);
    const std::string list = text_of(place.result / "worklist.csv");
    CHECK_THAT(list, Contains(",repaired\r\n"));
    CHECK_FALSE(fs::exists(place.result / "worklist-class-3.gpx"));  // nobody has to go there
    CHECK_THAT(text_of(place.result / "findings.csv"), Contains(",open,repaired,module replaced,A. Technician,"));
    CHECK_THAT(text_of(place.result / "report.html"), Contains("work status open, then repaired"));

    // The next survey: one string only, on which the finding is there again.
    const fs::path later = place.file("later");
    write_sample_result(later, {.strings = 1, .modules_per_string = 12, .hostile_ids = false});
    const std::vector<std::string> reinspect = {"review",
                                                "reinspect",
                                                place.result.string(),
                                                later.string(),
                                                "--reviewer",
                                                "B. Inspector",
                                                "--reviewed",
                                                "2026-09-14T10:00:00Z"};
    const auto taken = run(reinspect);
    CHECK(taken.exit_code == 1);
    CHECK_THAT(taken.err, Contains("--overwrite"));
    std::vector<std::string> with = reinspect;
    with.insert(with.end(), {"--overwrite", "--json"});
    const auto seen = run(with);
    INFO(seen.err);
    REQUIRE(seen.exit_code == 0);
    const Json json = Json::parse(seen.out);
    CHECK(json["findings"] == Json{{{"finding", kHot}, {"work_status", "still_there"}}});
    REQUIRE(json["undecided"].size() == 1);
    CHECK_THAT(json["undecided"][0].get<std::string>(), Contains("F-2-string") && Contains("does not have it"));
    CHECK_THAT(text_of(later / "worklist.csv"), Contains(",still_there\r\n"));
    CHECK(fs::exists(later / "worklist-class-3.gpx"));
    CHECK(show(later)["log"].size() == 3);
    std::vector<std::string> friday = reinspect;
    friday.back() = "Friday";
    CHECK(run(friday).exit_code == 2);
    write_text(place.file("slip.csv"), "finding,verdict,work_status\n" + kHot + ",open,repared\n");
    CHECK_THAT(run({"review", "apply", place.result.string(), place.file("slip.csv").string(), "--overwrite"}).err,
               Contains("Did you mean \"repaired\""));
}

TEST_CASE("review: the log of a record of the version before is carried over", "[e2e]") {
    const Workplace place;
    write_text(place.file("d.json"), decisions(kRejected));
    const fs::path old = place.file("old");
    REQUIRE(run({"review", "apply", place.result.string(), place.file("d.json").string(), "--out", old.string()})
                .exit_code == 0);
    {
        const GDALDatasetUniquePtr dataset(
            GDALDataset::Open((old / "survey.gpkg").c_str(), GDAL_OF_VECTOR | GDAL_OF_UPDATE));
        for (const char* statement : {"UPDATE run SET value = '2' WHERE key = 'format_version'",
                                      "ALTER TABLE review_log DROP COLUMN class_before",
                                      "ALTER TABLE review_log DROP COLUMN class",
                                      "ALTER TABLE review_log DROP COLUMN work_before",
                                      "ALTER TABLE review_log DROP COLUMN work"}) {
            dataset->ExecuteSQL(statement, nullptr, nullptr);
        }
    }
    const auto refused = run({"report", old.string(), "--overwrite"});
    CHECK(refused.exit_code == 1);
    CHECK_THAT(refused.err, Contains("version \"2\""));
    const auto carried = run({"review", "carry", old.string(), place.result.string(), "--overwrite", "--json"});
    INFO(carried.err);
    REQUIRE(carried.exit_code == 0);
    CHECK(Json::parse(carried.out)["entries"] == 1);
}
