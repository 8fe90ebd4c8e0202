// The `fit-evidence` and `flights` commands.
#pragma once

#include <cstdint>
#include <filesystem>
#include <vector>

namespace scene {

void write_fitted_statistics(const std::vector<std::filesystem::path>& rendered,
                             const std::filesystem::path& out,
                             bool overwrite);

struct FlightsOptions {
    std::filesystem::path statistics;
    std::filesystem::path out;  // a folder: evidence.jsonl, truth.jsonl, statistics.toml
    int flights = 10000;
    std::uint64_t seed = 1;
    bool overwrite = false;
};
struct FlightsSummary {
    long long frames = 0;
};
FlightsSummary write_flights(const FlightsOptions& options);

}  // namespace scene
