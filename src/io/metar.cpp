#include "heatrow/io/metar.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/io/decode_text.hpp"
#include "heatrow/io/written_time.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <sstream>

namespace heatrow {
namespace {

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

bool all_digits(std::string_view text) {
    return !text.empty() && std::all_of(text.begin(), text.end(), is_digit);
}

int to_int(std::string_view digits) {
    int value = 0;
    std::from_chars(digits.data(), digits.data() + digits.size(), value);
    return value;
}

std::vector<std::string> words_of(std::string_view text) {
    std::istringstream stream{std::string(text)};
    std::vector<std::string> words;
    for (std::string word; stream >> word;) {
        if (word.back() == '=') {
            word.pop_back();
        }
        if (!word.empty()) {
            words.push_back(word);
        }
    }
    return words;
}

bool is_station(std::string_view word) {
    return word.size() == 4 &&
           std::all_of(word.begin(), word.end(), [](char c) { return (c >= 'A' && c <= 'Z') || is_digit(c); }) &&
           word.front() >= 'A' && word.front() <= 'Z';
}

// "171130Z" as an instant in the month that brings it nearest to `about`.
std::optional<UtcTime> time_of(std::string_view word, UtcTime about) {
    if (word.size() != 7 || word.back() != 'Z' || !all_digits(word.substr(0, 6))) {
        return std::nullopt;
    }
    const auto day = static_cast<unsigned>(to_int(word.substr(0, 2)));
    const int hour = to_int(word.substr(2, 2));
    const int minute = to_int(word.substr(4, 2));
    if (hour > 23 || minute > 59) {
        return std::nullopt;
    }
    const std::chrono::year_month_day today(std::chrono::floor<std::chrono::days>(about));
    std::optional<UtcTime> nearest;
    for (const int months : {-1, 0, 1}) {
        const std::chrono::year_month month = today.year() / today.month() + std::chrono::months(months);
        const std::chrono::year_month_day date = month / std::chrono::day(day);
        if (!date.ok()) {
            continue;
        }
        const UtcTime time = std::chrono::sys_days(date) + std::chrono::hours(hour) + std::chrono::minutes(minute);
        if (!nearest || std::chrono::abs(time - about) < std::chrono::abs(*nearest - about)) {
            nearest = time;
        }
    }
    return nearest;
}

// "24012G22KT", "VRB03KT", "18005MPS"
bool read_wind(std::string_view word, MetarReport& report) {
    double scale = 1852.0 / 3600.0;  // knots
    if (word.ends_with("KT")) {
        word.remove_suffix(2);
    } else if (word.ends_with("MPS")) {
        word.remove_suffix(3);
        scale = 1.0;
    } else {
        return false;
    }
    if (word.size() < 5 || !(word.starts_with("VRB") || all_digits(word.substr(0, 3)))) {
        return false;
    }
    word.remove_prefix(3);
    const auto gust_at = word.find('G');
    const std::string_view speed = word.substr(0, gust_at);
    if (!all_digits(speed) || speed.size() > 3) {
        return false;
    }
    report.wind = MetresPerSecond(to_int(speed) * scale);
    if (gust_at != std::string_view::npos && all_digits(word.substr(gust_at + 1))) {
        report.gust = MetresPerSecond(to_int(word.substr(gust_at + 1)) * scale);
    }
    return true;
}

void add_layer(MetarReport& report, int least, int most) {
    report.okta_least = std::max(report.okta_least.value_or(0), least);
    report.okta_most = std::max(report.okta_most.value_or(0), most);
}

bool read_cloud(std::string_view word, MetarReport& report) {
    struct Amount {
        std::string_view code;
        int least;
        int most;
    };
    constexpr std::array<Amount, 10> kAmounts{{{"FEW", 1, 2},
                                               {"SCT", 3, 4},
                                               {"BKN", 5, 7},
                                               {"OVC", 8, 8},
                                               {"VV", 8, 8},
                                               {"CAVOK", 0, 0},
                                               {"NSC", 0, 0},
                                               {"SKC", 0, 0},
                                               {"CLR", 0, 0},
                                               {"NCD", 0, 0}}};
    for (const Amount& amount : kAmounts) {
        const bool layer = amount.most > 0;
        const bool matches = layer ? word.starts_with(amount.code) && word.size() >= amount.code.size() + 3 &&
                                         (is_digit(word[amount.code.size()]) || word[amount.code.size()] == '/')
                                   : word == amount.code;
        if (matches) {
            add_layer(report, amount.least, amount.most);
            return true;
        }
    }
    return false;
}

// "12/M03"
bool read_temperature(std::string_view word, MetarReport& report) {
    const auto slash = word.find('/');
    std::string_view text = word.substr(0, slash);
    const bool minus = text.starts_with('M');
    text.remove_prefix(minus ? 1 : 0);
    if (slash == std::string_view::npos || text.size() != 2 || !all_digits(text)) {
        return false;
    }
    report.air = Celsius(minus ? -to_int(text) : to_int(text));
    return true;
}

// A date and time in front of a report; returns what is left of the line.
std::string_view take_date(std::string_view line, UtcTime& about) {
    if (line.size() > 12 && all_digits(line.substr(0, 12)) && line[12] == ' ') {
        const std::string text = std::string(line.substr(0, 4)) + "-" + std::string(line.substr(4, 2)) + "-" +
                                 std::string(line.substr(6, 2)) + " " + std::string(line.substr(8, 2)) + ":" +
                                 std::string(line.substr(10, 2));
        if (const auto parsed = parse_iso8601(text)) {
            about = UtcTime(parsed->written.time_since_epoch());
            return line.substr(13);
        }
    }
    for (const std::size_t length : {20U, 19U, 16U}) {
        if (line.size() > length && line[length] == ' ') {
            if (const auto parsed = parse_iso8601(line.substr(0, length))) {
                about = UtcTime(parsed->written.time_since_epoch());
                return line.substr(length + 1);
            }
        }
    }
    return line;
}

}  // namespace

std::optional<MetarReport> parse_metar(std::string_view text, UtcTime about) {
    const std::vector<std::string> words = words_of(text);
    MetarReport report;
    report.raw = std::string(text);
    std::size_t at = 0;
    while (at < words.size() && (words[at] == "METAR" || words[at] == "SPECI" || words[at] == "COR")) {
        ++at;
    }
    if (at + 1 >= words.size() || !is_station(words[at])) {
        return std::nullopt;
    }
    const auto time = time_of(words[at + 1], about);
    if (!time) {
        return std::nullopt;
    }
    report.station = words[at];
    report.time = *time;
    for (at += 2; at < words.size(); ++at) {
        const std::string& word = words[at];
        if (word == "RMK" || word == "TEMPO" || word == "BECMG" || word == "NOSIG") {
            break;  // remarks and trends are not the observation
        }
        if (!report.wind && read_wind(word, report)) {
            continue;
        }
        if (!read_cloud(word, report) && !report.air) {
            read_temperature(word, report);
        }
    }
    return report;
}

MetarFile parse_metar_file(std::string_view bytes, std::string_view name, UtcTime about) {
    const DecodedText decoded = decode_text(bytes, name);
    std::istringstream stream(decoded.text);
    MetarFile file;
    std::vector<int> refused;
    int number = 0;
    for (std::string line; std::getline(stream, line);) {
        ++number;
        if (!line.empty() && line.back() == '\r') {
            line.pop_back();
        }
        if (line.find_first_not_of(" \t") == std::string::npos || line.front() == '#') {
            continue;
        }
        UtcTime near = about;
        const std::string_view report = take_date(line, near);
        if (auto parsed = parse_metar(report, near)) {
            file.reports.push_back(std::move(*parsed));
        } else {
            refused.push_back(number);
        }
    }
    if (file.reports.empty()) {
        throw Error(ErrorKind::input,
                    "cannot read weather reports",
                    name,
                    "no line is a report with station and time, such as METAR LEMD 171100Z 24008KT CAVOK",
                    "Give one report a line");
    }
    std::stable_sort(
        file.reports.begin(), file.reports.end(), [](const auto& a, const auto& b) { return a.time < b.time; });
    if (!refused.empty()) {
        file.findings.push_back({"not_a_report",
                                 static_cast<int>(refused.size()),
                                 "line " + std::to_string(refused.front()) +
                                     " and others like it were left out: no "
                                     "station and time in front"});
    }
    return file;
}

MetarFile read_metar_file(const std::filesystem::path& path, UtcTime about) {
    return parse_metar_file(read_text_bytes(path), path.string(), about);
}

ConditionsSeries with_reports(const ConditionsSeries& series, std::span<const MetarReport> reports) {
    const auto rows_have = [&](auto member) { return std::any_of(series.rows().begin(), series.rows().end(), member); };
    const bool has_wind = rows_have([](const ConditionsRow& row) { return row.wind.is_known(); });
    const bool has_cloud = rows_have([](const ConditionsRow& row) { return !std::isnan(row.cloud_okta); });
    std::vector<ConditionsRow> rows = series.rows();
    std::size_t next = 0;
    for (ConditionsRow& row : rows) {
        while (next < reports.size() && reports[next].time <= row.time) {
            ++next;
        }
        if (next == 0 || row.time - reports[next - 1].time > series.logger().observation_lifetime) {
            continue;
        }
        const MetarReport& report = reports[next - 1];
        if (!has_cloud && report.okta_least) {
            row.cloud_okta = (*report.okta_least + *report.okta_most) / 2.0;
        }
        if (!has_wind && report.wind) {
            row.wind = *report.wind;
        }
    }
    LoggerDescription logger = series.logger();
    if (!has_wind) {
        constexpr MetresPerSecond kReportWindU{2.0};
        logger.wind_u = std::max(logger.wind_u, kReportWindU);
    }
    return ConditionsSeries(std::move(rows), logger);
}

}  // namespace heatrow
