#include "evidence_looks.hpp"

#include "csv_table.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/core/median.hpp"
#include "matching.hpp"
#include "toml_section.hpp"
#include "truth.hpp"
#include "whole_view.hpp"

#include <gdal_priv.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <optional>
#include <tuple>

namespace scene {
namespace {

namespace fs = std::filesystem;

constexpr double kLikeModules = 3.0;  // standard deviations of the modules within which ground is taken for one
constexpr double kLikeGround = 0.5;   // of the way from modules to ground, from where a module is taken for ground
constexpr double kMostViews = 0.5;    // share from which a mistake belongs to the thing, not to the view

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

    [[nodiscard]] int width() const { return width_; }
    [[nodiscard]] int height() const { return height_; }

  private:
    int width_ = 0;
    int height_ = 0;
    std::vector<float> values_;
};

// Standard deviation of normal values about zero by their median size, so that faults are left out; 0 of nothing.
double deviation(std::vector<double> values) {
    for (double& value : values) {
        value = std::abs(value);
    }
    const double median = heatrow::take_median(values);
    return std::isnan(median) ? 0.0 : heatrow::kSigmaOverMad * median;
}

struct Outline {
    std::string module;
    Quad corners;
    double visible_share;
    double mean_k;  // NaN where not whole
};

// Of all modules that a frame shows any part of.
std::vector<Outline> outlines_of(const CsvTable& table, std::size_t& row, const Counts& counts, double scale) {
    const std::string frame = table.text(row, "frame");
    std::vector<Outline> outlines;
    for (; row < table.size() && table.text(row, "frame") == frame; ++row) {
        const Quad corners{{{table.number(row, "x1"), table.number(row, "y1")},
                            {table.number(row, "x2"), table.number(row, "y2")},
                            {table.number(row, "x3"), table.number(row, "y3")},
                            {table.number(row, "x4"), table.number(row, "y4")}}};
        const double share = table.number(row, "visible_share");
        outlines.push_back({table.text(row, "module"),
                            corners,
                            share,
                            share > kWholeShare ? scale * counts.mean_inside(corners) : std::nan("")});
    }
    return outlines;
}

// Along the row, to the next module: its top edge.
Eigen::Vector2d along_of(const Outline& outline) {
    return 0.5 * (outline.corners[1] - outline.corners[0] + outline.corners[2] - outline.corners[3]);
}

// The module one pitch on, `side` 1 or -1.
std::optional<std::size_t> neighbour_of(const std::vector<Outline>& outlines, std::size_t i, int side) {
    const Eigen::Vector2d along = along_of(outlines[i]);
    const Eigen::Vector2d wanted = centre_of(outlines[i].corners) + side * along;
    for (std::size_t other = 0; other < outlines.size(); ++other) {
        if (other != i && (centre_of(outlines[other].corners) - wanted).norm() < 0.15 * along.norm()) {
            return other;
        }
    }
    return std::nullopt;
}

// The outline one pitch beyond an end; none where another module lies there, or it is not wholly in the picture.
std::optional<Quad> place_beyond(const std::vector<Outline>& outlines, std::size_t i, int side, const Counts& counts) {
    const Eigen::Vector2d along = along_of(outlines[i]);
    Quad beyond = outlines[i].corners;
    for (Eigen::Vector2d& corner : beyond) {
        corner += side * along;
        if (!(corner.x() > 0.0 && corner.y() > 0.0 && corner.x() < counts.width() && corner.y() < counts.height())) {
            return std::nullopt;
        }
    }
    for (std::size_t other = 0; other < outlines.size(); ++other) {
        if (other != i && (centre_of(outlines[other].corners) - centre_of(beyond)).norm() < along.norm()) {
            return std::nullopt;
        }
    }
    return beyond;
}

// Share of things mistaken in most of their views, and share of the views of the others; by Jeffreys' rule, so that
// none seen is not none at all.
template <typename Tallies>
std::pair<double, double> mistaken_shares(const Tallies& tallies) {
    int things = 0;
    int for_good = 0;
    int views = 0;
    int mistaken = 0;
    for (const auto& [thing, tally] : tallies) {
        ++things;
        if (tally.mistaken > kMostViews * tally.views) {
            ++for_good;
        } else {
            views += tally.views;
            mistaken += tally.mistaken;
        }
    }
    return {(for_good + 0.5) / (things + 1.0), (mistaken + 0.5) / (views + 1.0)};
}

}  // namespace

