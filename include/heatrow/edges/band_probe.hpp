// Sub-pixel probes along predicted edges. One pass of probes serves the lock and the outlines.
//
// Along the normal of a module's side the picture shows three levels: the glass, a thin dark band (aluminium rim, or
// rim, gap and rim between neighbours), and what lies beyond (the neighbour's glass, or the ground). The probe averages
// counts over a strip along the side and fits the three levels and the place of the band's centre line, the profile
// being blurred by a Gaussian. The levels enter linearly, so each place costs one projection onto a small orthonormal
// basis (variable projection, Golub & Pereyra 1973); the basis is made once per band width.
//
// The whole picture is never filtered or resampled. Nothing here knows what is warm: a bright band is found as well.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/core/units.hpp"

#include <Eigen/Core>

#include <compare>
#include <memory>
#include <optional>
#include <span>
#include <vector>

namespace heatrow {

// A strip of a module's side as predicted in the picture, px.
struct BandLine {
    Eigen::Vector2d middle{0.0, 0.0};  // on the band's centre line
    Eigen::Vector2d normal{0.0, 0.0};  // unit, away from the module
    double half_length_px = 0.0;       // of the strip along the side
    double band_width_px = 0.0;        // along the normal; 0 = a plain step
    double trail_px = 0.0;             // image motion along the normal in a detector time constant (trail_blur.hpp)
    bool glass_beyond = false;         // a neighbour: the same level on both sides
};

struct ProbeOptions {
    double reach_px = 4.0;       // the profile goes from -reach to +reach about the predicted line
    double search_px = 2.5;      // offsets looked for, at most reach - 1.5
    double blur_sigma_px = 0.6;  // of optics and pixel together
    int most_lines = 8;          // parallel profiles that are averaged, at least one px apart
    double nodata = kNaN;        // count that means no data; NaN = none. A probe that meets it gives nothing
    double minimum_gain = 9.0;   // least log-likelihood gain over a flat profile (own choice: one in fifty
                                 // probes of pure noise passes)
    bool levels = false;         // give the three levels too; costs as much as the probe
};

struct EdgeFix {
    double offset_px = 0.0;  // of the true centre line from the predicted one, along the normal
    double sd_px = 0.0;      // standard deviation of the offset, from the curvature and the residual
    double gain = 0.0;       // log-likelihood gain over a flat profile
    // Only where asked for (ProbeOptions::levels), else NaN:
    double inner = kNaN;  // level of the glass, counts
    double band = kNaN;   // level of the band, counts; NaN for a plain step
    double outer = kNaN;  // level beyond, counts

    // Height of the edge, counts: how far the band lies from the mean of its sides, or the step where that is larger.
    [[nodiscard]] double contrast() const;
};

namespace detail {
// Of a profile across a band at one place: the shares of the band's level and of what lies beyond; the rest is glass.
struct BandParts {
    double band;
    double outer;
};
}  // namespace detail

// Probes one picture; not for use by several threads at once. The fitted bases of band widths are made once a thread.
class BandProber {
  public:
    BandProber(CountView counts, const ProbeOptions& options);

    // The band near the predicted line; nothing where the strip leaves the picture, meets no data, or shows no edge
    // strictly inside the searched offsets.
    std::optional<EdgeFix> probe(const BandLine& line);

    // How strong an edge sits at each whole-pixel offset from -reach_px to +reach_px, counts, for coarse searches:
    // length of the part of the profile within 4 px that the edge explains and that a profile which only bends (with a
    // neighbour) or only slopes (at a free side) does not, times the share of the rest that it explains. With a
    // neighbour negative where the band is darker than the glass. NaN where the profile leaves the picture or meets no
    // data. `response` is resized to 2 * reach_px + 1; at most `lines` profiles are averaged.
    void response(const BandLine& line, int reach_px, int lines, std::vector<float>& response);

  private:
    // What a basis depends on.
    struct BasisKey {
        int width_key = 0;  // eighths of a pixel
        int trail_key = 0;
        int half_samples = 0;
        int half_offsets = 0;
        bool levels = false;
        double blur_px = 0.0;
        auto operator<=>(const BasisKey&) const = default;
    };
    struct Basis {
        int width_key = 0;
        int trail_key = 0;
        int samples = 0;
        int offsets = 0;
        // Two columns an offset: unit vectors that, with the even profile, span the three levels; the second is zero
        // for a plain step.
        Eigen::MatrixXd directions;
        std::vector<detail::BandParts>
            table;  // evenly spaced about the band's centre line; empty unless levels are asked for
    };
    static constexpr int kCoarseWindow = 9;  // px
    using CoarseDirections = Eigen::Matrix<double, kCoarseWindow, 3>;
    struct CoarseBasis {
        int width_key = 0;
        bool glass_beyond = false;
        CoarseDirections even;  // unit vectors of what is no edge: level, slope, bend
        CoarseDirections edge;  // unit vectors of band and step, free of those; zeros where not used
    };
    [[nodiscard]] double blur_of_profile() const;
    const Basis& basis_for(const BandLine& line);
    const CoarseBasis& coarse_basis_for(const BandLine& line);
    [[nodiscard]] Basis make_basis(int width_key, int trail_key) const;
    [[nodiscard]] double count_at(double x, double y) const;
    [[nodiscard]] bool meets_nodata(double x, double y) const;
    bool read_profile(const BandLine& line, int half_samples, double step, int most_lines, bool leave_blank);
    void find_levels(const Basis& basis, EdgeFix& fix) const;

    CountView counts_;
    ProbeOptions options_;
    int half_samples_ = 0;
    int half_offsets_ = 0;
    std::vector<std::shared_ptr<const Basis>> bases_;  // met so far
    std::vector<CoarseBasis> coarse_bases_;
    Eigen::VectorXd profile_;
    Eigen::VectorXd centred_;  // less its mean
    Eigen::VectorXd parts_;    // along the directions of a basis
};

}  // namespace heatrow
