// Names simulated flights with the library's decision, and grades the names.
#include "flight_file.hpp"
#include "frame_votes.hpp"
#include "heatrow/georeference/place_decision.hpp"
#include "name_grade.hpp"

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <tbb/parallel_for.h>

#include <exception>
#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

namespace {

flights::NameGrade name_flight(const std::string& evidence_line, const std::string& truth_line, int number) {
    const flights::FlightFile flight = flights::read_flight(evidence_line);
    const flights::FlightCase named = flights::evidence_of(flight);
    const heatrow::PlaceDecision decision = heatrow::decide_places(named.evidence);
    // Only now is the truth looked at.
    flights::NameGrade grade = flights::grade_names(flight, flights::read_truth(truth_line), named.at_zero, decision);
    if (grade.flights_with_wrong_names > 0) {
        grade.wrong_flights.push_back(number);
    }
    return grade;
}

flights::NameGrade name_all(const std::filesystem::path& folder) {
    std::ifstream evidence(folder / "evidence.jsonl");
    std::ifstream truth(folder / "truth.jsonl");
    if (!evidence || !truth) {
        throw std::runtime_error(folder.string() + " holds no evidence.jsonl and truth.jsonl");
    }
    constexpr std::size_t kBatch = 256;  // flights in memory at once
    flights::NameGrade sum;
    std::vector<std::string> evidence_lines(kBatch);
    std::vector<std::string> truth_lines(kBatch);
    for (bool more = true; more;) {
        std::size_t count = 0;
        while (count < kBatch && (more = static_cast<bool>(std::getline(evidence, evidence_lines[count]) &&
                                                           std::getline(truth, truth_lines[count])))) {
            ++count;
        }
        std::vector<flights::NameGrade> grades(count);
        const int first = sum.flights;
        tbb::parallel_for(std::size_t{0}, count, [&](std::size_t i) {
            grades[i] = name_flight(evidence_lines[i], truth_lines[i], first + static_cast<int>(i));
        });
        for (const flights::NameGrade& grade : grades) {
            sum += grade;
        }
    }
    return sum;
}

}  // namespace

int main(int argc, char** argv) {
    CLI::App app("Names the flights of a folder of `heatrow-scene flights` and grades the names.");
    std::filesystem::path folder;
    bool list_wrong = false;
    app.add_option("FOLDER", folder, "Holds evidence.jsonl and truth.jsonl")->required();
    app.add_flag("--list-wrong", list_wrong, "Name the flights with wrong names on stderr");
    CLI11_PARSE(app, argc, argv);
    try {
        const flights::NameGrade grade = name_all(folder);
        fmt::print("{}", flights::grade_page(grade));
        if (list_wrong) {
            fmt::print(stderr, "Flights with wrong names: {}\n", fmt::join(grade.wrong_flights, " "));
        }
        return 0;
    } catch (const std::exception& error) {
        fmt::print(stderr, "{}\n", error.what());
        return 1;
    }
}
