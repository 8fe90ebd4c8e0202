#include "heatrow/io/tracker_axes.hpp"

#include "layout_source.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

using detail::fail_layout;

bool is_same(const TableAxis& a, const TableAxis& b) {
    return a.tracker == b.tracker && a.azimuth == b.azimuth && a.tilt == b.tilt && a.below == b.below &&
           a.limit == b.limit && a.row_pitch == b.row_pitch;
}

}  // namespace

TableAxes read_tracker_axes(const std::filesystem::path& file, const Layout& layout) {
    TableAxes axes(layout.tables.size());
    std::vector<std::string> first_of(layout.tables.size());
    for (const detail::LayoutFeature& feature : detail::read_layout_features(file)) {
        const auto module = layout.find_module(feature.module);
        const int table = module ? layout.modules[static_cast<std::size_t>(*module)].table : -1;
        if (table < 0) {
            continue;
        }
        const auto at = static_cast<std::size_t>(table);
        if (first_of[at].empty()) {
            first_of[at] = feature.module;
            axes[at] = feature.axis;
        } else if (axes[at].has_value() != feature.axis.has_value() ||
                   (feature.axis && !is_same(*axes[at], *feature.axis))) {
            fail_layout(file,
                        fmt::format("module \"{}\"", feature.module),
                        fmt::format("its axis differs from that of module \"{}\" of the same table", first_of[at]),
                        "The modules of a table turn together: give them the same axis fields and tracker");
        }
    }
    if (std::none_of(axes.begin(), axes.end(), [](const auto& axis) { return axis.has_value(); })) {
        fail_layout(file,
                    "",
                    "no table of it has an axis, and survey.toml has [trackers]",
                    "Give the modules of tracking tables an 'axis_azimuth', or leave [trackers] out");
    }
    for (std::size_t table = 0; table < axes.size(); ++table) {
        if (axes[table] && std::isnan(rotation_of(layout, static_cast<int>(table), *axes[table]).value())) {
            fail_layout(file,
                        fmt::format("table \"{}\"", layout.tables[table].id),
                        fmt::format("its modules lean along their axis (azimuth {:.1f}, tilt {:.1f}) by more than "
                                    "{:.0f} deg, so they do not turn about it",
                                    in_degrees(axes[table]->azimuth),
                                    in_degrees(axes[table]->tilt),
                                    in_degrees(kMostLean)),
                        "Correct axis_azimuth and axis_tilt, or the tilt and azimuth of the modules");
        }
    }
    return axes;
}

}  // namespace heatrow
