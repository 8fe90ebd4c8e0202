#include "hot_modules.hpp"

#include "heatrow/core/median.hpp"
#include "heatrow/core/quad_area.hpp"

#include <algorithm>

namespace heatrow {
std::vector<int> cells_above(const FusedModule& fused, KelvinDelta least) {
    std::vector<double> levels_c;
    for (const FusedCell& cell : fused.cells) {
        levels_c.push_back(cell.temperature.value.value());
    }
    const double level_c = median_of(levels_c);
    std::vector<int> hot;
    for (std::size_t cell = 0; cell < levels_c.size(); ++cell) {
        if (levels_c[cell] - level_c >= least.value()) {  // false without data
            hot.push_back(static_cast<int>(cell));
        }
    }
    return hot;
}

ViewsByModule views_by_module(std::span<const PlacedView> views) {
    ViewsByModule by_module;
    for (const PlacedView& view : views) {
        by_module[view.module].push_back(&view);
    }
    return by_module;
}

void sort_largest_first(std::vector<const PlacedView*>& views) {
    std::sort(views.begin(), views.end(), [](const PlacedView* a, const PlacedView* b) {
        const double area_a = quad_area(a->corners_px);
        const double area_b = quad_area(b->corners_px);
        return area_a != area_b ? area_a > area_b : a->frame < b->frame;
    });
}

}  // namespace heatrow
