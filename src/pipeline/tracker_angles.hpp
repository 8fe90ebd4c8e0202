// Where the tables of a survey stand at a moment: read from a log, or computed from the sun.
#pragma once

#include "heatrow/io/survey_settings.hpp"
#include "heatrow/io/tracker_log.hpp"
#include "heatrow/site/turned_layout.hpp"
#include "heatrow/sun/solar_position.hpp"
#include "heatrow/sun/tracker.hpp"

#include <optional>
#include <vector>

namespace heatrow {

class TrackerAngles {
  public:
    // Reads the log where there is one. Throws Error: as read_tracker_log; (input) a tracker of the layout that the log
    // does not name, a table without axis_pitch where turning back is computed.
    TrackerAngles(const TrackerSettings& settings, TableAxes axes, const Layout& layout);

    [[nodiscard]] const TableAxes& axes() const { return axes_; }
    // By table; NaN for one that does not turn or with the sun below the horizon. Throws Error (input) where the log
    // does not speak for that time.
    [[nodiscard]] std::vector<Radians> at(UtcTime time) const;
    // Of one table that turns; between and beyond readings too far apart for at(), however far.
    [[nodiscard]] Radians near(std::size_t table, UtcTime time) const;

  private:
    [[nodiscard]] Radians rotation(std::size_t table, UtcTime time, std::chrono::milliseconds longest_gap) const;

    TrackerSettings settings_;
    TableAxes axes_;
    TrackerLog log_;
    Place place_;
    std::vector<std::optional<Tracker>> by_sun_;  // by table; empty with a log
};

}  // namespace heatrow