void LookSamples::add(const fs::path& rendered) {
    const fs::path survey = survey_of(rendered);
    const double scale = kelvin_per_count(survey);
    const CsvTable table =
        CsvTable::read(rendered / "truth" / "outlines.csv",
                       {"frame", "module", "x1", "y1", "x2", "y2", "x3", "y3", "x4", "y4", "visible_share"});
    std::map<std::string, std::size_t> index_of;
    for (std::size_t row = 0; row < table.size();) {
        const Counts counts(survey / "frames" / table.text(row, "frame"));
        const std::vector<Outline> outlines = outlines_of(table, row, counts, scale);
        std::vector<double> means;
        for (const Outline& outline : outlines) {
            means.push_back(outline.mean_k);
        }
        const double median = heatrow::median_of(means);
        const double sigma = heatrow::robust_sigma(means);
        std::vector<std::size_t> view_of(outlines.size());
        Frame frame;
        for (std::size_t i = 0; i < outlines.size(); ++i) {
            if (std::isnan(outlines[i].mean_k)) {
                continue;
            }
            const auto [found, is_new] = index_of.try_emplace(outlines[i].module, names_.size());
            if (is_new) {
                names_.push_back(rendered.filename().string() + "/" + outlines[i].module);
            }
            view_of[i] = frame.views.size();
            frame.views.push_back({found->second, outlines[i].mean_k - median});
        }
        std::vector<double> ground;
        for (std::size_t i = 0; i < outlines.size(); ++i) {
            if (std::isnan(outlines[i].mean_k)) {
                continue;
            }
            const std::size_t module = frame.views[view_of[i]].module;
            for (const int side : {-1, 1}) {
                if (const auto other = neighbour_of(outlines, i, side)) {
                    if (side == 1 && !std::isnan(outlines[*other].mean_k)) {
                        frame.neighbours.emplace_back(view_of[i], view_of[*other]);
                    }
                } else if (const auto beyond = place_beyond(outlines, i, side, counts)) {
                    const double mean = scale * counts.mean_inside(*beyond) - median;
                    Tally& tally = ends_[{module, side}];
                    ++tally.views;
                    tally.mistaken += std::abs(mean) < kLikeModules * sigma ? 1 : 0;
                    ground.push_back(mean);
                }
            }
        }
        if (!ground.empty()) {
            const double level = heatrow::median_of(ground);
            for (const View& view : frame.views) {
                Tally& tally = modules_[view.module];
                ++tally.views;
                tally.mistaken += view.mean_k / level > kLikeGround ? 1 : 0;
            }
        }
        frames_.push_back(std::move(frame));
    }
}

void LookSamples::fit(EvidenceStatistics& statistics) const {
    std::vector<double> mean(names_.size(), 0.0);
    std::vector<double> count(names_.size(), 0.0);
    for (const Frame& frame : frames_) {
        for (const View& view : frame.views) {
            mean[view.module] += view.mean_k;
            count[view.module] += 1.0;
        }
    }
    for (std::size_t module = 0; module < mean.size(); ++module) {
        mean[module] /= count[module];
    }
    // What two neighbours do not share differs from module to module; what they share is smooth.
    std::map<Pair, double> module_steps;
    std::vector<double> residuals;
    std::vector<double> residual_steps;
    for (const Frame& frame : frames_) {
        const auto residual = [&](const View& view) {
            const double n = count[view.module];
            return n > 1.0 ? (view.mean_k - mean[view.module]) * std::sqrt(n / (n - 1.0)) : std::nan("");
        };
        for (const View& view : frame.views) {
            residuals.push_back(residual(view));
        }
        for (const auto& [a, b] : frame.neighbours) {
            const View& left = frame.views[a];
            const View& right = frame.views[b];
            module_steps[{left.module, right.module}] = (mean[right.module] - mean[left.module]) / std::sqrt(2.0);
            residual_steps.push_back((residual(right) - residual(left)) / std::sqrt(2.0));
        }
        statistics.views += static_cast<int>(frame.views.size());
    }
    std::vector<double> steps;
    for (const auto& [pair, step] : module_steps) {
        steps.push_back(step);
    }
    const auto smooth_part = [](double all, double rough) {
        return std::sqrt(std::max(0.0, all * all - rough * rough));
    };
    statistics.frames = static_cast<int>(frames_.size());
    statistics.ends = static_cast<int>(ends_.size());
    statistics.module_spread_k = deviation(steps);
    statistics.module_trend_k = smooth_part(deviation(mean), statistics.module_spread_k);
    statistics.view_noise_k = deviation(residual_steps);
    statistics.view_trend_k = smooth_part(deviation(residuals), statistics.view_noise_k);
    std::tie(statistics.overlooked_ends, statistics.overlooked_views) = mistaken_shares(ends_);
    std::tie(statistics.imagined_modules, statistics.imagined_views) = mistaken_shares(modules_);
}

}  // namespace scene
