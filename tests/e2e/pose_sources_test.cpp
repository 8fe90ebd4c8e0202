// One flight whose poses come by other doors than the table: the findings stay the same.
#include "survey_copy.hpp"

#include <catch2/catch.hpp>

#include <functional>
#include <sstream>
#include <vector>

namespace fs = std::filesystem;
using namespace heatrow::testing;
using Catch::Matchers::Contains;

namespace {

using Row = std::vector<std::string>;  // frame, time, longitude, latitude, altitude, yaw, pitch, roll

std::vector<Row> read_rows(const fs::path& table) {
    std::istringstream lines(read_text(table));
    std::string line;
    std::getline(lines, line);
    REQUIRE(line == "frame,time,longitude,latitude,altitude,yaw,pitch,roll");
    std::vector<Row> rows;
    while (std::getline(lines, line)) {
        std::istringstream cells(line);
        rows.emplace_back();
        for (std::string cell; std::getline(cells, cell, ',');) {
            rows.back().push_back(cell);
        }
    }
    return rows;
}

void write_rows(const fs::path& file,
                const std::string& heads,
                const std::vector<Row>& rows,
                std::vector<std::size_t> columns) {
    std::string text = heads + "\n";
    for (const Row& row : rows) {
        for (std::size_t i = 0; i < columns.size(); ++i) {
            text += (i > 0 ? "," : "") + row[columns[i]];
        }
        text += "\n";
    }
    write_text(file, text);
}

// What the flight's own table gives. Tests run beside each other: each has its own copy.
std::string usual_findings(const std::string& name) {
    const SurveyCopy copy(name + "-usual");
    REQUIRE(copy.analyse().exit_code == 0);
    return read_text(copy.result() / "findings.csv");
}

void turn_pitch_to_horizon(std::vector<Row>& rows) {
    for (Row& row : rows) {
        row[6] = std::to_string(std::stod(row[6]) - 90.0);
    }
}

}  // namespace

TEST_CASE("pose sources: a flight log by time, with heads of its own, gives the same findings") {
    const SurveyCopy copy("poses-log");
    const auto rows = read_rows(copy.survey() / "poses.csv");
    write_rows(copy.survey() / "flight.csv", "stamp,lon,lat,alt,heading,tilt,lean", rows, {1, 2, 3, 4, 5, 6, 7});
    write_rows(copy.survey() / "poses.csv", "frame,time", rows, {0, 1});
    replace_in_file(copy.survey() / "survey.toml",
                    "[temperature]",
                    "[poses]\nsource = \"flight_log\"\nlog = \"flight.csv\"\n"
                    "columns = { time = \"stamp\", longitude = \"lon\", latitude = \"lat\", altitude = \"alt\", "
                    "yaw = \"heading\", pitch = \"tilt\", roll = \"lean\" }\n\n[temperature]");
    const ProgramResult result = copy.analyse();
    INFO(result.err);
    REQUIRE(result.exit_code == 0);
    CHECK(read_text(copy.result() / "findings.csv") == usual_findings("poses-log"));
    CHECK_THAT(read_text(copy.result() / "manifest.json"), Contains("flight.csv"));
}

TEST_CASE("pose sources: pitch counted from the horizon gives the same findings, and a note") {
    const SurveyCopy copy("poses-horizon");
    auto rows = read_rows(copy.survey() / "poses.csv");
    turn_pitch_to_horizon(rows);
    write_rows(copy.survey() / "poses.csv",
               "frame,time,longitude,latitude,altitude,yaw,pitch,roll",
               rows,
               {0, 1, 2, 3, 4, 5, 6, 7});
    REQUIRE(copy.analyse().exit_code == 0);
    CHECK(read_text(copy.result() / "findings.csv") == usual_findings("poses-horizon"));
    CHECK_THAT(read_text(copy.result() / "report.html"), Contains("counted from the horizon"));
}

TEST_CASE("pose sources: swapped coordinates are refused, and the message says so") {
    const SurveyCopy copy("poses-swapped");
    const auto rows = read_rows(copy.survey() / "poses.csv");
    write_rows(copy.survey() / "poses.csv",
               "frame,time,longitude,latitude,altitude,yaw,pitch,roll",
               rows,
               {0, 1, 3, 2, 4, 5, 6, 7});
    const ProgramResult result = copy.analyse();
    CHECK(result.exit_code == 1);
    CHECK_THAT(result.err, Contains("km from the layout") && Contains("look swapped"));
    CHECK(nothing_was_written(copy));
}
