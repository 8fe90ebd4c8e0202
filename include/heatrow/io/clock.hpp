// Written times become instants: named zones, fixed offsets and GPS time (docs/conventions.md, "Numbers and times").
#pragma once

#include "heatrow/core/time.hpp"

#include <string>
#include <string_view>
#include <variant>

namespace heatrow {

// The instant that a device with this clock means by a written time: utc = to_utc(written) - shift.
// A text that carries its own UTC offset says what it means and wins over FixedOffset and Zone.
// Errors (kind input), each naming `where` (file, line, field), the value and what to try: a local time that the zone
// skips or passes twice; an unknown zone (kind usage); a UTC offset on a time that is declared as GPS time.
UtcTime to_utc(const Clock& clock, const ParsedTime& time, std::string_view where = {});

// The one instant, or the two that a zone's local time can mean at the end of daylight saving, earlier first; shift
// taken off. A skipped local time is an Error as above.
struct Instants {
    UtcTime first;
    UtcTime second;
    [[nodiscard]] bool ambiguous() const { return first != second; }
};
Instants to_instants(const Clock& clock, const ParsedTime& time, std::string_view where = {});

// The reverse, for output: what the clock shows at this instant, shift included.
WrittenTime to_written(const Clock& clock, UtcTime time);

// Minutes east of UTC that the zone or offset keeps at this instant; 0 for GPS time.
std::chrono::minutes utc_offset(const Clock& clock, UtcTime time);

// Error (kind usage) if the zone is not in the zone database.
void require_known_zone(const Clock& clock, std::string_view where = {});

// In words, for messages and the manifest: "zone Europe/Madrid, ran 12.0 s ahead (declared)".
std::string describe(const Clock& clock);

// Seconds by which GPS time is ahead of UTC at this instant. Source: IERS Bulletin C announcements of leap seconds
// since 1980; the last one so far took effect on 2017-01-01.
std::chrono::seconds gps_minus_utc(UtcTime time);

}  // namespace heatrow
