#include "heatrow/io/temperature_encoding.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

namespace heatrow {
namespace {

struct KnownEncoding {
    const char* name;
    double scale;
    bool kelvin;
    bool is_float;
};

// Linear encodings in use for radiometric frames. Source: published user guides and open photogrammetry code.
constexpr std::array<KnownEncoding, 8> kKnown{{{"kelvin x 100", 0.01, true, false},
                                               {"kelvin x 10", 0.1, true, false},
                                               {"0.04 K per count", 0.04, true, false},
                                               {"0.4 K per count", 0.4, true, false},
                                               {"degC x 100", 0.01, false, false},
                                               {"degC x 10", 0.1, false, false},
                                               {"degC as they are", 1.0, false, true},
                                               {"kelvin as they are", 1.0, true, true}}};

Celsius celsius_of(const TemperatureEncoding& encoding, double count) {
    TemperatureEncoding all_data = encoding;  // a percentile is data, even where it equals the no-data count
    all_data.nodata.reset();
    return exported_temperature(count, all_data);
}

TemperatureRange range_of(const CountSummary& counts, const TemperatureEncoding& encoding) {
    return {celsius_of(encoding, counts.p1), celsius_of(encoding, counts.median), celsius_of(encoding, counts.p99)};
}

// Sky in the picture may be colder than anything on a plant, so the low end is judged by the median alone.
bool is_plausible(const TemperatureRange& range, const Profile& profile) {
    const double hottest = std::max(range.low.value(), range.high.value());  // a negative scale turns them round
    return range.median.value() >= profile.plausible_low_c.value && hottest <= profile.plausible_high_c.value;
}

// How usual a picture of this spread and level would be, for telling encodings apart only: outdoor scenes span about
// 20 K between the percentiles, give or take a factor of 2, around 30 degC, give or take 30 K. A judgement, no source.
double likelihood(const TemperatureRange& range) {
    const double span_k = std::max(std::abs((range.high - range.low).value()), 0.01);
    const double spread = std::log(span_k / 20.0) / std::log(2.0);
    const double level = (range.median.value() - 30.0) / 30.0;
    return std::exp(-0.5 * (spread * spread + level * level));
}

// Nearest-rank percentile of values that are not sorted.
double percentile(std::vector<float>& values, double share) {
    const auto rank = static_cast<std::ptrdiff_t>(std::ceil(share * static_cast<double>(values.size())));
    const auto at = values.begin() + std::clamp<std::ptrdiff_t>(rank - 1, 0, std::ssize(values) - 1);
    std::nth_element(values.begin(), at, values.end());
    return static_cast<double>(*at);
}

bool is_nodata(float count, const FrameCounts& frame, std::optional<double> declared) {
    if (std::isnan(count)) {
        return true;
    }
    if (declared) {
        return count == static_cast<float>(*declared);
    }
    return (!frame.is_float && !frame.is_signed && count == 0.0F) || (frame.is_signed && count == -9999.0F);
}

// The count at which the camera's range ends: of the integer type, or of 14 bits where no pixel goes beyond them.
std::optional<float> end_of_range(const FrameCounts& frame, double maximum) {
    if (frame.is_float || frame.bits != 16) {
        return std::nullopt;
    }
    if (maximum == 16383.0) {
        return 16383.0F;
    }
    return frame.is_signed ? 32767.0F : 65535.0F;
}

std::string in_words(const TemperatureRange& range) {
    return fmt::format("{:.1f} to {:.1f} degC", range.low.value(), range.high.value());
}

}  // namespace

CountSummary summarise_counts(const FrameCounts& frame, std::optional<double> nodata) {
    CountSummary summary;
    std::vector<float> values;
    values.reserve(frame.counts.pixels().size());
    for (const float count : frame.counts.pixels()) {
        if (!is_nodata(count, frame, nodata)) {
            values.push_back(count);
        }
    }
    summary.pixels = std::ssize(frame.counts.pixels());
    summary.nodata = summary.pixels - std::ssize(values);
    if (values.empty()) {
        return summary;
    }
    const auto [least, most] = std::minmax_element(values.begin(), values.end());
    summary.minimum = static_cast<double>(*least);
    summary.maximum = static_cast<double>(*most);
    if (const auto end = end_of_range(frame, summary.maximum)) {
        summary.saturated = std::count(values.begin(), values.end(), *end);
    }
    summary.p1 = percentile(values, 0.01);
    summary.median = percentile(values, 0.5);
    summary.p99 = percentile(values, 0.99);
    return summary;
}

std::vector<EncodingGuess> guess_encodings(const CountSummary& counts, bool is_float, const Profile& profile) {
    std::vector<EncodingGuess> guesses;
    double sum = 0.0;
    for (const KnownEncoding& known : kKnown) {
        EncodingGuess guess;
        guess.name = known.name;
        guess.encoding.scale = known.scale;
        guess.encoding.kelvin = known.kelvin;
        const TemperatureRange range = range_of(counts, guess.encoding);
        if (known.is_float != is_float || !is_plausible(range, profile)) {
            continue;
        }
        guess.low = range.low;
        guess.median = range.median;
        guess.high = range.high;
        guess.confidence = likelihood(range);
        sum += guess.confidence;
        guesses.push_back(std::move(guess));
    }
    for (EncodingGuess& guess : guesses) {
        guess.confidence = sum > 0.0 ? guess.confidence / sum : 0.0;
    }
    std::stable_sort(guesses.begin(), guesses.end(), [](const EncodingGuess& a, const EncodingGuess& b) {
        return a.confidence > b.confidence;
    });
    return guesses;
}

bool is_ambiguous(const std::vector<EncodingGuess>& guesses) {
    constexpr double kStandsOut = 0.9;
    return guesses.size() > 1 && guesses.front().confidence < kStandsOut;
}

tl::expected<TemperatureRange, Rejection> check_plausible(const CountSummary& counts,
                                                          bool is_float,
                                                          const TemperatureEncoding& declared,
                                                          const Profile& profile) {
    if (std::isnan(counts.median)) {
        return tl::unexpected(
            Rejection{RejectReason::no_data, "every pixel is marked as no data; check the no-data count"});
    }
    const TemperatureRange range = range_of(counts, declared);
    if (is_plausible(range, profile)) {
        return range;
    }
    std::string likely;
    for (const EncodingGuess& guess : guess_encodings(counts, is_float, profile)) {
        likely += fmt::format(
            "{}{} ({})", likely.empty() ? "" : ", or ", guess.name, in_words({guess.low, guess.median, guess.high}));
    }
    return tl::unexpected(Rejection{
        RejectReason::implausible_range,
        fmt::format("scale {:g}, offset {:g} {} make counts {:g} to {:g} (median {:g}) into {} (median {:.1f}), "
                    "outside {:g} to {:g} degC of profile {}; plausible for these counts: {}",
                    declared.scale,
                    declared.offset,
                    declared.kelvin ? "K" : "degC",
                    counts.p1,
                    counts.p99,
                    counts.median,
                    in_words(range),
                    range.median.value(),
                    profile.plausible_low_c.value,
                    profile.plausible_high_c.value,
                    profile.id,
                    likely.empty() ? "no usual encoding, perhaps raw counts without calibration" : likely)});
}

}  // namespace heatrow
