#include "evidence_command.hpp"

#include "flight_evidence.hpp"
#include "heatrow/core/error.hpp"
#include "survey_writer.hpp"

#include <tbb/parallel_for.h>

#include <algorithm>
#include <fstream>

namespace scene {
namespace {

namespace fs = std::filesystem;
using heatrow::Error;
using heatrow::ErrorKind;

void refuse_existing(const fs::path& path, bool overwrite) {
    if (fs::exists(path) && !overwrite) {
        throw Error(ErrorKind::usage, "Will not replace", path.string(), "it exists", "Use --overwrite to replace it.");
    }
}

}  // namespace

void write_fitted_statistics(const std::vector<fs::path>& rendered, const fs::path& out, bool overwrite) {
    refuse_existing(out, overwrite);
    const std::string text = to_toml(fit_evidence(rendered));
    fs::path aside = out;
    aside += ".part";
    write_text(aside, text);
    fs::rename(aside, out);
}

FlightsSummary write_flights(const FlightsOptions& options) {
    const EvidenceStatistics statistics = read_evidence_statistics(options.statistics);
    refuse_existing(options.out, options.overwrite);
    if (fs::exists(options.out) && !fs::is_empty(options.out) && !fs::exists(options.out / "evidence.jsonl")) {
        throw Error(ErrorKind::usage,
                    "Will not replace",
                    options.out.string(),
                    "it holds no evidence.jsonl",
                    "Choose another folder.");
    }
    fs::path aside = options.out;
    aside += ".part";
    fs::remove_all(aside);
    fs::create_directories(aside);
    std::ofstream evidence(aside / "evidence.jsonl", std::ios::binary);
    std::ofstream truth(aside / "truth.jsonl", std::ios::binary);
    FlightsSummary summary;
    struct Lines {
        std::string evidence, truth;
        long long frames = 0;
    };
    constexpr int kBatch = 256;  // flights in memory at once
    for (int first = 0; first < options.flights; first += kBatch) {
        std::vector<Lines> lines(static_cast<std::size_t>(std::min(kBatch, options.flights - first)));
        tbb::parallel_for(std::size_t{0}, lines.size(), [&](std::size_t i) {
            const int number = first + static_cast<int>(i);
            const FlightEvidence flight = simulate_flight(statistics, options.seed, number);
            lines[i] = {evidence_line(flight, number) + "\n",
                        evidence_truth_line(flight, number) + "\n",
                        static_cast<long long>(flight.frames.size())};
        });
        for (const Lines& line : lines) {
            evidence << line.evidence;
            truth << line.truth;
            summary.frames += line.frames;
        }
    }
    evidence.close();
    truth.close();
    if (!evidence || !truth) {
        fs::remove_all(aside);
        throw Error(ErrorKind::output,
                    "Could not write the evidence",
                    aside.string(),
                    "the disk refused it",
                    "Check free space and permissions.");
    }
    write_text(aside / "statistics.toml", to_toml(statistics));
    fs::remove_all(options.out);
    fs::rename(aside, options.out);
    return summary;
}

}  // namespace scene
