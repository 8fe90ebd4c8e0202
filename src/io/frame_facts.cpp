#include "heatrow/io/frame_facts.hpp"

#include "heatrow/core/quantile.hpp"
#include "heatrow/core/units.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <numeric>
#include <string_view>

namespace heatrow {
namespace {

constexpr int kLeastSidePx = 32;

// Differences of pixels `step` apart along one axis, absolute; pixels without data are left out.
std::vector<float> differences(CountView counts, int step_x, int step_y) {
    std::vector<float> values;
    for (int y = 0; y + step_y < counts.height(); ++y) {
        for (int x = 0; x + step_x < counts.width(); ++x) {
            const float difference = counts(x + step_x, y + step_y) - counts(x, y);
            if (std::isfinite(difference)) {
                values.push_back(std::abs(difference));
            }
        }
    }
    return values;
}

double high_percentile(std::vector<float> values) {
    return static_cast<double>(take_quantile(values, 0.995));
}

// The value of a tag by any of its names, with or without the prefixes that tell where it stood.
std::string tag_value(const std::vector<FrameTag>& tags, std::initializer_list<std::string_view> names) {
    for (const FrameTag& tag : tags) {
        std::string_view name = tag.name;
        for (const std::string_view prefix : {"EXIF_", "TIFFTAG_"}) {
            name.remove_prefix(name.starts_with(prefix) ? prefix.size() : 0);
        }
        if (std::find(names.begin(), names.end(), name) != names.end()) {
            return tag.value;
        }
    }
    return {};
}

// All numbers of a text, in order, whatever stands between them.
std::vector<double> numbers_in(std::string_view text) {
    std::vector<double> numbers;
    const char* at = text.data();
    const char* end = text.data() + text.size();
    while (at < end) {
        double value = 0.0;
        const auto [next, error] = std::from_chars(at, end, value);
        if (error == std::errc{}) {
            numbers.push_back(value);
            at = next;
        } else {
            at = error == std::errc::result_out_of_range ? next : at + 1;
        }
    }
    return numbers;
}

std::optional<double> degrees_of(const std::string& text, const std::string& reference, char negative) {
    const std::vector<double> parts = numbers_in(text);
    if (parts.empty() || parts.size() > 3) {
        return std::nullopt;
    }
    double value = 0.0;
    double unit = 1.0;
    for (const double part : parts) {
        value += part / unit;
        unit *= 60.0;
    }
    return !reference.empty() && reference.front() == negative ? -value : value;
}

// Whether all but a remnant of the sum stands in every `factor`-th column.
bool lies_in_one_phase(const std::vector<double>& columns, int factor) {
    constexpr double kRemnant = 0.02;  // counts are rounded, so that straight lines bend a little
    std::vector<double> of_phase(static_cast<std::size_t>(factor), 0.0);
    for (std::size_t x = 0; x < columns.size(); ++x) {
        of_phase[x % of_phase.size()] += columns[x];
    }
    const double sum = std::accumulate(of_phase.begin(), of_phase.end(), 0.0);
    return sum > 0.0 && sum - *std::max_element(of_phase.begin(), of_phase.end()) < kRemnant * sum;
}

}  // namespace

double sharpness_of(CountView counts) {
    if (counts.width() < kLeastSidePx || counts.height() < kLeastSidePx) {
        return kNaN;
    }
    const auto ratio = [counts](int x, int y) {
        const double wide = high_percentile(differences(counts, 8 * x, 8 * y));
        return wide > 0.0 ? high_percentile(differences(counts, 2 * x, 2 * y)) / wide : kNaN;
    };
    return std::fmin(ratio(1, 0), ratio(0, 1));
}

int enlargement_of(CountView counts) {
    constexpr int kMost = 4;
    if (counts.width() < kLeastSidePx) {
        return 1;
    }
    const auto width = static_cast<std::size_t>(counts.width());
    std::vector<double> step(width, 0.0);  // sums of squares of a column
    std::vector<double> bend(width, 0.0);
    for (int y = 0; y < counts.height(); ++y) {
        for (int x = 1; x + 1 < counts.width(); ++x) {
            const auto before = static_cast<double>(counts(x, y) - counts(x - 1, y));
            const auto after = static_cast<double>(counts(x + 1, y) - counts(x, y));
            if (std::isfinite(before) && std::isfinite(after)) {
                step[static_cast<std::size_t>(x)] += after * after;
                bend[static_cast<std::size_t>(x)] += (after - before) * (after - before);
            }
        }
    }
    for (int factor = kMost; factor >= 2; --factor) {
        if (lies_in_one_phase(step, factor) || lies_in_one_phase(bend, factor)) {
            return factor;
        }
    }
    return 1;
}

GeographicPlace written_place_of(const std::vector<FrameTag>& tags) {
    const auto latitude = degrees_of(tag_value(tags, {"GPSLatitude"}), tag_value(tags, {"GPSLatitudeRef"}), 'S');
    const auto longitude = degrees_of(tag_value(tags, {"GPSLongitude"}), tag_value(tags, {"GPSLongitudeRef"}), 'W');
    return {latitude.value_or(kNaN), longitude.value_or(kNaN)};
}

std::optional<GeographicPlace> place_of(const std::vector<FrameTag>& tags) {
    const GeographicPlace place = written_place_of(tags);
    const bool is_fix = std::isfinite(place.latitude_deg) && std::isfinite(place.longitude_deg) &&
                        (place.latitude_deg != 0.0 || place.longitude_deg != 0.0);
    return is_fix ? std::optional(place) : std::nullopt;
}

double altitude_of(const std::vector<FrameTag>& tags) {
    const std::vector<double> metres = numbers_in(tag_value(tags, {"GPSAltitude"}));
    const std::vector<double> below = numbers_in(tag_value(tags, {"GPSAltitudeRef"}));
    if (metres.empty()) {
        return kNaN;
    }
    return !below.empty() && below.front() == 1.0 ? -metres.front() : metres.front();
}

double number_of_tag(const std::string& text) {
    constexpr std::string_view kLetters = "NSEW";
    if (!text.empty() && kLetters.find(text.back()) != std::string_view::npos) {
        return degrees_of(text, std::string(1, text.back()), text.back() == 'W' ? 'W' : 'S').value_or(kNaN);
    }
    const std::vector<double> numbers = numbers_in(text);
    return numbers.empty() ? kNaN : numbers.front();
}

std::optional<ParsedTime> time_of(const std::vector<FrameTag>& tags) {
    // "2026:06:21 10:11:12"; Exif 2.32, section 4.6.5: fractions and the offset from UTC stand in tags of their own.
    std::string text = tag_value(tags, {"DateTimeOriginal"});
    const bool is_original = !text.empty();
    text = is_original ? text : tag_value(tags, {"DateTime", "DATETIME"});
    constexpr std::size_t kDate = 10;
    if (text.size() < kDate) {
        return std::nullopt;
    }
    std::replace(text.begin(), text.begin() + kDate, ':', '-');
    const std::string fraction = tag_value(tags, {is_original ? "SubSecTimeOriginal" : "SubSecTime"});
    const bool is_fraction = !fraction.empty() && fraction.find_first_not_of("0123456789") == std::string::npos;
    const std::string time = is_fraction && text.find('.') == std::string::npos ? text + "." + fraction : text;
    const std::string offset = tag_value(tags, {is_original ? "OffsetTimeOriginal" : "OffsetTime"});
    if (const auto with_offset = parse_iso8601(time + offset)) {
        return with_offset;
    }
    return parse_iso8601(time);
}

std::string camera_of(const std::vector<FrameTag>& tags) {
    std::string camera;
    for (const std::initializer_list<std::string_view> names :
         {std::initializer_list<std::string_view>{"Make"},
          std::initializer_list<std::string_view>{"Model"},
          std::initializer_list<std::string_view>{"BodySerialNumber", "Body_Serial_Number"}}) {
        const std::string value = tag_value(tags, names);
        camera += value.empty() ? "" : (camera.empty() ? "" : " ") + value;
    }
    return camera;
}

}  // namespace heatrow
