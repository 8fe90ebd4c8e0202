// The fit of cell temperatures along one axis of a module. It depends on few rounded figures, so frames share it.
#pragma once

#include "blur_fit.hpp"
#include "heatrow/edges/point_spread.hpp"
#include "heatrow/segment/cell_sheet.hpp"
#include "heatrow/site/module_type.hpp"
#include "module_grid.hpp"

#include <compare>
#include <map>
#include <memory>
#include <optional>
#include <shared_mutex>
#include <utility>
#include <vector>

namespace heatrow::detail {

enum class Axis { across, down };

// Everything that an axis fit depends on. Rounded lengths stand for all that are nearly as long: half a pixel over a
// whole module changes the blur in metres by one part in a hundred, and is far less than what is known of the blur.
// Bands come from the layout's coordinates, no two the same to the last digit.
struct AxisKey {
    int type = 0;
    Axis axis = Axis::across;
    int length_px = 0;        // length of the module along the axis in the picture
    int trail_eighth_px = 0;  // image motion in a detector time constant along the axis
    int band_before_mm = 0;
    int band_after_mm = 0;
    double loss_w_m2k = 0.0;  // of the sheet

    auto operator<=>(const AxisKey&) const = default;
};

// Rounded as a key has them.
int whole_px(double length_px);
int eighths_px(double trail_px);
int whole_mm(double length_m);

struct AxisFit {
    PatchLine patches;
    LineFit line;  // empty: not worth having, or not asked for
};

// Makes each fit once. Safe to ask from several threads; what it gives depends on the key alone and stays where it is.
class AxisFits {
  public:
    // No terms of point spread: no fit. sheet: as SampleOptions, with the loss of the key.
    AxisFits(std::vector<SpreadTerm> spread, double edge_px, const std::optional<CellSheet>& sheet)
        : spread_(std::move(spread)), edge_px_(edge_px), sheet_(sheet) {}

    [[nodiscard]] const AxisFit& fit(const AxisKey& key, const ModuleType& type);

  private:
    [[nodiscard]] AxisFit make(const AxisKey& key, const ModuleType& type) const;

    std::vector<SpreadTerm> spread_;
    double edge_px_;
    std::optional<CellSheet> sheet_;
    std::shared_mutex mutex_;
    std::map<AxisKey, std::unique_ptr<const AxisFit>> made_;
};

}  // namespace heatrow::detail
