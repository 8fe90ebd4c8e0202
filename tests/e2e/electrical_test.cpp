// A survey with string currents beside its frames: what they decide, and what they leave out.
#include "survey_copy.hpp"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <map>
#include <sstream>

namespace fs = std::filesystem;
using namespace heatrow::testing;
using Catch::Matchers::Contains;

namespace {

constexpr double kRatedA = 8.76;  // of the module type that the scene names
constexpr double kLight = 0.91;   // of 1000 W/m2, as the scene's log says within a few percent

std::vector<std::string> cells_of(const std::string& line) {
    std::vector<std::string> cells(1);
    bool quoted = false;
    for (const char c : line) {
        if (c == '"') {
            quoted = !quoted;
        } else if (c == ',' && !quoted) {
            cells.emplace_back();
        } else if (c != '\r') {
            cells.back() += c;
        }
    }
    return cells;
}

// Rows of a result table by head.
std::vector<std::map<std::string, std::string>> rows_of(const fs::path& file) {
    std::istringstream text(read_text(file));
    std::string line;
    std::getline(text, line);
    const auto heads = cells_of(line);
    std::vector<std::map<std::string, std::string>> rows;
    while (std::getline(text, line)) {
        const auto cells = cells_of(line);
        REQUIRE(cells.size() == heads.size());
        rows.emplace_back();
        for (std::size_t i = 0; i < heads.size(); ++i) {
            rows.back()[heads[i]] = cells[i];
        }
    }
    return rows;
}

// Clamp meter readings a minute before the flight: share of the expected current and volts, by string.
struct Reading {
    double share;
    double volts;
};
void write_readings(const SurveyCopy& copy, const std::map<std::string, Reading>& readings) {
    std::ostringstream log;
    log << "time,string,current (A),voltage (V)\n";
    for (const auto& [string, reading] : readings) {
        log << "2026-06-17T11:01:00," << string << "," << reading.share * kRatedA * kLight << "," << reading.volts
            << "\n";
    }
    write_text(copy.survey() / "amps.csv", log.str());
    const fs::path settings = copy.survey() / "survey.toml";
    write_text(settings, read_text(settings) + "\n[electrical]\nlog = \"amps.csv\"\n");
}

std::map<std::string, Reading> all_loaded() {
    return {{"R1-S1", {0.97, 500.0}}, {"R1-S2", {0.97, 500.0}}, {"R2-S1", {0.97, 500.0}}, {"R2-S2", {0.97, 500.0}}};
}

std::map<std::string, std::string> finding_of(const SurveyCopy& copy, const std::string& string) {
    for (const auto& row : rows_of(copy.result() / "findings.csv")) {
        if (row.at("string") == string && row.at("module").empty()) {
            return row;
        }
    }
    return {};
}

}  // namespace

TEST_CASE("electrical: a warm string without current is open, and its cells are not assessed", "[e2e]") {
    const SurveyCopy copy("electrical-open", rendered_warm_string());
    auto readings = all_loaded();
    readings["R1-S2"] = {0.0, 500.0};
    write_readings(copy, readings);
    const auto result = copy.analyse();
    INFO(result.err);
    REQUIRE(result.exit_code == 0);

    const auto string = finding_of(copy, "R1-S2");
    REQUIRE_FALSE(string.empty());
    CHECK(string.at("pattern") == "string_open_circuit");
    CHECK(string.at("class") == "2");
    CHECK(std::stod(string.at("load_fraction")) < 0.02);
    CHECK_THAT(string.at("evidence"), Contains("agrees with its warmth") && Contains("3 other strings"));
    CHECK_THAT(string.at("flags"), !Contains("load_unknown"));
    int cells = 0;
    for (const auto& row : rows_of(copy.result() / "findings.csv")) {
        CHECK_THAT(row.at("flags"), !Contains("load_unknown"));
        if (row.at("pattern") == "hot_cell") {
            ++cells;
            CHECK(row.at("string") == "R2-S1");
            CHECK(std::stod(row.at("load_fraction")) == Approx(0.97).margin(0.08));
            CHECK_THAT(row.at("evidence"), Contains("its string carried"));
        }
    }
    CHECK(cells == 1);
    for (const auto& row : rows_of(copy.result() / "modules.csv")) {
        if (row.at("string") == "R1-S2") {
            CHECK(row.at("assessed") == "no");
            CHECK(row.at("assessed_reason") == "low_load");
        }
    }
    CHECK_THAT(read_text(copy.result() / "manifest.json"), Contains("amps.csv") && Contains("electrical log"));
}

