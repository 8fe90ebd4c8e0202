#include "heatrow/io/written_time.hpp"

#include <algorithm>
#include <charconv>
#include <cstddef>

namespace heatrow {
namespace {

using std::chrono::milliseconds;

// Reads a written time from the front.
class TimeScanner {
  public:
    explicit TimeScanner(std::string_view text) : rest_(text) {}

    [[nodiscard]] bool done() const { return rest_.empty(); }
    [[nodiscard]] char front() const { return rest_.empty() ? '\0' : rest_.front(); }
    bool take(char wanted) {
        if (front() != wanted || rest_.empty()) {
            return false;
        }
        rest_.remove_prefix(1);
        return true;
    }
    // An unsigned number of `least` to `most` digits.
    std::optional<int> number(std::size_t least, std::size_t most) {
        std::size_t count = 0;
        while (count < rest_.size() && count < most && rest_[count] >= '0' && rest_[count] <= '9') {
            ++count;
        }
        if (count < least) {
            return std::nullopt;
        }
        int value = 0;
        std::from_chars(rest_.data(), rest_.data() + count, value);
        digits_ = count;
        rest_.remove_prefix(count);
        return value;
    }
    [[nodiscard]] std::size_t digits() const { return digits_; }
    // Digits behind a decimal mark, as milliseconds.
    int fraction_ms() {
        int value = 0;
        for (int scale = 100; front() >= '0' && front() <= '9'; scale /= 10) {
            value += (front() - '0') * scale;
            rest_.remove_prefix(1);
        }
        return value;
    }
    void skip_blanks() {
        while (front() == ' ') {
            rest_.remove_prefix(1);
        }
    }
    // "AM" or "PM" in either case.
    std::optional<bool> take_half_day() {
        if (rest_.size() < 2 || (rest_[1] != 'M' && rest_[1] != 'm')) {
            return std::nullopt;
        }
        const bool pm = rest_[0] == 'P' || rest_[0] == 'p';
        if (!pm && rest_[0] != 'A' && rest_[0] != 'a') {
            return std::nullopt;
        }
        rest_.remove_prefix(2);
        return pm;
    }

