#include "heatrow/segment/band_spread.hpp"

#include "heatrow/core/median.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <vector>

namespace heatrow {
namespace {

constexpr int kReach = 9;     // px, of a cut to either side of the band
constexpr int kPerPixel = 2;  // samples
constexpr int kSamples = 2 * kReach * kPerPixel + 1;
constexpr int kCuts = 5;      // along one band
constexpr int kBaseline = 2;  // px at either end that show no band
constexpr int kEnd = kBaseline * kPerPixel;
constexpr int kFewest = 6;           // bands that tell
constexpr double kLeastDip = 3.0;    // of a dip's depth over the scatter of its ends
constexpr double kMostOffset = 1.0;  // px; the lock puts bands within a tenth of it

using Cut = std::array<double, kSamples>;

// Between pixels, linear; nothing outside the picture or where there is no data.
std::optional<double> count_at(CountView counts, const Eigen::Vector2d& at, double nodata) {
    const int x = static_cast<int>(std::floor(at.x()));
    const int y = static_cast<int>(std::floor(at.y()));
    if (!counts.contains(x, y) || !counts.contains(x + 1, y + 1)) {
        return std::nullopt;
    }
    const double fx = at.x() - x;
    const double fy = at.y() - y;
    const std::array<double, 4> values = {
        double{counts(x, y)}, double{counts(x + 1, y)}, double{counts(x, y + 1)}, double{counts(x + 1, y + 1)}};
    for (const double value : values) {
        if (!std::isfinite(value) || value == nodata) {
            return std::nullopt;
        }
    }
    return (1.0 - fy) * ((1.0 - fx) * values[0] + fx * values[1]) + fy * ((1.0 - fx) * values[2] + fx * values[3]);
}

// Sample by sample: one hot cell beside a band is beside one or two of its cuts, and a few are beside the bands of a
// frame.
Cut median_of_cuts(const std::vector<Cut>& cuts) {
    Cut median{};
    std::vector<double> samples;
    for (std::size_t s = 0; s < median.size(); ++s) {
        samples.clear();
        for (const Cut& cut : cuts) {
            samples.push_back(cut[s]);
        }
        median[s] = take_median(samples);
    }
    return median;
}

// The same of the cuts of one band, samples side by side.
Cut median_of_band(const std::array<Cut, kCuts>& cuts) {
    static_assert(kCuts == 5);
    Cut median;
    for (std::size_t s = 0; s < median.size(); ++s) {
        const auto lower = [](double a, double b) { return b < a ? b : a; };
        const auto higher = [](double a, double b) { return b < a ? a : b; };
        const double low = higher(lower(cuts[0][s], cuts[1][s]), lower(cuts[2][s], cuts[3][s]));
        const double high = lower(higher(cuts[0][s], cuts[1][s]), higher(cuts[2][s], cuts[3][s]));
        median[s] = higher(lower(low, high), lower(higher(low, high), cuts[4][s]));
    }
    return median;
}

// Level and slope between the ends of a cut, which show no band.
struct EndLine {
    double low = 0.0;
    double slope = 0.0;  // a sample

    explicit EndLine(const Cut& cut) {
        double high = 0.0;
        for (int s = 0; s < kEnd; ++s) {
            low += cut[static_cast<std::size_t>(s)] / kEnd;
            high += cut[static_cast<std::size_t>(kSamples - 1 - s)] / kEnd;
        }
        slope = (high - low) / (kSamples - kEnd);
    }
    [[nodiscard]] double at(int sample) const { return low + slope * (sample - 0.5 * (kEnd - 1)); }
};

// Cuts across one band, and the band's width there, px.
struct BandCut {
    std::array<Cut, kCuts> cuts;
    double width_px = 0.0;
};

std::optional<BandCut> cut_across(const BandEdge& edge, const PosedCamera& camera, CountView counts, double nodata) {
    BandCut band;
    for (int i = 0; i < kCuts; ++i) {
        const double share = (i + 1.0) / (kCuts + 1.0);
        const Eigen::Vector3d middle = edge.from_in_site + share * (edge.to_in_site - edge.from_in_site);
        const auto here = camera.project(middle);
        const auto beyond = camera.project(middle + edge.band_width_m * edge.outward_in_site);
        if (!here || !beyond || !((*beyond - *here).norm() > 0.0)) {
            return std::nullopt;
        }
        const Eigen::Vector2d normal = (*beyond - *here).normalized();
        band.width_px += (*beyond - *here).norm() / kCuts;
        Cut& cut = band.cuts[static_cast<std::size_t>(i)];
        for (int s = 0; s < kSamples; ++s) {
            const double offset = static_cast<double>(s) / kPerPixel - kReach;
            const auto value = count_at(counts, *here + offset * normal, nodata);
            if (!value) {
                return std::nullopt;
            }
            cut[static_cast<std::size_t>(s)] = *value;
        }
    }
    return band;
}

// The dip of a cut below the line through its ends, which show no band, and how much these scatter about that line.
struct Dip {
    Cut depth{};
    double area = 0.0;
    double deepest = 0.0;
    double ends = 0.0;  // rms

