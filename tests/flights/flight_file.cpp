#include "flight_file.hpp"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <limits>

namespace flights {

using nlohmann::json;

bool LayoutRow::has(int place) const {
    return place >= first && place < first + count && !std::binary_search(holes.begin(), holes.end(), place);
}

FlightFile read_flight(const std::string& line) {
    const json flight = json::parse(line);
    FlightFile file;
    file.pitch_m = 1e-3 * flight.at("pitch_mm").get<double>();
    file.row_pitch_m = 1e-3 * flight.at("row_pitch_mm").get<double>();
    for (const json& row : flight.at("rows")) {
        file.rows.push_back(
            {row.at("first").get<int>(), row.at("count").get<int>(), row.at("holes").get<std::vector<int>>()});
    }
    for (const json& frame : flight.at("frames")) {
        SeenFrame seen;
        seen.time_s = 1e-3 * frame.at("time_ms").get<double>();
        seen.lane = frame.at("lane").get<int>();
        seen.along_m = 1e-3 * frame.at("along_mm").get<double>();
        seen.across_m = 1e-3 * frame.at("across_mm").get<double>();
        for (const json& row : frame.at("means_mk")) {
            std::vector<double> means;
            for (const json& mean : row) {
                means.push_back(mean.is_null() ? std::numeric_limits<double>::quiet_NaN() : 1e-3 * mean.get<double>());
            }
            seen.means_k.push_back(std::move(means));
        }
        file.frames.push_back(std::move(seen));
    }
    return file;
}

FlightTruth read_truth(const std::string& line) {
    const json flight = json::parse(line);
    FlightTruth truth;
    for (const json& frame : flight.at("frames")) {
        truth.places.push_back({frame.at(0).get<int>(), frame.at(1).get<int>()});
    }
    truth.frames_with_row_end = flight.at("row_ends").get<std::vector<int>>();
    truth.has_wrong_row = !flight.at("wrong_rows").empty();
    return truth;
}

}  // namespace flights
