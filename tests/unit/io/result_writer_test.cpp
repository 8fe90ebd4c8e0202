#include "heatrow/io/result_writer.hpp"

#include "heatrow/io/output_folder.hpp"
#include "heatrow/io/sha256.hpp"
#include "support/check_error.hpp"
#include "support/sample_crops.hpp"
#include "support/sample_facts.hpp"
#include "support/sample_record.hpp"
#include "support/sample_result.hpp"
#include "support/temp_folder.hpp"
#include "support/text_file.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <sys/resource.h>

#include <csignal>

using namespace heatrow;
using Catch::Matchers::Contains;
namespace fs = std::filesystem;

namespace {

std::size_t entries(const fs::path& folder) {
    return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder), fs::directory_iterator{}));
}

}  // namespace

TEST_CASE("result writer: the whole folder, the same bytes twice", "[io]") {
    const testing::TempFolder temp;
    SurveyRecord record = testing::sample_record();
    record.layout.tables[0].id = "T/1";
    record.layout.tables[1].id = "t?1";
    const TablePictures tables{{0, 1}, [](std::size_t i) { return std::string(i == 0 ? "picture" : "another"); }};
    RunFacts facts = testing::sample_facts();
    facts.decimal_comma_tables = true;
    record.run = describe_run(facts);
    record.crops = testing::sample_crops(record);
    write_results(record, facts, tables, {}, temp.path() / "a", false);
    write_results(record, facts, tables, {}, temp.path() / "b", false);
    const auto files = testing::files_of(temp.path() / "a");
    CHECK(files == testing::files_of(temp.path() / "b"));
    for (const char* name : {"survey.gpkg",
                             "findings.csv",
                             "modules.csv",
                             "findings-eu.csv",
                             "modules-eu.csv",
                             "findings.xlsx",
                             "report.html",
                             "report.pdf",
                             "manifest.json",
                             "worklist.csv",
                             "worklist-class-3.gpx",
                             "findings.kml",
                             "strings/S1.svg",
                             "tables/T_1.png",
                             "tables/t_1-2.png"}) {
        CAPTURE(name);
        CHECK(files.contains(name));
    }
    const auto manifest = nlohmann::json::parse(files.at("manifest.json"));
    CHECK(files.size() == manifest["outputs"].size() + 1);  // nothing lies there that it does not name
    CHECK(entries(temp.path()) == 2);
}

TEST_CASE("result writer: the manifest names inputs, settings and outputs with their hashes", "[io]") {
    const testing::TempFolder temp;
    write_results(testing::sample_record(), testing::sample_facts(), {}, {}, temp.path() / "a", false);
    const auto manifest = nlohmann::json::parse(testing::files_of(temp.path() / "a").at("manifest.json"));
    CHECK(manifest["program"]["version"] == "0.1.0");
    CHECK(manifest["settings"]["temperature.scale"] == "0.01");
    CHECK(manifest["inputs"][0]["role"] == "settings");
    CHECK(manifest["clocks"][0]["scale"] == "UTC+02:00");
    CHECK(manifest["frames"].size() == 8);
    CHECK(manifest["frames"][7]["outcome"] == "not_locked");
    REQUIRE(manifest["outputs"].size() > 0);
    for (const auto& output : manifest["outputs"]) {
        const fs::path file = temp.path() / "a" / output["name"].get<std::string>();
        CHECK(output["sha256"] == sha256_of_file(file));
        CHECK(output["bytes"] == fs::file_size(file));
    }
}

TEST_CASE("result writer: an earlier result is replaced only on request and only by a whole one", "[io]") {
    const testing::TempFolder temp;
    const fs::path folder = temp.path() / "result";
    write_results(testing::sample_record(), testing::sample_facts(), {}, {}, folder, false);
    const auto before = testing::files_of(folder);

    CHECK_THAT(testing::message_of(
                   [&] { write_results(testing::sample_record(), testing::sample_facts(), {}, {}, folder, false); }),
               Contains("output: ") && Contains("--overwrite"));
    CHECK(testing::files_of(folder) == before);

    SurveyRecord broken = testing::sample_record();
    broken.modules.pop_back();
    CHECK_THAT(testing::message_of([&] { write_results(broken, testing::sample_facts(), {}, {}, folder, true); }),
               Contains("internal: ") && Contains("not one result per module"));
    SurveyRecord nowhere = testing::sample_record();
    nowhere.layout.modules[3].corners_in_site[0].x() = kNaN;  // fails half-way, in the GeoPackage
    CHECK_FALSE(
        testing::message_of([&] { write_results(nowhere, testing::sample_facts(), {}, {}, folder, true); }).empty());
    CHECK(testing::files_of(folder) == before);
    CHECK(entries(temp.path()) == 1);

    SurveyRecord other = testing::sample_record();
    other.title = "Another title";
    write_results(other, testing::sample_facts(), {}, {}, folder, true);
    CHECK(testing::files_of(folder) != before);
    CHECK(entries(temp.path()) == 1);
}

