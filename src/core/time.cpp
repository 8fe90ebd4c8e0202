#include "heatrow/core/time.hpp"

#include <array>
#include <charconv>
#include <cstdio>

namespace heatrow {
namespace {

using std::chrono::milliseconds;

// Reads fixed-width decimal fields off the front of a text.
class Scanner {
  public:
    explicit Scanner(std::string_view text) : rest_(text) {}

    std::optional<int> digits(std::size_t count) {
        if (rest_.size() < count) {
            return std::nullopt;
        }
        int value = 0;
        const auto [end, error] = std::from_chars(rest_.data(), rest_.data() + count, value);
        if (error != std::errc{} || end != rest_.data() + count || rest_.front() == '-') {
            return std::nullopt;
        }
        rest_.remove_prefix(count);
        return value;
    }
    bool take(char wanted) {
        if (rest_.empty() || rest_.front() != wanted) {
            return false;
        }
        rest_.remove_prefix(1);
        return true;
    }
    // Digits after a decimal point as milliseconds, the rest cut off.
    std::optional<int> fraction_ms() {
        int value = 0;
        int scale = 100;
        std::size_t count = 0;
        while (!rest_.empty() && rest_.front() >= '0' && rest_.front() <= '9') {
            value += (rest_.front() - '0') * scale;
            scale /= 10;
            rest_.remove_prefix(1);
            ++count;
        }
        return count == 0 ? std::nullopt : std::optional(value);
    }
    [[nodiscard]] bool done() const { return rest_.empty(); }

  private:
    std::string_view rest_;
};

}  // namespace

std::string to_iso8601(UtcTime time) {
    const auto day = std::chrono::floor<std::chrono::days>(time);
    const std::chrono::year_month_day date(day);
    const std::chrono::hh_mm_ss<milliseconds> clock(time - day);
    std::array<char, 40> text{};
    std::snprintf(text.data(),
                  text.size(),
                  "%04d-%02u-%02uT%02d:%02d:%02d",
                  static_cast<int>(date.year()),
                  static_cast<unsigned>(date.month()),
                  static_cast<unsigned>(date.day()),
                  static_cast<int>(clock.hours().count()),
                  static_cast<int>(clock.minutes().count()),
                  static_cast<int>(clock.seconds().count()));
    std::string result(text.data());
    if (clock.subseconds().count() != 0) {
        std::snprintf(text.data(), text.size(), ".%03d", static_cast<int>(clock.subseconds().count()));
        result.append(text.data());
    }
    return result + "Z";
}

std::optional<ParsedTime> parse_iso8601(std::string_view text) {
    Scanner scan(text);
    const auto year = scan.digits(4);
    if (!year || !scan.take('-')) {
        return std::nullopt;
    }
    const auto month = scan.digits(2);
    if (!month || !scan.take('-')) {
        return std::nullopt;
    }
    const auto day = scan.digits(2);
    if (!day || !(scan.take('T') || scan.take(' '))) {
        return std::nullopt;
    }
    const auto hour = scan.digits(2);
    if (!hour || !scan.take(':')) {
        return std::nullopt;
    }
    const auto minute = scan.digits(2);
    if (!minute) {
        return std::nullopt;
    }
    std::optional<int> second = 0;
    std::optional<int> fraction = 0;
    if (scan.take(':')) {
        second = scan.digits(2);
        if (scan.take('.')) {
            fraction = scan.fraction_ms();
        }
    }
    if (!second || !fraction) {
        return std::nullopt;
    }

    ParsedTime parsed;
    if (scan.take('Z')) {
        parsed.utc_offset = std::chrono::minutes(0);
    } else if (const bool east = scan.take('+'); east || scan.take('-')) {
        const auto offset_hours = scan.digits(2);
        scan.take(':');
        const auto offset_minutes = offset_hours ? scan.digits(2) : std::nullopt;
        if (!offset_minutes || *offset_hours > 14 || *offset_minutes > 59) {
            return std::nullopt;
        }
        const auto offset = std::chrono::hours(*offset_hours) + std::chrono::minutes(*offset_minutes);
        parsed.utc_offset = east ? offset : -offset;
    }
    const std::chrono::year_month_day date{std::chrono::year(*year),
                                           std::chrono::month(static_cast<unsigned>(*month)),
                                           std::chrono::day(static_cast<unsigned>(*day))};
    if (!scan.done() || !date.ok() || *hour > 23 || *minute > 59 || *second > 59) {
        return std::nullopt;
    }
    parsed.written = std::chrono::local_days(date) + std::chrono::hours(*hour) + std::chrono::minutes(*minute) +
                     std::chrono::seconds(*second) + milliseconds(*fraction);
    return parsed;
}

}  // namespace heatrow