    explicit Dip(const Cut& cut) {
        const EndLine line(cut);
        for (int s = 0; s < kSamples; ++s) {
            const auto i = static_cast<std::size_t>(s);
            depth[i] = line.at(s) - cut[i];
            if (s < kEnd || s >= kSamples - kEnd) {
                ends += depth[i] * depth[i] / (2 * kEnd);
                continue;
            }
            area += depth[i];
            deepest = std::max(deepest, std::abs(depth[i]));
        }
        ends = std::sqrt(ends);
    }
    [[nodiscard]] bool is_clear() const { return deepest >= kLeastDip * ends && area != 0.0; }
    // From the predicted centre line, px: of the deepest sample, which what lies farther out does not move.
    [[nodiscard]] double offset_px() const {
        const auto deepest_at = std::max_element(
            depth.begin() + kEnd, depth.end() - kEnd, [](double a, double b) { return std::abs(a) < std::abs(b); });
        return static_cast<double>(deepest_at - depth.begin()) / kPerPixel - kReach;
    }
    // About the predicted line.
    [[nodiscard]] double variance_px2() const {
        constexpr double kCentre = 0.5 * (kSamples - 1);
        double second = 0.0;
        for (int s = kEnd; s < kSamples - kEnd; ++s) {
            second += depth[static_cast<std::size_t>(s)] * (s - kCentre) * (s - kCentre);
        }
        return second / area / (kPerPixel * kPerPixel);
    }
};

// The bands of one direction.
struct Bands {
    std::vector<Cut> cuts;  // below the line through their ends, so that bands of all levels go together
    double width_px2 = 0.0;
    int bands = 0;

    void add(const BandCut& band) {
        for (const Cut& cut : band.cuts) {
            cuts.push_back(Dip(cut).depth);
        }
        width_px2 += band.width_px * band.width_px / 12.0;
        ++bands;
    }

    [[nodiscard]] BandSpread spread() const {
        BandSpread result;
        result.bands = bands;
        if (bands < kFewest) {
            return result;
        }
        result.width_px2 = width_px2 / bands;
        // Folded over at the predicted line, which the lock puts within a tenth of a pixel: a step from one side to the
        // other, as between a lit and a shaded tier, goes out.
        const Cut cut = median_of_cuts(cuts);
        Cut folded{};
        for (std::size_t s = 0; s < cut.size(); ++s) {
            folded[s] = -0.5 * (cut[s] + cut[cut.size() - 1 - s]);
        }
        const Dip dip(folded);
        if (const double variance = dip.variance_px2(); dip.is_clear() && variance > 0.0) {
            result.variance_px2 = variance;
        }
        return result;
    }
};

// Unit vector along the module's row: level, in its plane; of flat modules along their top edge.
Eigen::Vector3d row_direction(const LayoutIndex& site, int module) {
    const auto& corners = site.module(module).corners_in_site;
    const Eigen::Vector3d level = Eigen::Vector3d::UnitZ().cross(site.normal_in_site(module));
    constexpr double kFlat = 0.01;
    return level.norm() > kFlat ? level.normalized() : (corners[1] - corners[0]).normalized();
}

}  // namespace

FrameSpread band_spread(const LayoutIndex& site,
                        std::span<const ModuleSlot> slots,
                        const PosedCamera& camera,
                        CountView counts,
                        double nodata) {
    Bands along;
    Bands across;
    FrameSpread result;
    result.fits.resize(slots.size());
    const auto count = [&](int module, bool fits) {
        const auto found = std::lower_bound(
            slots.begin(), slots.end(), module, [](const ModuleSlot& slot, int m) { return slot.module < m; });
        if (found != slots.end() && found->module == module) {
            BandFit& fit = result.fits[static_cast<std::size_t>(found - slots.begin())];
            ++fit.cut;
            fit.fitting += fits ? 1 : 0;
        }
    };
    for (const ModuleSlot& slot : slots) {
        const Eigen::Vector3d row = row_direction(site, slot.module);
        for (const BandEdge& edge : site.edges_of(slot.module)) {
            if (edge.neighbour < 0 || edge.band_width_m <= 0.0) {
                continue;
            }
            if (const auto band = cut_across(edge, camera, counts, nodata)) {
                const bool crosses_row = std::abs(edge.outward_in_site.dot(row)) > std::sqrt(0.5);
                (crosses_row ? along : across).add(*band);
                const Dip dip(median_of_band(band->cuts));
                const bool fits = dip.is_clear() && std::abs(dip.offset_px()) <= kMostOffset;
                count(slot.module, fits);
                count(edge.neighbour, fits);
            }
        }
    }
    result.along = along.spread();
    result.across = across.spread();
    return result;
}

}  // namespace heatrow