  private:
    std::string_view rest_;
    std::size_t digits_ = 0;
};

std::optional<std::chrono::local_days> as_date(int year, int month, int day) {
    const std::chrono::year_month_day date{std::chrono::year(year),
                                           std::chrono::month(static_cast<unsigned>(month)),
                                           std::chrono::day(static_cast<unsigned>(day))};
    return date.ok() ? std::optional(std::chrono::local_days(date)) : std::nullopt;
}

// A date in any of the forms; needs_order is set where the text alone does not say which part is the day.
std::optional<std::chrono::local_days> scan_date(TimeScanner& scan, std::optional<DateOrder> order) {
    const auto first = scan.number(1, 4);
    if (!first) {
        return std::nullopt;
    }
    const bool year_first = scan.digits() == 4;
    const char mark = scan.front();
    if (mark != '-' && mark != '/' && mark != '.') {
        return std::nullopt;
    }
    scan.take(mark);
    const auto second = scan.number(1, 2);
    if (!second || !scan.take(mark)) {
        return std::nullopt;
    }
    if (year_first) {
        const auto day = scan.number(1, 2);
        return day ? as_date(*first, *second, *day) : std::nullopt;
    }
    const auto year = scan.number(4, 4);
    const bool day_first = mark == '.' || order == DateOrder::day_first;
    if (!year || (mark != '.' && !order)) {
        return std::nullopt;
    }
    return day_first ? as_date(*year, *second, *first) : as_date(*year, *first, *second);
}

std::optional<milliseconds> scan_time_of_day(TimeScanner& scan) {
    const auto hour = scan.number(1, 2);
    if (!hour || !scan.take(':')) {
        return std::nullopt;
    }
    const auto minute = scan.number(2, 2);
    if (!minute || *minute > 59) {
        return std::nullopt;
    }
    int second = 0;
    int fraction = 0;
    if (scan.take(':')) {
        const auto read = scan.number(2, 2);
        if (!read || *read > 59) {
            return std::nullopt;
        }
        second = *read;
        if (scan.take('.') || scan.take(',')) {
            fraction = scan.fraction_ms();
        }
    }
    scan.skip_blanks();
    int hours = *hour;
    if (const auto pm = scan.take_half_day()) {
        if (hours < 1 || hours > 12) {
            return std::nullopt;
        }
        hours = hours % 12 + (*pm ? 12 : 0);
    }
    const bool end_of_day = hours == 24 && *minute == 0 && second == 0 && fraction == 0;
    if (hours > 23 && !end_of_day) {
        return std::nullopt;
    }
    return std::chrono::hours(hours) + std::chrono::minutes(*minute) + std::chrono::seconds(second) +
           milliseconds(fraction);
}

// False where something is left that is no offset.
bool scan_offset(TimeScanner& scan, std::optional<std::chrono::minutes>& offset) {
    if (scan.take('Z')) {
        offset = std::chrono::minutes(0);
        return scan.done();
    }
    const bool east = scan.take('+');
    if (!east && !scan.take('-')) {
        return scan.done();
    }
    const auto hours = scan.number(2, 2);
    scan.take(':');
    const auto minutes = scan.number(2, 2);
    if (!hours || !minutes || *hours > 14 || *minutes > 59) {
        return false;
    }
    const auto size = std::chrono::hours(*hours) + std::chrono::minutes(*minutes);
    offset = east ? size : -size;
    return scan.done();
}

bool differs_by_order(std::string_view text) {
    const auto day_first = parse_written_time(text, DateOrder::day_first);
    const auto month_first = parse_written_time(text, DateOrder::month_first);
    return (day_first && day_first->written != (month_first ? month_first->written : WrittenTime{})) ||
           (month_first && !day_first);
}

// Whether all texts are dates under an order, and the longest step from row to row.
struct OrderTrial {
    bool all_read = true;
    milliseconds longest_step{0};
};

OrderTrial try_order(std::span<const std::string_view> texts, DateOrder order) {
    OrderTrial trial;
    std::optional<WrittenTime> previous;
    for (const std::string_view text : texts) {
        const auto parsed = parse_written_time(text, order);
        if (!parsed) {
            trial.all_read = false;
            return trial;
        }
        if (previous) {
            trial.longest_step = std::max(trial.longest_step, std::chrono::abs(parsed->written - *previous));
        }
        previous = parsed->written;
    }
    return trial;
}

}  // namespace

std::string_view to_string(DateOrder order) {
    return order == DateOrder::day_first ? "day/month/year" : "month/day/year";
}

std::optional<ParsedTime> parse_written_time(std::string_view text, std::optional<DateOrder> order) {
    TimeScanner scan(text);
    const auto date = scan_date(scan, order);
    if (!date) {
        return std::nullopt;
    }
    if (!scan.take('T')) {
        if (!scan.take(' ')) {
            return std::nullopt;
        }
        scan.skip_blanks();
    }
    const auto time_of_day = scan_time_of_day(scan);
    if (!time_of_day) {
        return std::nullopt;
    }
    ParsedTime parsed;
    parsed.written = *date + *time_of_day;
    if (!scan_offset(scan, parsed.utc_offset)) {
        return std::nullopt;
    }
    return parsed;
}

bool looks_like_time(std::string_view text) {
    return parse_written_time(text, DateOrder::day_first) || parse_written_time(text, DateOrder::month_first);
}

FoundDateOrder find_date_order(std::span<const std::string_view> texts) {
    FoundDateOrder found;
    found.needed = std::any_of(texts.begin(), texts.end(), differs_by_order);
    if (!found.needed) {
        return found;
    }
    const OrderTrial day_first = try_order(texts, DateOrder::day_first);
    const OrderTrial month_first = try_order(texts, DateOrder::month_first);
    if (day_first.all_read != month_first.all_read) {
        found.order = day_first.all_read ? DateOrder::day_first : DateOrder::month_first;
        found.reason = "the other order makes impossible dates";
        return found;
    }
    // A log goes on day after day; under the wrong order its days lie months apart.
    constexpr std::chrono::days kWeeks(25);
    constexpr std::chrono::days kDays(3);
    const bool day_first_jumps = day_first.longest_step > kWeeks;
    const bool month_first_jumps = month_first.longest_step > kWeeks;
    if (day_first.all_read && day_first_jumps != month_first_jumps) {
        const OrderTrial& steady = day_first_jumps ? month_first : day_first;
        if (steady.longest_step < kDays) {
            found.order = day_first_jumps ? DateOrder::month_first : DateOrder::day_first;
            found.reason = "the other order leaves jumps of weeks between rows";
        }
    }
    return found;
}

}  // namespace heatrow
