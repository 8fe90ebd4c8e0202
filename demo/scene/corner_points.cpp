#include "corner_points.hpp"

#include "random.hpp"

#include <algorithm>
#include <array>
#include <map>

namespace scene {
namespace {

constexpr std::array<const char*, 4> kNames{"top_left", "top_right", "bottom_right", "bottom_left"};

struct Rectangle {
    int table = -1;
    int first = 0, last = -1;  // columns
    [[nodiscard]] int columns() const { return last - first + 1; }
};

// Columns of a table in a row of which every tier is wholly visible.
Rectangle widest_run(const PanelTable& table, int index, const std::map<int, const ViewTruth*>& whole) {
    Rectangle best{index, 0, -1};
    int start = 0;
    for (int column = 0; column < table.along; ++column) {
        bool all = true;
        for (int tier = 0; tier < table.tiers; ++tier) {
            all = all && whole.contains(table.panel_at(column, tier));
        }
        if (!all) {
            start = column + 1;
        } else if (column - start + 1 > best.columns()) {
            best = {index, start, column};
        }
    }
    return best;
}

}  // namespace

std::vector<CornerPick> pick_corners(const World& world, int shot, const std::vector<ViewTruth>& views) {
    std::map<int, const ViewTruth*> whole;
    for (const ViewTruth& view : views) {
        if (view.whole()) {
            whole[view.panel] = &view;
        }
    }
    Rectangle best;
    int most = 0;
    for (std::size_t i = 0; i < world.plant.tables.size(); ++i) {
        const PanelTable& table = world.plant.tables[i];
        const Rectangle run = widest_run(table, static_cast<int>(i), whole);
        if (run.columns() * table.tiers > most) {
            most = run.columns() * table.tiers;
            best = run;
        }
    }
    std::vector<CornerPick> picks;
    if (most == 0) {
        return picks;
    }
    const PanelTable& table = world.plant.tables[static_cast<std::size_t>(best.table)];
    Random random(world.seed, Stream::corner_points, static_cast<std::uint64_t>(shot));
    const double noise = world.spec.handheld->picking_noise_px;
    // Going round the rectangle as seen from the front: lower left, lower right, upper right, upper left.
    for (const auto& [column, tier] : {std::pair{best.first, 0},
                                       std::pair{best.last, 0},
                                       std::pair{best.last, table.tiers - 1},
                                       std::pair{best.first, table.tiers - 1}}) {
        const int panel = table.panel_at(column, tier);
        const auto corners = world.plant.corners_in_site(panel);
        // The module's corner that lies outermost on the table there.
        const Eigen::Vector3d outward =
            (column == best.first && picks.size() % 3 == 0 ? -1.0 : 1.0) * table.face.right +
            (picks.size() < 2 ? -1.0 : 1.0) * table.face.up;
        std::size_t outermost = 0;
        for (std::size_t i = 1; i < 4; ++i) {
            if (corners[i].dot(outward) > corners[outermost].dot(outward)) {
                outermost = i;
            }
        }
        CornerPick pick;
        pick.panel = panel;
        pick.corner = kNames[outermost];
        pick.pixel =
            whole.at(panel)->corners_px[outermost] + Eigen::Vector2d(noise * random.normal(), noise * random.normal());
        picks.push_back(pick);
    }
    return picks;
}

}  // namespace scene