TEST_CASE("electrical: at open-circuit voltage the string is off, which is no defect", "[e2e]") {
    const SurveyCopy copy("electrical-off", rendered_warm_string());
    auto readings = all_loaded();
    readings["R1-S2"] = {0.0, 600.0};
    write_readings(copy, readings);
    REQUIRE(copy.analyse().exit_code == 0);
    const auto string = finding_of(copy, "R1-S2");
    REQUIRE_FALSE(string.empty());
    CHECK(string.at("pattern") == "string_off");
    CHECK(string.at("class") == "1");
    CHECK(string.at("loss_w_high").empty());
}

TEST_CASE("electrical: readings of one string leave the others' load unknown", "[e2e]") {
    const SurveyCopy copy("electrical-one", rendered_warm_string());
    write_readings(copy, {{"R2-S1", {0.97, 500.0}}});
    REQUIRE(copy.analyse().exit_code == 0);
    const auto string = finding_of(copy, "R1-S2");
    REQUIRE_FALSE(string.empty());
    CHECK(string.at("pattern") == "string_warm_cause_open");
    CHECK_THAT(string.at("flags"), Contains("load_unknown"));
    for (const auto& row : rows_of(copy.result() / "findings.csv")) {
        if (row.at("pattern") == "hot_cell") {
            CHECK_THAT(row.at("flags"), !Contains("load_unknown"));
        }
    }
}

TEST_CASE("electrical: a log that cannot be used ends the run with file, line, value and remedy", "[e2e]") {
    const SurveyCopy copy("electrical-bad", rendered_warm_string());
    write_readings(copy, all_loaded());
    const fs::path log = copy.survey() / "amps.csv";
    const std::string good = read_text(log);

    write_text(log, "time,string,current (A)\n2026-06-17T11:01:00,R1-S1,seven\n");
    auto result = copy.analyse();
    CHECK(result.exit_code == 1);
    CHECK_THAT(result.err, Contains("amps.csv, line 2") && Contains("'seven'") && Contains("missing"));

    write_text(log, "time,string,current (A)\n2026-06-17T11:01:00,B7,7.0\n");
    result = copy.analyse();
    CHECK(result.exit_code == 1);
    CHECK_THAT(result.err, Contains("names a string of the layout") && Contains("[electrical] strings"));

    write_text(log, good);
    replace_in_file(
        copy.survey() / "survey.toml", "log = \"amps.csv\"", "log = \"amps.csv\"\nstrings = { A = \"R9\" }");
    result = copy.analyse();
    CHECK(result.exit_code == 2);
    CHECK_THAT(result.err, Contains("'A' is mapped to 'R9'"));
    CHECK(nothing_was_written(copy));
}

TEST_CASE("inspect: a survey shows its frames and what was understood of its logs", "[e2e]") {
    const SurveyCopy copy("electrical-inspect", rendered_warm_string());
    write_readings(copy, all_loaded());
    const auto text = heatrow::testing::heatrow({"inspect", copy.survey().string()});
    INFO(text.err);
    REQUIRE(text.exit_code == 0);
    CHECK_THAT(text.out, Contains("conditions log") && Contains("gaps") && Contains("against the sun"));
    CHECK_THAT(text.out, Contains("electrical log") && Contains("4 with 4 readings"));

    const auto json =
        nlohmann::json::parse(heatrow::testing::heatrow({"inspect", copy.survey().string(), "--json"}).out);
    CHECK(json["frames"].size() > 1);
    CHECK(json["conditions"]["rows_used"].get<int>() > 1);
    CHECK(json["electrical"]["strings"]["R1-S1"] == 1);
}

TEST_CASE("analyse: cloud above the limit is flagged frame by frame, counted, and moves no class", "[e2e]") {
    const SurveyCopy clear("cloud-none", rendered_warm_string());
    REQUIRE(clear.analyse().exit_code == 0);
    const SurveyCopy copy("cloud-five", rendered_warm_string());
    write_text(copy.survey() / "metar.txt", "2026-06-17 10:30 METAR LEMD 171030Z 24008KT 9999 BKN045 24/09 Q1018\n");
    replace_in_file(
        copy.survey() / "survey.toml", "log = \"conditions.csv\"", "log = \"conditions.csv\"\nreports = \"metar.txt\"");
    const auto result = copy.analyse({"--json"});
    INFO(result.err);
    REQUIRE(result.exit_code == 0);
    CHECK_THAT(result.out, Contains("cloud_above_maximum"));
    CHECK_THAT(read_text(copy.result() / "report.html"), Contains("at most 2 okta"));
    const auto before = rows_of(clear.result() / "findings.csv");
    const auto after = rows_of(copy.result() / "findings.csv");
    REQUIRE(before.size() == after.size());
    REQUIRE_FALSE(before.empty());
    for (std::size_t i = 0; i < before.size(); ++i) {
        CHECK(before[i].at("class") == after[i].at("class"));
        CHECK_THAT(after[i].at("flags"), Contains("cloud_above_maximum"));
        CHECK_THAT(before[i].at("flags"), !Contains("cloud_above_maximum"));
    }
}