TEST_CASE("result writer: a disk that takes no more is noticed and the earlier result stays", "[io]") {
    const testing::TempFolder temp;
    const fs::path folder = temp.path() / "result";
    write_results(testing::sample_record(), testing::sample_facts(), {}, {}, folder, false);
    const auto before = testing::files_of(folder);
    // A limit of the size of files stands for a full disk: at each step another file is the one that fails.
    for (const rlim_t bytes : {1000UL, 50000UL, 200000UL, 280000UL}) {
        CAPTURE(bytes);
        rlimit unlimited{};
        REQUIRE(getrlimit(RLIMIT_FSIZE, &unlimited) == 0);
        auto* const handler = std::signal(SIGXFSZ, SIG_IGN);
        const rlimit small{bytes, unlimited.rlim_max};
        REQUIRE(setrlimit(RLIMIT_FSIZE, &small) == 0);
        const std::string message = testing::message_of(
            [&] { write_results(testing::sample_record(), testing::sample_facts(), {}, {}, folder, true); });
        REQUIRE(setrlimit(RLIMIT_FSIZE, &unlimited) == 0);
        std::signal(SIGXFSZ, handler);
        CHECK_THAT(message, Contains("output: "));
        CHECK(testing::files_of(folder) == before);
        CHECK(entries(temp.path()) == 1);
    }
}

TEST_CASE("output folder: what is no result folder is never replaced", "[io]") {
    const testing::TempFolder temp;
    temp.write("precious/letter.txt", "dear");
    CHECK_THAT(testing::message_of([&] { const OutputFolder folder(temp.path() / "precious", true); }),
               Contains("not a result folder"));
    CHECK(testing::text_of(temp.path() / "precious/letter.txt") == "dear");
    temp.write("file", "x");
    CHECK_THAT(testing::message_of([&] { const OutputFolder folder(temp.path() / "file/", true); }),
               Contains("output: "));
    CHECK(testing::text_of(temp.path() / "file") == "x");
}

TEST_CASE("output folder: a run that fails leaves nothing, one that ends leaves one folder", "[io]") {
    const testing::TempFolder temp;
    {
        const OutputFolder folder(temp.path() / "out/", false);
        write_file(folder.path() / "a.txt", "half");
        CHECK_FALSE(fs::exists(temp.path() / "out"));
    }
    CHECK(entries(temp.path()) == 0);
    {
        OutputFolder folder(temp.path() / "out", false);
        write_file(folder.path() / "manifest.json", "{}");
        folder.publish();
    }
    CHECK(testing::text_of(temp.path() / "out/manifest.json") == "{}");
    fs::create_directory_symlink("out", temp.path() / "link");
    {
        OutputFolder folder(temp.path() / "link", true);
        write_file(folder.path() / "manifest.json", "{\"new\":1}");
        folder.publish();
    }
    CHECK(fs::is_symlink(temp.path() / "link"));
    CHECK(testing::text_of(temp.path() / "out/manifest.json") == "{\"new\":1}");
    CHECK(entries(temp.path()) == 2);
}

TEST_CASE("output folder: a file that cannot be written is an error", "[io]") {
    const testing::TempFolder temp;
    CHECK_THAT(testing::message_of([&] { write_file(temp.path() / "missing/a.txt", "x"); }), Contains("output: "));
    if (fs::exists("/dev/full")) {
        fs::create_symlink("/dev/full", temp.path() / "full");
        CHECK_THAT(testing::message_of([&] { write_file(temp.path() / "full", "x"); }), Contains("output: "));
    }
}
