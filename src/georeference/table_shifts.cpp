#include "table_shifts.hpp"

#include "heatrow/core/median.hpp"
#include "predicted_lines.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>

namespace heatrow::detail {

namespace {

constexpr int kSteps = 32;             // of a pitch
constexpr std::size_t kLeastGaps = 4;  // of a table in a picture, to be judged (own choice)
constexpr int kMostGaps = 24;
constexpr double kSecondBest = 0.85;  // of the best shift, at most, in strength (own choice)
constexpr int kOnePeak = 3;           // steps about the best that belong to it
constexpr double kAsGood = 0.97;
constexpr double kLeastPitchPx = 8.0;  // below, gaps between modules and cells are one
constexpr int kProfiles = 8;

using Strengths = std::array<double, kSteps>;  // from -half a pitch, dark positive; NaN where not seen

// How dark the picture is across the row at every shift of one gap.
std::optional<Strengths> strengths_of(const LayoutIndex& site,
                                      const PosedCamera& camera,
                                      const PredictedLine& predicted,
                                      BandProber& prober,
                                      std::vector<float>& response) {
    const auto from = camera.project(predicted.middle_in_site);
    const auto to = camera.project(predicted.middle_in_site + site.pitch_along());
    if (!from || !to) {
        return std::nullopt;
    }
    const double pitch_px = predicted.line.normal.dot(*to - *from);  // negative where the normal points back
    if (std::abs(pitch_px) < kLeastPitchPx) {
        return std::nullopt;
    }
    const int reach = static_cast<int>(std::ceil(0.5 * std::abs(pitch_px))) + 1;
    prober.response(predicted.line, reach, kProfiles, response);
    Strengths strengths{};
    for (int step = 0; step < kSteps; ++step) {
        const double offset = (static_cast<double>(step) / kSteps - 0.5) * pitch_px;
        const auto at = static_cast<std::size_t>(static_cast<int>(std::lround(offset)) + reach);
        // A pixel to either side: the row is not straight to a pixel.
        strengths[static_cast<std::size_t>(step)] =
            -static_cast<double>(std::min({response[at - 1], response[at], response[at + 1]}));
    }
    return strengths;
}

std::optional<double> shift_of(const std::vector<Strengths>& gaps) {
    Strengths typical{};
    for (std::size_t step = 0; step < kSteps; ++step) {
        std::vector<double> each;
        for (const Strengths& gap : gaps) {
            if (std::isfinite(gap[step])) {
                each.push_back(gap[step]);
            }
        }
        if (each.size() < kLeastGaps) {
            return std::nullopt;
        }
        typical[step] = take_median(each);
    }
    const int best = static_cast<int>(std::max_element(typical.begin(), typical.end()) - typical.begin());
    const double most = typical[static_cast<std::size_t>(best)];
    if (!(most > 0.0)) {
        return std::nullopt;  // no dark gaps
    }
    for (int step = 0; step < kSteps; ++step) {
        const int apart = std::abs(step - best);
        if (std::min(apart, kSteps - apart) > kOnePeak &&
            !(typical[static_cast<std::size_t>(step)] < kSecondBest * most)) {
            return std::nullopt;
        }
    }
    // The middle of what is as good: strengths are pooled over some pixels.
    double sum = 0.0;
    int equal = 0;
    for (int off = -kOnePeak; off <= kOnePeak; ++off) {
        if (typical[static_cast<std::size_t>((best + off + kSteps) % kSteps)] > kAsGood * most) {
            sum += static_cast<double>(off);
            ++equal;
        }
    }
    const double along = (static_cast<double>(best) + sum / equal) / kSteps - 0.5;
    return along < 0.5 ? along : along - 1.0;
}

}  // namespace

std::vector<TableShift> table_shifts(const LayoutIndex& site,
                                     const PosedCamera& camera,
                                     BandProber& prober,
                                     const Eigen::Vector3d& camera_motion) {
    constexpr double kBorderPx = 6.0;
    std::map<int, std::vector<PredictedLine>> gaps;
    std::vector<PredictedLine> lines;
    for (const int module : modules_in_view(site, camera, Metres(0.0))) {
        const int table = site.module(module).table;
        for (const BandEdge& edge : site.edges_of(module)) {
            if (table < 0 || edge.neighbour < 0 || edge.side % 2 == 0) {
                continue;
            }
            lines.clear();
            add_lines(camera, edge, kBorderPx, camera_motion, lines);
            if (!lines.empty()) {
                gaps[table].push_back(lines[lines.size() / 2]);
            }
        }
    }
    std::vector<TableShift> shifts;
    std::vector<float> response;
    for (const auto& [table, predicted] : gaps) {
        const std::size_t every = 1 + predicted.size() / kMostGaps;
        std::vector<Strengths> strengths;
        for (std::size_t i = 0; i < predicted.size(); i += every) {
            if (const auto one = strengths_of(site, camera, predicted[i], prober, response)) {
                strengths.push_back(*one);
            }
        }
        if (const std::optional<double> along = shift_of(strengths)) {
            shifts.push_back({table, *along});
        }
    }
    return shifts;
}

}  // namespace heatrow::detail
