#include "heatrow/io/temperature_encoding.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <vector>

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

// Of a nearest-rank percentile, from 1.
std::int64_t rank_of(double share, std::int64_t count) {
    return std::clamp<std::int64_t>(static_cast<std::int64_t>(std::ceil(share * static_cast<double>(count))), 1, count);
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

// Counts of a 16-bit type, signed or not, by value. Every frame of a survey is summed up, and
// sorting would take longer than reading the frame.
class Histogram16 {
  public:
    void add(float count) { ++bins_[bin_of(count)]; }
    [[nodiscard]] std::int64_t of(float count) const { return bins_[bin_of(count)]; }
    // The count of this rank, from 1.
    [[nodiscard]] double ranked(std::int64_t rank) const {
        std::size_t bin = 0;
        for (std::int64_t passed = bins_[0]; passed < rank && bin + 1 < bins_.size(); passed += bins_[bin]) {
            ++bin;
        }
        return static_cast<double>(bin) + kLowest;
    }

  private:
    static constexpr int kLowest = -32768;
    static constexpr int kHighest = 65535;
    static std::size_t bin_of(float count) { return static_cast<std::size_t>(static_cast<int>(count) - kLowest); }

    std::vector<std::int32_t> bins_ = std::vector<std::int32_t>(static_cast<std::size_t>(kHighest - kLowest + 1));
};

// The same for any other type.
class SortedCounts {
  public:
    void add(float count) { values_.push_back(count); }
    [[nodiscard]] std::int64_t of(float count) const { return std::count(values_.begin(), values_.end(), count); }
    [[nodiscard]] double ranked(std::int64_t rank) {
        const auto at = values_.begin() + (rank - 1);
        std::nth_element(values_.begin(), at, values_.end());
        return static_cast<double>(*at);
    }

  private:
    std::vector<float> values_;
};

template <typename Counts>
CountSummary summarise(const FrameCounts& frame, std::optional<double> nodata, Counts counts) {
    CountSummary summary;
    std::int64_t data = 0;
    for (const float count : frame.counts.pixels()) {
        if (!is_nodata(count, frame, nodata)) {
            counts.add(count);
            ++data;
        }
    }
    summary.pixels = std::ssize(frame.counts.pixels());
    summary.nodata = summary.pixels - data;
    if (data == 0) {
        return summary;
    }
    summary.minimum = counts.ranked(1);
    summary.maximum = counts.ranked(data);
    summary.range_end = end_of_range(frame, summary.maximum);
    if (summary.range_end) {
        summary.saturated = counts.of(*summary.range_end);
    }
    summary.p1 = counts.ranked(rank_of(0.01, data));
    summary.median = counts.ranked(rank_of(0.5, data));
    summary.p99 = counts.ranked(rank_of(0.99, data));
    return summary;
}

std::string in_words(const TemperatureRange& range) {
    return fmt::format("{:.1f} to {:.1f} degC", range.low.value(), range.high.value());
}

}  // namespace

CountSummary summarise_counts(const FrameCounts& frame, std::optional<double> nodata) {
    const bool in_16_bits = !frame.is_float && frame.bits == 16;
    return in_16_bits ? summarise(frame, nodata, Histogram16{}) : summarise(frame, nodata, SortedCounts{});
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
