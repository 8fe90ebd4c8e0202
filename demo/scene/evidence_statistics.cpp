#include "evidence_statistics.hpp"

#include "csv_table.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/core/time.hpp"
#include "matching.hpp"
#include "scene_facts.hpp"
#include "toml_section.hpp"
#include "truth.hpp"

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

fs::path survey_of(const fs::path& rendered) {
    return fs::exists(rendered / "survey.toml") ? rendered : rendered / "survey";
}

double kelvin_per_count(const fs::path& survey) {
    const toml::table table = parse_toml(survey / "survey.toml");
    return table["temperature"]["scale"].value_or(0.0);
}

class Counts {
  public:
    explicit Counts(const fs::path& file) {
        const std::unique_ptr<GDALDataset, decltype(&GDALClose)> dataset(
            static_cast<GDALDataset*>(GDALOpen(file.c_str(), GA_ReadOnly)), &GDALClose);
        if (dataset) {
            width_ = dataset->GetRasterXSize();
            height_ = dataset->GetRasterYSize();
            values_.resize(static_cast<std::size_t>(width_) * static_cast<std::size_t>(height_));
        }
        if (!dataset ||
            dataset->GetRasterBand(1)->RasterIO(
                GF_Read, 0, 0, width_, height_, values_.data(), width_, height_, GDT_Float32, 0, 0, nullptr) !=
                CE_None) {
            throw heatrow::Error(heatrow::ErrorKind::input,
                                 "Could not read the frame",
                                 file.string(),
                                 "it is no picture",
                                 "Give folders of `heatrow-scene render`.");
        }
    }

    // Mean over the pixels inside the figure, its sides drawn in by a tenth; NaN without pixels.
    [[nodiscard]] double mean_inside(const Quad& corners) const {
        const Eigen::Vector2d centre = centre_of(corners);
        Quad inner = corners;
        Eigen::Vector2d low = centre;
        Eigen::Vector2d high = centre;
        for (Eigen::Vector2d& corner : inner) {
            corner = centre + 0.8 * (corner - centre);
            low = low.cwiseMin(corner);
            high = high.cwiseMax(corner);
        }
        double sum = 0.0;
        int count = 0;
        for (int y = std::max(0, static_cast<int>(low.y())); y <= std::min(height_ - 1, static_cast<int>(high.y()));
             ++y) {
            for (int x = std::max(0, static_cast<int>(low.x())); x <= std::min(width_ - 1, static_cast<int>(high.x()));
                 ++x) {
                if (inside_quad(inner, {x, y})) {
                    sum += static_cast<double>(values_[static_cast<std::size_t>(y * width_ + x)]);
                    ++count;
                }
            }
        }
        return count == 0 ? std::nan("") : sum / count;
    }

  private:
    int width_ = 0;
    int height_ = 0;
    std::vector<float> values_;
};

// Standard deviation of normal values about zero by their median size, so that faults are left out; 0 of nothing.
double deviation(std::vector<double> values) {
    if (values.empty()) {
        return 0.0;
    }
    for (double& value : values) {
        value = std::abs(value);
    }
    return heatrow::kSigmaOverMad * heatrow::take_median(values);
}

struct Samples {
    std::vector<double> modules;    // mean of each module about the frames' medians
    std::vector<double> residuals;  // of views about their module's mean, for the lost freedom scaled up
    std::vector<double> biases;     // length of a flight's mean error
    // Squared changes of the position error, of both axes, by number of frames between, and the seconds passed.
    std::map<int, std::pair<double, double>> changes;  // sum of squares, sum of seconds
    std::map<int, int> change_counts;
};

void add_means(Samples& samples, EvidenceStatistics& statistics, const fs::path& rendered) {
    const fs::path survey = survey_of(rendered);
    const double scale = kelvin_per_count(survey);
    const CsvTable outlines =
        CsvTable::read(rendered / "truth" / "outlines.csv",
                       {"frame", "module", "x1", "y1", "x2", "y2", "x3", "y3", "x4", "y4", "visible_share"});
    std::map<std::string, std::vector<double>> by_module;
    for (std::size_t row = 0; row < outlines.size();) {
        const std::string frame = outlines.text(row, "frame");
        const Counts counts(survey / "frames" / frame);
        ++statistics.frames;
        std::vector<std::pair<std::string, double>> means;
        std::vector<double> values;
        for (; row < outlines.size() && outlines.text(row, "frame") == frame; ++row) {
            if (outlines.number(row, "visible_share") <= 0.99) {
                continue;
            }
            const Quad corners{{{outlines.number(row, "x1"), outlines.number(row, "y1")},
                                {outlines.number(row, "x2"), outlines.number(row, "y2")},
                                {outlines.number(row, "x3"), outlines.number(row, "y3")},
                                {outlines.number(row, "x4"), outlines.number(row, "y4")}}};
            const double mean = scale * counts.mean_inside(corners);
            if (!std::isnan(mean)) {
                means.emplace_back(outlines.text(row, "module"), mean);
                values.push_back(mean);
            }
        }
        const double median = heatrow::take_median(values);
        for (const auto& [module, mean] : means) {
            by_module[module].push_back(mean - median);
        }
        statistics.views += static_cast<int>(means.size());
    }
    for (const auto& [module, values] : by_module) {
        double mean = 0.0;
        for (const double value : values) {
            mean += value / static_cast<double>(values.size());
        }
        samples.modules.push_back(mean);
        const double n = static_cast<double>(values.size());
        for (const double value : values) {
            if (values.size() > 1) {
                samples.residuals.push_back((value - mean) * std::sqrt(n / (n - 1.0)));
            }
        }
    }
}

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
    for (const fs::path& folder : rendered) {
        const SceneFacts facts = SceneFacts::read(folder / "truth" / "scene.csv");
        result.surveys.push_back(facts.text("scene") + " seed " + facts.text("seed"));
        add_means(samples, result, folder);
        add_positions(samples, result, folder);
    }
    result.module_spread_k = deviation(samples.modules);
    result.view_noise_k = deviation(samples.residuals);
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
        "surveys = [{}]\nframes = {}\nviews = {}\nflights = {}\n\n"
        "module_spread_k = {:.4f}\nview_noise_k = {:.4f}\nfix_noise_m = {:.4f}\nwalk_m_per_sqrt_s = {:.4f}\n"
        "bias_m = {:.3f}\n",
        surveys,
        s.frames,
        s.views,
        s.flights,
        s.module_spread_k,
        s.view_noise_k,
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
    s.flights = root.integer("flights");
    s.module_spread_k = root.number("module_spread_k");
    s.view_noise_k = root.number("view_noise_k");
    s.fix_noise_m = root.number("fix_noise_m");
    s.walk_m_per_sqrt_s = root.number("walk_m_per_sqrt_s");
    s.bias_m = root.number("bias_m");
    root.finish();
    return s;
}

}  // namespace scene
