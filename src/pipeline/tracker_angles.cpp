#include "tracker_angles.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/core/nearest_word.hpp"
#include "heatrow/io/site_conditions.hpp"

#include <fmt/format.h>

namespace heatrow {
namespace {

Tracker tracker_of(const Layout& layout, int table, const TableAxis& axis, const TrackerSettings& settings) {
    Tracker tracker;
    tracker.axis_tilt = axis.tilt;
    tracker.axis_azimuth = axis.azimuth;
    tracker.maximum_angle = axis.limit;
    tracker.backtracks = settings.backtracking;
    if (settings.backtracking) {
        if (!axis.row_pitch) {
            throw Error(ErrorKind::input,
                        "cannot compute the angles of trackers",
                        fmt::format("table \"{}\"", layout.tables[static_cast<std::size_t>(table)].id),
                        "turning back needs the distance of its axis to the next one",
                        "Give 'axis_pitch' in the layout, or set backtracking = false in [trackers]");
        }
        tracker.ground_coverage = width_across(layout, table, axis) / *axis.row_pitch;
    }
    return tracker;
}

// Every tracker of the layout has to be in the log.
void require_trackers(const TrackerLog& log, const TableAxes& axes, const TrackerSettings& settings) {
    if (log.trackers.contains("")) {
        return;
    }
    std::vector<std::string> known;
    for (const auto& [id, readings] : log.trackers) {
        known.push_back(id);
    }
    for (const auto& axis : axes) {
        if (axis && !log.trackers.contains(axis->tracker)) {
            const auto nearest = nearest_word(axis->tracker, known);
            throw Error(ErrorKind::input,
                        "cannot use the tracker log",
                        settings.log.filename().string(),
                        fmt::format("it has no rows of tracker '{}', which the layout names", axis->tracker),
                        nearest ? fmt::format("Is it '{}'? Name it alike in both", *nearest)
                                : "Name trackers alike in both, in the layout's field 'tracker'");
        }
    }
}

}  // namespace

TrackerAngles::TrackerAngles(const TrackerSettings& settings, TableAxes axes, const Layout& layout)
    : settings_(settings), axes_(std::move(axes)), place_(place_of(layout.origin)) {
    if (settings_.angles == TrackerSettings::Angles::log) {
        log_ = read_tracker_log(settings_.log, settings_.clock, settings_.options);
        require_trackers(log_, axes_, settings_);
        return;
    }
    for (std::size_t table = 0; table < axes_.size(); ++table) {
        by_sun_.push_back(axes_[table]
                              ? std::optional(tracker_of(layout, static_cast<int>(table), *axes_[table], settings_))
                              : std::nullopt);
    }
}

Radians TrackerAngles::rotation(std::size_t table, UtcTime time, std::chrono::milliseconds longest_gap) const {
    if (!by_sun_.empty()) {
        const SolarPosition sun = solar_position(time, place_);
        return tracker_state(*by_sun_[table], sun.true_zenith, sun.azimuth).rotation;
    }
    const std::string& tracker = axes_[table]->tracker;
    const auto found = log_.trackers.contains("") ? log_.trackers.begin() : log_.trackers.find(tracker);
    const auto rotation = rotation_at(found->second, time, longest_gap);
    if (!rotation) {
        throw Error(ErrorKind::input,
                    "cannot tell how trackers stood",
                    settings_.log.filename().string(),
                    fmt::format("its readings of tracker '{}' run from {} to {} and leave {} out",
                                tracker,
                                to_iso8601(found->second.front().time),
                                to_iso8601(found->second.back().time),
                                to_iso8601(time)),
                    "Use the log of the survey's day, correct the clock of the log or the camera in survey.toml, or "
                    "raise trackers.longest_gap_min");
    }
    return *rotation;
}

std::vector<Radians> TrackerAngles::at(UtcTime time) const {
    std::vector<Radians> rotations(axes_.size(), Radians(kNaN));
    for (std::size_t table = 0; table < axes_.size(); ++table) {
        if (axes_[table]) {
            rotations[table] = rotation(table, time, settings_.longest_gap);
        }
    }
    return rotations;
}

Radians TrackerAngles::near(std::size_t table, UtcTime time) const {
    constexpr std::chrono::hours kAnyGap{24 * 36500};
    return rotation(table, time, kAnyGap);
}

}  // namespace heatrow
