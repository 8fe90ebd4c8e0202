// Quick answers about a layout that stages ask for every frame: which modules lie here, and where are their edges.
#pragma once

#include "heatrow/site/layout.hpp"

#include <Eigen/Core>

#include <array>
#include <span>
#include <vector>

namespace heatrow {

// What a camera sees along one side of a module: glass, then a dark band, then a neighbour's glass or the ground.
// Between neighbours the band is both rims and the gap, and the side is listed once; at a free side it is the rim.
struct BandEdge {
    int module = 0;
    int side = 0;                  // 0 top, 1 right, 2 bottom, 3 left
    int neighbour = -1;            // layout index of the module beyond; -1 = free side
    Eigen::Vector3d from_in_site;  // ends of the band's centre line, m
    Eigen::Vector3d to_in_site;
    Eigen::Vector3d outward_in_site;  // unit vector in the module plane, away from the module
    double band_width_m = 0.0;        // 0 for a free side without rim
    double clear_m = 0.0;             // ground without modules beyond the edge, at most kClearLimit; 0 with a neighbour
};

// Keeps a reference to the layout, which must outlive it.
class LayoutIndex {
  public:
    static constexpr double kWidestGap = 0.08;  // m; modules further apart are not each other's neighbours
    static constexpr double kClearLimit = 1.2;  // m

    explicit LayoutIndex(const Layout& layout);

    [[nodiscard]] const Layout& layout() const { return *layout_; }
    [[nodiscard]] const Module& module(int index) const { return layout_->modules[static_cast<std::size_t>(index)]; }
    [[nodiscard]] const Eigen::Vector3d& centre_in_site(int index) const {
        return centres_[static_cast<std::size_t>(index)];
    }
    [[nodiscard]] const Eigen::Vector3d& normal_in_site(int index) const {
        return normals_[static_cast<std::size_t>(index)];
    }
    // Half diagonal, m: a module lies wholly within this distance of its centre.
    [[nodiscard]] double radius_m(int index) const { return radii_[static_cast<std::size_t>(index)]; }
    [[nodiscard]] double largest_radius_m() const { return largest_radius_; }
    // Heights of the lowest and the highest module corner, m.
    [[nodiscard]] double lowest_m() const { return lowest_; }
    [[nodiscard]] double highest_m() const { return highest_; }

    // Modules whose centre lies in the box (east and north, inclusive), ascending.
    [[nodiscard]] std::vector<int> modules_in_box(const Eigen::Vector2d& low, const Eigen::Vector2d& high) const;

    [[nodiscard]] const std::vector<BandEdge>& edges() const { return edges_; }
    // Those listed under this module: its free sides, and the sides it shares with a module of higher index.
    [[nodiscard]] std::span<const BandEdge> edges_of(int module) const;

    // How far the dark band reaches beyond a module's outline at each side, m: gap and the neighbour's rim; 0 at free
    // sides.
    [[nodiscard]] const std::array<double, 4>& band_beyond_m(int module) const {
        return band_beyond_[static_cast<std::size_t>(module)];
    }

    // Vectors that carry the layout's lattice onto itself nearby: from a module to its neighbours, m (medians over the
    // modules; along the top edge, and up the slope). Zero where the layout has no such neighbours.
    [[nodiscard]] const Eigen::Vector3d& pitch_along() const { return pitch_along_; }
    [[nodiscard]] const Eigen::Vector3d& pitch_across() const { return pitch_across_; }

  private:
    [[nodiscard]] int bin_of(double value, int axis) const;
    void fill_bins();
    void find_edges();
    [[nodiscard]] int neighbour_at(int module, int side) const;
    [[nodiscard]] double reach_to(int neighbour, const Eigen::Vector3d& middle, const Eigen::Vector3d& outward) const;
    [[nodiscard]] double clear_beyond(const Eigen::Vector3d& middle, const Eigen::Vector3d& outward) const;
    [[nodiscard]] bool covered(const Eigen::Vector2d& point) const;
    void find_pitches();

    const Layout* layout_;
    std::vector<Eigen::Vector3d> centres_;
    std::vector<Eigen::Vector3d> normals_;
    std::vector<double> radii_;
    double largest_radius_ = 0.0;
    double lowest_ = 0.0;
    double highest_ = 0.0;
    Eigen::Vector2d low_{0.0, 0.0};
    double bin_size_ = 1.0;
    std::array<int, 2> bins_{0, 0};
    std::vector<int> bin_begin_;  // of each bin, into bin_modules_; one more at the end
    std::vector<int> bin_modules_;
    std::vector<BandEdge> edges_;
    std::vector<std::array<double, 4>> band_beyond_;
    std::vector<int> edge_begin_;  // of each module, into edges_; one more at the end
    Eigen::Vector3d pitch_along_{0.0, 0.0, 0.0};
    Eigen::Vector3d pitch_across_{0.0, 0.0, 0.0};
};

}  // namespace heatrow
