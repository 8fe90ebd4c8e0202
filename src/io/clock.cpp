#include "heatrow/io/clock.hpp"

#include "heatrow/core/error.hpp"

#include <date/tz.h>
#include <fmt/format.h>

#include <array>
#include <exception>

namespace heatrow {
namespace {

using std::chrono::milliseconds;
using std::chrono::minutes;
using std::chrono::seconds;

constexpr std::string_view kFailed = "cannot place a time";

std::string written_text(WrittenTime written) {
    std::string text = to_iso8601(UtcTime(written.time_since_epoch()));
    text.pop_back();  // the Z
    return text;
}

std::string offset_text(minutes offset) {
    const auto total = std::abs(offset.count());
    return fmt::format("{}{:02}:{:02}", offset.count() < 0 ? '-' : '+', total / 60, total % 60);
}

const date::time_zone& zone_named(const std::string& name, std::string_view where) {
    try {
        return *date::locate_zone(name);
    } catch (const std::exception&) {
        throw Error(
            ErrorKind::usage,
            kFailed,
            where,
            "zone '" + name + "' is not in the zone database",
            "Use a name of the IANA zone database such as \"Europe/Madrid\", or a fixed offset such as \"+01:00\"");
    }
}

date::local_time<milliseconds> as_date_local(WrittenTime written) {
    return date::local_time<milliseconds>(written.time_since_epoch());
}

minutes whole_minutes(seconds offset) {
    return std::chrono::floor<minutes>(offset);
}

Instants zone_instants(const Clock::Zone& zone, WrittenTime written, std::string_view where) {
    const date::local_info info = zone_named(zone.name, where).get_info(as_date_local(written));
    if (info.result == date::local_info::nonexistent) {
        const auto skipped_from = WrittenTime((info.first.end.time_since_epoch() + info.first.offset));
        const auto skipped_to = WrittenTime((info.second.begin.time_since_epoch() + info.second.offset));
        throw Error(ErrorKind::input,
                    kFailed,
                    where,
                    fmt::format("local time {} does not exist in {}: clocks went from {} to {}",
                                written_text(written),
                                zone.name,
                                written_text(skipped_from),
                                written_text(skipped_to)),
                    fmt::format("The device did not follow {}: declare the offset that it kept, such as clock = {{ "
                                "offset = \"{}\" }}",
                                zone.name,
                                offset_text(whole_minutes(info.first.offset))));
    }
    const UtcTime first(written.time_since_epoch() - info.first.offset);
    if (info.result == date::local_info::ambiguous) {
        return {first, UtcTime(written.time_since_epoch() - info.second.offset)};
    }
    return {first, first};
}

// The instant from which a number of leap seconds holds.
struct LeapSecond {
    int year;
    unsigned month;
    int gps_minus_utc_s;
};
// From the first day of the month. Source: IERS Bulletin C (all announcements since the start of GPS time).
constexpr std::array<LeapSecond, 18> kLeapSeconds{{{1981, 7, 1},
                                                   {1982, 7, 2},
                                                   {1983, 7, 3},
                                                   {1985, 7, 4},
                                                   {1988, 1, 5},
                                                   {1990, 1, 6},
                                                   {1991, 1, 7},
                                                   {1992, 7, 8},
                                                   {1993, 7, 9},
                                                   {1994, 7, 10},
                                                   {1996, 1, 11},
                                                   {1997, 7, 12},
                                                   {1999, 1, 13},
                                                   {2006, 1, 14},
                                                   {2009, 1, 15},
                                                   {2012, 7, 16},
                                                   {2015, 7, 17},
                                                   {2017, 1, 18}}};

UtcTime from_gps(WrittenTime written) {
    const UtcTime as_if_utc(written.time_since_epoch());
    // At most one second off, and the table is a step: asking once more at the corrected instant settles it.
    return as_if_utc - gps_minus_utc(as_if_utc - gps_minus_utc(as_if_utc));
}

Instants unshifted(const Clock& clock, const ParsedTime& time, std::string_view where) {
    if (time.utc_offset) {
        if (std::holds_alternative<Clock::GpsTime>(clock.scale)) {
            throw Error(ErrorKind::input,
                        kFailed,
                        where,
                        fmt::format("{} carries the UTC offset {}, but its clock is declared as GPS time",
                                    written_text(time.written),
                                    offset_text(*time.utc_offset)),
                        "Take gps = true out of the clock if the device writes UTC, or the offset out of the times");
        }
        const UtcTime instant(time.written.time_since_epoch() - *time.utc_offset);
        return {instant, instant};
    }
    if (const auto* zone = std::get_if<Clock::Zone>(&clock.scale)) {
        return zone_instants(*zone, time.written, where);
    }
    if (const auto* fixed = std::get_if<Clock::FixedOffset>(&clock.scale)) {
        const UtcTime instant(time.written.time_since_epoch() - fixed->east_of_utc);
        return {instant, instant};
    }
    const UtcTime instant = from_gps(time.written);
    return {instant, instant};
}

}  // namespace

seconds gps_minus_utc(UtcTime time) {
    int ahead = 0;
    for (const LeapSecond& leap : kLeapSeconds) {
        const std::chrono::sys_days from{std::chrono::year(leap.year) / std::chrono::month(leap.month) / 1};
        if (time >= from) {
            ahead = leap.gps_minus_utc_s;
        }
    }
    return seconds(ahead);
}

Instants to_instants(const Clock& clock, const ParsedTime& time, std::string_view where) {
    const Instants instants = unshifted(clock, time, where);
    return {instants.first - clock.shift, instants.second - clock.shift};
}

UtcTime to_utc(const Clock& clock, const ParsedTime& time, std::string_view where) {
    const Instants instants = to_instants(clock, time, where);
    if (instants.ambiguous()) {
        throw Error(ErrorKind::input,
                    kFailed,
                    where,
                    fmt::format("local time {} passes twice in {}: it is {} or {}",
                                written_text(time.written),
                                std::get<Clock::Zone>(clock.scale).name,
                                to_iso8601(instants.first),
                                to_iso8601(instants.second)),
                    "Write the times with their UTC offset (2026-10-25T02:30:00+01:00), or declare the fixed offset "
                    "that the device kept");
    }
    return instants.first;
}

minutes utc_offset(const Clock& clock, UtcTime time) {
    if (const auto* zone = std::get_if<Clock::Zone>(&clock.scale)) {
        const auto info = zone_named(zone->name, {}).get_info(std::chrono::floor<seconds>(time));
        return whole_minutes(info.offset);
    }
    if (const auto* fixed = std::get_if<Clock::FixedOffset>(&clock.scale)) {
        return fixed->east_of_utc;
    }
    return minutes(0);
}

WrittenTime to_written(const Clock& clock, UtcTime time) {
    const auto ahead = std::holds_alternative<Clock::GpsTime>(clock.scale) ? gps_minus_utc(time) : seconds(0);
    return WrittenTime(time.time_since_epoch() + utc_offset(clock, time) + ahead + clock.shift);
}

void require_known_zone(const Clock& clock, std::string_view where) {
    if (const auto* zone = std::get_if<Clock::Zone>(&clock.scale)) {
        zone_named(zone->name, where);
    }
}

std::string describe(const Clock& clock) {
    std::string text;
    if (const auto* zone = std::get_if<Clock::Zone>(&clock.scale)) {
        text = "zone " + zone->name;
    } else if (const auto* fixed = std::get_if<Clock::FixedOffset>(&clock.scale)) {
        text = "fixed offset " + offset_text(fixed->east_of_utc);
    } else {
        text = "GPS time";
    }
    if (clock.shift.count() != 0) {
        const double ahead_s = static_cast<double>(clock.shift.count()) / 1000.0;
        text += fmt::format(
            ", ran {:.1f} s {} ({})", std::abs(ahead_s), ahead_s > 0.0 ? "ahead" : "behind", clock.shift_source);
    }
    return text;
}

}  // namespace heatrow
