// Grids of modules in one picture, found without a layout.
//
// Areas that lines frame (found elsewhere) are joined to lattices: neighbours share a side. A lattice is one
// homography from lattice coordinates (x in columns, y in rows; module (c, r) lies between x = c and c + 1, y = r and
// r + 1) to pinhole coordinates, and the lens. It is fitted to sub-pixel probes along all sides, grown to what the
// patches missed, and every module has to show its sides. Nothing here knows the site's scale.
#pragma once

#include "heatrow/camera/lens.hpp"
#include "heatrow/core/image.hpp"
#include "heatrow/core/rejection.hpp"
#include "heatrow/core/units.hpp"

#include <Eigen/Core>
#include <tl/expected.hpp>

#include <array>
#include <optional>
#include <span>
#include <vector>

namespace heatrow {

// Four-sided areas between lines of one sign and at least one strength.
struct PatchSet {
    bool dark_lines = true;
    double line_sigma_px = 1.0;                              // of the smoothing in which the lines were found
    std::vector<std::array<Eigen::Vector2d, 4>> corners_px;  // where lines cross, to the right on the screen
};

// Outline of a type of module, either way up.
struct ModuleShape {
    Metres width{0.0};
    Metres height{0.0};
    Metres frame_width{0.0};  // visible rim
};

struct GridOptions {
    std::optional<Lens> lens;         // absent: one radial term and no scale are fitted
    double nodata = kNaN;             // count that means no data; NaN = none
    double blur_sigma_px = 0.6;       // of optics and pixel together
    std::vector<ModuleShape> shapes;  // those on site; none: any
    int least_modules = 4;            // in a grid
    // Long side over short side of a module where no shape is given and the lens is (common practice, no source).
    double least_aspect = 1.2;
    double largest_aspect = 2.7;
    double aspect_tolerance = 0.06;  // of a given shape's, as a share: gaps differ by direction
};

struct GridModule {
    int column = 0;  // from 0, to the right in the picture
    int row = 0;     // from 0, downwards
    // Outline, px: as lattice corners (column, row), (column + 1, row), (column + 1, row + 1), (column, row + 1); may
    // lie outside the picture.
    std::array<Eigen::Vector2d, 4> corners_px;
    bool whole = false;         // all corners in the picture
    int sides_seen = 0;         // that are long enough in the picture to be probed
    int sides_found = 0;        // of these, with an edge where it should be
    double corner_sd_px = 0.0;  // of the corners, from the fit of the lattice
};

struct ModuleGrid {
    int columns = 0;
    int rows = 0;
    std::vector<GridModule> modules;        // by row, then column
    std::vector<std::array<int, 2>> holes;  // column, row: no module among modules on at least three sides
    bool dark_lines = true;
    Eigen::Matrix3d pinhole_from_lattice = Eigen::Matrix3d::Identity();
    Lens lens;            // as given, or with the fitted radial term and the picture's width as focal length
    double rms_px = 0.0;  // of the edges about the fit
    int edges_used = 0;
    double line_height = 0.0;  // of the lines between its modules, counts, median
    // Width over height of one step of the lattice; NaN where the lens is not known.
    double pitch_aspect = kNaN;
    std::optional<int> shape;  // of GridOptions::shapes, the nearest
    bool shape_lies = false;   // its height runs along the rows of the grid
    // Gap between neighbours as a share of the pitch, x and y: from where free sides lie.
    std::array<double, 2> gap_share{0.0, 0.0};

    [[nodiscard]] const GridModule* find(int column, int row) const;
    // The module whose outline holds the pixel.
    [[nodiscard]] const GridModule* at(const Eigen::Vector2d& pixel) const;
};

// Largest grid first. not_locked: there is none, with what was missing.
tl::expected<std::vector<ModuleGrid>, Rejection> fit_module_grids(std::span<const PatchSet> patches,
                                                                  CountView counts,
                                                                  const GridOptions& options = {});

}  // namespace heatrow
