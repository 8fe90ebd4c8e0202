#include "evidence_statistics.hpp"

#include "csv_table.hpp"
#include "evidence_looks.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/core/time.hpp"
#include "scene_facts.hpp"
#include "toml_section.hpp"

#include <fmt/format.h>
#include <gdal_priv.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <map>
#include <memory>

namespace scene {
namespace {

namespace fs = std::filesystem;

struct Samples {
    std::vector<double> biases;  // length of a flight's mean error
    // Squared changes of the position error, of both axes, by number of frames between, and the seconds passed.
    std::map<int, std::pair<double, double>> changes;  // sum of squares, sum of seconds
    std::map<int, int> change_counts;
};

void add_positions(Samples& samples, EvidenceStatistics& statistics, const fs::path& rendered) {
    const CsvTable poses =
        CsvTable::read(rendered / "truth" / "poses.csv",
                       {"frame", "time", "east", "north", "flight", "fix", "logged_east", "logged_north"});
    struct Fix {
        double time_s;
        Eigen::Vector2d error;
    };
    std::map<std::string, std::vector<Fix>> by_flight;
    for (std::size_t row = 0; row < poses.size(); ++row) {
        const auto time = heatrow::parse_iso8601(poses.text(row, "time"));
        if (poses.text(row, "fix") != "good" || !time) {
            continue;
        }
        const std::chrono::duration<double> since = time->written.time_since_epoch();
        by_flight[poses.text(row, "flight")].push_back(
            {since.count(),
             {poses.number(row, "logged_east") - poses.number(row, "east"),
              poses.number(row, "logged_north") - poses.number(row, "north")}});
    }
    for (const auto& [flight, fixes] : by_flight) {
        ++statistics.flights;
        Eigen::Vector2d mean(0.0, 0.0);
        for (const Fix& fix : fixes) {
            mean += fix.error / static_cast<double>(fixes.size());
        }
        samples.biases.push_back(mean.norm());
        for (const int lag : {1, 8}) {
            for (std::size_t i = 0; i + static_cast<std::size_t>(lag) < fixes.size(); ++i) {
                const Fix& a = fixes[i];
                const Fix& b = fixes[i + static_cast<std::size_t>(lag)];
                samples.changes[lag].first += (b.error - a.error).squaredNorm();
                samples.changes[lag].second += b.time_s - a.time_s;
                ++samples.change_counts[lag];
            }
        }
    }
}

}  // namespace

EvidenceStatistics fit_evidence(const std::vector<fs::path>& rendered) {
    GDALAllRegister();
    EvidenceStatistics result;
    Samples samples;
    LookSamples looks;
    for (const fs::path& folder : rendered) {
        const SceneFacts facts = SceneFacts::read(folder / "truth" / "scene.csv");
        result.surveys.push_back(facts.text("scene") + " seed " + facts.text("seed"));
        looks.add(folder);
        add_positions(samples, result, folder);
    }
    looks.fit(result);
    for (const double bias : samples.biases) {
        result.bias_m += bias * bias / static_cast<double>(samples.biases.size());
    }
    result.bias_m = std::sqrt(result.bias_m);
    // Of one axis: E[change^2] = 2 noise^2 + walk^2 t, at two lags.
    if (samples.change_counts[1] > 0 && samples.change_counts[8] > 0) {
        const auto variance = [&](int lag) { return 0.5 * samples.changes[lag].first / samples.change_counts[lag]; };
        const auto seconds = [&](int lag) { return samples.changes[lag].second / samples.change_counts[lag]; };
        const double walk2 = std::max(0.0, (variance(8) - variance(1)) / (seconds(8) - seconds(1)));
        result.walk_m_per_sqrt_s = std::sqrt(walk2);
        result.fix_noise_m = std::sqrt(std::max(0.0, 0.5 * (variance(1) - walk2 * seconds(1))));
    }
    return result;
}

std::string to_toml(const EvidenceStatistics& s) {
    std::string surveys;
    for (const std::string& survey : s.surveys) {
        surveys += (surveys.empty() ? "\"" : ", \"") + survey + "\"";
    }
    return fmt::format(
        "# Made by `heatrow-scene fit-evidence` from rendered frames and their truth "
        "(docs/formats/flight-evidence.md).\n"
        "surveys = [{}]\nframes = {}\nviews = {}\nends = {}\nflights = {}\n\n"
        "module_spread_k = {:.4f}\nmodule_trend_k = {:.4f}\nview_noise_k = {:.4f}\nview_trend_k = {:.4f}\n"
        "overlooked_ends = {:.5f}\noverlooked_views = {:.5f}\nimagined_modules = {:.5f}\nimagined_views = {:.5f}\n"
        "fix_noise_m = {:.4f}\nwalk_m_per_sqrt_s = {:.4f}\n"
        "bias_m = {:.3f}\n",
        surveys,
        s.frames,
        s.views,
        s.ends,
        s.flights,
        s.module_spread_k,
        s.module_trend_k,
        s.view_noise_k,
        s.view_trend_k,
        s.overlooked_ends,
        s.overlooked_views,
        s.imagined_modules,
        s.imagined_views,
        s.fix_noise_m,
        s.walk_m_per_sqrt_s,
        s.bias_m);
}

EvidenceStatistics read_evidence_statistics(const fs::path& file) {
    const toml::table table = parse_toml(file);
    Section root(table, "", file);
    EvidenceStatistics s;
    s.surveys = root.texts("surveys");
    s.frames = root.integer("frames");
    s.views = root.integer("views");
    s.ends = root.integer("ends");
    s.flights = root.integer("flights");
    s.module_spread_k = root.number("module_spread_k");
    s.module_trend_k = root.number("module_trend_k");
    s.view_noise_k = root.number("view_noise_k");
    s.view_trend_k = root.number("view_trend_k");
    s.overlooked_ends = root.number("overlooked_ends");
    s.overlooked_views = root.number("overlooked_views");
    s.imagined_modules = root.number("imagined_modules");
    s.imagined_views = root.number("imagined_views");
    s.fix_noise_m = root.number("fix_noise_m");
    s.walk_m_per_sqrt_s = root.number("walk_m_per_sqrt_s");
    s.bias_m = root.number("bias_m");
    root.finish();
    return s;
}

}  // namespace scene
