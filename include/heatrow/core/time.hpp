// Instants and the clocks that devices carry.
//
// Inside the program every instant is UTC. A device's clock says how its written times become UTC; the conversion of
// named zones needs the zone database and lives in io/clock.hpp.
#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <string_view>
#include <variant>

namespace heatrow {

// An instant in UTC, to the millisecond (leap seconds are not counted, as in POSIX time).
using UtcTime = std::chrono::sys_time<std::chrono::milliseconds>;
// A date and time of day as a device wrote it, without a zone.
using WrittenTime = std::chrono::local_time<std::chrono::milliseconds>;

// "2026-06-17T11:02:03Z", with ".250" only where there are milliseconds.
std::string to_iso8601(UtcTime time);

// A written date-time: "2026-06-17T11:02:03.25", 'T' or a blank, optional fraction, optionally "Z" or "+02:00".
struct ParsedTime {
    WrittenTime written;
    std::optional<std::chrono::minutes> utc_offset;  // present where the text carries one
};
// Nothing if the text is not such a date-time or names an impossible date.
std::optional<ParsedTime> parse_iso8601(std::string_view text);

// How a device's written times become UTC: utc = to_utc(written) - shift.
struct Clock {
    struct Zone {
        std::string name;  // of the IANA zone database, e.g. "Europe/Madrid"
    };
    struct FixedOffset {
        std::chrono::minutes east_of_utc{0};
    };
    struct GpsTime {};  // GPS time: ahead of UTC by the leap seconds since 1980 (18 s since 2017)

    std::variant<FixedOffset, Zone, GpsTime> scale = FixedOffset{};
    std::chrono::milliseconds shift{0};     // how far the device ran ahead of true time
    std::string shift_source = "declared";  // where the shift comes from, for the manifest
};

}  // namespace heatrow
