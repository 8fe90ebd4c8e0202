// `bundle` from the outside: the evidence for one claim, on the invented survey's result folder.
#include "support/program.hpp"
#include "support/sample_result.hpp"
#include "support/temp_folder.hpp"
#include "support/text_file.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

namespace fs = std::filesystem;
using namespace heatrow::testing;
using Catch::Matchers::Contains;
using Json = nlohmann::json;

namespace {

ProgramResult run(const std::vector<std::string>& arguments) {
    return run_program(HEATROW_PROGRAM, arguments);
}

struct Workplace {
    TempFolder temp;
    fs::path result = temp.path() / "result";
    fs::path out = temp.path() / "claim";
    Workplace() { write_sample_result(result); }
    [[nodiscard]] fs::path file(const std::string& name) const { return temp.path() / name; }
    [[nodiscard]] ProgramResult bundle(std::vector<std::string> arguments) const {
        arguments.insert(arguments.begin(), {"bundle", result.string(), "--out", out.string()});
        return run(arguments);
    }
};

}  // namespace

TEST_CASE("bundle: findings of a type with serials, curves, log and hashes", "[e2e]") {
    const Workplace place;
    write_text(
        place.file("d.csv"),
        "finding,verdict,comment,reviewer,reviewed_utc\nF-1-3-hot_cell,confirmed,burn mark,A,2026-06-20T10:00:00Z\n");
    REQUIRE(run({"review", "apply", place.result.string(), place.file("d.csv").string(), "--overwrite"}).exit_code ==
            0);
    write_text(place.file("serials.csv"), "serial;module\n0042;S1-M3\n");
    write_text(place.file("iv/S1-M3.csv"), "v,i\n");
    write_text(place.file("iv/S1-M30.csv"), "of another module\n");
    const auto done = place.bundle({"--type",
                                    "sample-60",
                                    "--serials",
                                    place.file("serials.csv").string(),
                                    "--curves",
                                    place.file("iv").string(),
                                    "--json"});
    INFO(done.err);
    REQUIRE(done.exit_code == 0);
    const Json json = Json::parse(done.out);
    CHECK(json["findings"] == 3);  // of classes 2 and 3 on the first string; the second is of another type
    CHECK(json["files"] == 1);
    auto files = files_of(place.out);
    for (const char* name : {"index.html",
                             "evidence.csv",
                             "missing.csv",
                             "review-log.csv",
                             "SHA256SUMS",
                             "manifest.json",
                             "curves/S1-M3.csv"}) {
        CAPTURE(name);
        CHECK(files.contains(name));
    }
    CHECK(files.size() == 7);
    const std::string csv = files.at("evidence.csv");
    CHECK_THAT(csv, Contains("F-1-3-hot_cell,S1-M3,0042,sample-60,S1,3,3,hot_cell,31.00,1.18,36.82,1.57,"));
    CHECK_THAT(csv, Contains("curves/S1-M3.csv") && !Contains("S1-M30"));
    CHECK_THAT(files.at("review-log.csv"),
               Contains("2026-06-20T10:00:00Z,A,F-1-3-hot_cell,verdict,open,confirmed,d.csv") && Contains("burn mark"));
    CHECK_THAT(files.at("missing.csv"),
               Contains("F-1-3-hot_cell,original frames") && !Contains("F-1-3-hot_cell,serial") &&
                   Contains("F-1-5-hot_cell,serial number of the module") &&
                   Contains("F-1-5-hot_cell,verdict of a qualified thermographer"));
    CHECK_THAT(files.at("index.html"), Contains("burn mark") && Contains("0042") && !Contains("<b>\"&,=cmd"));
    // Every file but the list itself and the manifest, which names it, has its hash.
    std::size_t lines = 0;
    for (const char c : files.at("SHA256SUMS")) {
        lines += c == '\n' ? 1 : 0;
    }
    CHECK(lines == files.size() - 2);

    const auto again = place.bundle({"--type", "sample-60"});
    CHECK(again.exit_code == 1);
    CHECK_THAT(again.err, Contains("--overwrite"));
    CHECK(files_of(place.out) == files);
    const auto strict = place.bundle({"--type", "sample-60", "--overwrite", "--strict"});
    CHECK(strict.exit_code == 3);
}

TEST_CASE("bundle: a list of findings, with the frames that the run read and no others", "[e2e]") {
    const Workplace place;
    write_text(place.file("list.csv"), "finding\nF-1-3-hot_cell\nF-2-string\n");
    fs::create_directory(place.file("survey"));
    const auto without =
        place.bundle({"--list", place.file("list.csv").string(), "--survey", place.file("survey").string()});
    INFO(without.err);
    REQUIRE(without.exit_code == 0);
    CHECK_THAT(text_of(place.out / "missing.csv"), Contains("original frame frame_100.tif"));
    write_text(place.file("survey/frame_100.tif"), "another file");
    const auto other = place.bundle(
        {"--list", place.file("list.csv").string(), "--survey", place.file("survey").string(), "--overwrite"});
    CHECK(other.exit_code == 1);
    CHECK_THAT(other.err, Contains("frame_100.tif") && Contains("not the file that the run read"));
}

TEST_CASE("bundle: what cannot be chosen is refused", "[e2e]") {
    const Workplace place;
    CHECK(place.bundle({}).exit_code == 2);
    const auto type = place.bundle({"--type", "sample-61"});
    CHECK(type.exit_code == 2);
    CHECK_THAT(type.err, Contains("Did you mean \"sample-60\""));
    const auto finding = place.bundle({"--finding", "F-1-3-hotcell"});
    CHECK(finding.exit_code == 2);
    CHECK_THAT(finding.err, Contains("Did you mean \"F-1-3-hot_cell\""));
    write_text(place.file("serials.csv"), "module,serial\nS1-M3,1\nS1-M3,2\n");
    const auto twice = place.bundle({"--finding", "F-1-3-hot_cell", "--serials", place.file("serials.csv").string()});
    CHECK(twice.exit_code == 1);
    CHECK_THAT(twice.err, Contains("line 3") && Contains("named before"));
    write_text(place.file("serials.csv"), "module,serial\nS1-M33,1\n");
    CHECK_THAT(place.bundle({"--finding", "F-1-3-hot_cell", "--serials", place.file("serials.csv").string()}).err,
               Contains("no module \"S1-M33\""));
    write_text(place.file("list.csv"), "id\nF-1-3-hot_cell\n");
    CHECK_THAT(place.bundle({"--list", place.file("list.csv").string()}).err, Contains("no column finding"));
    CHECK(place.bundle({"--finding", "F-1-3-hot_cell", "--curves", "nowhere"}).exit_code == 2);
    CHECK_FALSE(fs::exists(place.out));
}
