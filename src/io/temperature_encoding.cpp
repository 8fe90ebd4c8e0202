#include "heatrow/io/temperature_encoding.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <span>
#include <utility>
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

// Ranks, from 1 and ascending, to the counts that hold them.
constexpr std::size_t kRanks = 5;
using Ranks = std::array<std::int64_t, kRanks>;
using Ranked = std::array<double, kRanks>;

// Counts of a 16-bit type, signed or not, by value, from the lowest to the highest of the frame. Every frame of a
// survey is summed up, and sorting would take longer than reading the frame.
class Histogram16 {
  public:
    Histogram16(const FrameCounts& frame, std::optional<double> nodata) {
        const std::span<const float> pixels = frame.counts.pixels();
        const auto [lowest, highest] = range_of_counts(pixels);
        if (lowest > highest) {
            return;
        }
        lowest_ = static_cast<int>(lowest);
        const std::size_t bins = static_cast<std::size_t>(static_cast<int>(highest) - lowest_) + 1;
        bins_.resize(bins);
        // Neighbouring pixels fall into the same bin: two sets of bins, so that they need not wait for each other.
        std::vector<std::int32_t> others(bins);
        const std::size_t pairs = pixels.size() / 2;
        for (std::size_t i = 0; i < pairs; ++i) {
            add(pixels[2 * i], bins_);
            add(pixels[2 * i + 1], others);
        }
        if (pixels.size() % 2 != 0) {
            add(pixels.back(), bins_);
        }
        for (std::size_t bin = 0; bin < bins; ++bin) {
            bins_[bin] += others[bin];
            const float count = static_cast<float>(static_cast<int>(bin) + lowest_);
            if (bins_[bin] != 0 && is_nodata(count, frame, nodata)) {
                bins_[bin] = 0;
            }
            size_ += bins_[bin];
        }
    }
    [[nodiscard]] std::int64_t size() const { return size_; }
    [[nodiscard]] std::int64_t of(float count) const {
        const int bin = static_cast<int>(count) - lowest_;
        return bin >= 0 && bin < static_cast<int>(bins_.size()) ? bins_[static_cast<std::size_t>(bin)] : 0;
    }
    // Precondition: size() > 0.
    [[nodiscard]] Ranked ranked(const Ranks& ranks) const {
        Ranked counts{};
        std::size_t bin = 0;
        std::int64_t passed = bins_[0];
        for (std::size_t i = 0; i < kRanks; ++i) {
            while (passed < ranks[i] && bin + 1 < bins_.size()) {
                passed += bins_[++bin];
            }
            counts[i] = static_cast<double>(bin) + lowest_;
        }
        return counts;
    }

  private:
    // Lowest and highest; the wrong way round where all are NaN.
    static std::pair<float, float> range_of_counts(std::span<const float> pixels) {
        constexpr std::size_t kLanes = 8;  // that need not wait for each other
        std::array<float, kLanes> low;
        std::array<float, kLanes> high;
        low.fill(HUGE_VALF);
        high.fill(-HUGE_VALF);
        const auto take = [&](std::size_t lane, float pixel) {
            low[lane] = pixel < low[lane] ? pixel : low[lane];  // false for NaN
            high[lane] = pixel > high[lane] ? pixel : high[lane];
        };
        std::size_t i = 0;
        for (; i + kLanes <= pixels.size(); i += kLanes) {
            for (std::size_t lane = 0; lane < kLanes; ++lane) {
                take(lane, pixels[i + lane]);
            }
        }
        for (; i < pixels.size(); ++i) {
            take(0, pixels[i]);
        }
        return {*std::min_element(low.begin(), low.end()), *std::max_element(high.begin(), high.end())};
    }
    void add(float count, std::vector<std::int32_t>& bins) const {
        if (!std::isnan(count)) {
            ++bins[static_cast<std::size_t>(static_cast<int>(count) - lowest_)];
        }
    }

    int lowest_ = 0;
    std::vector<std::int32_t> bins_;
    std::int64_t size_ = 0;
};

// The same for any other type.
class SortedCounts {
  public:
    SortedCounts(const FrameCounts& frame, std::optional<double> nodata) {
        for (const float count : frame.counts.pixels()) {
            if (!is_nodata(count, frame, nodata)) {
                values_.push_back(count);
            }
        }
    }
    [[nodiscard]] std::int64_t size() const { return std::ssize(values_); }
    [[nodiscard]] std::int64_t of(float count) const { return std::count(values_.begin(), values_.end(), count); }
    [[nodiscard]] Ranked ranked(const Ranks& ranks) {
        Ranked counts{};
        for (std::size_t i = 0; i < kRanks; ++i) {
            const auto at = values_.begin() + (ranks[i] - 1);
            std::nth_element(values_.begin(), at, values_.end());
            counts[i] = static_cast<double>(*at);
        }
        return counts;
    }

  private:
    std::vector<float> values_;
};

template <typename Counts>
CountSummary summarise(const FrameCounts& frame, Counts counts) {
    CountSummary summary;
    const std::int64_t data = counts.size();
    summary.pixels = std::ssize(frame.counts.pixels());
    summary.nodata = summary.pixels - data;
    if (data == 0) {
        return summary;
    }
    const Ranked ranked = counts.ranked({1, rank_of(0.01, data), rank_of(0.5, data), rank_of(0.99, data), data});
    summary.minimum = ranked[0];
    summary.p1 = ranked[1];
    summary.median = ranked[2];
    summary.p99 = ranked[3];
    summary.maximum = ranked[4];
    summary.range_end = end_of_range(frame, summary.maximum);
    if (summary.range_end) {
        summary.saturated = counts.of(*summary.range_end);
    }
    return summary;
}

std::string in_words(const TemperatureRange& range) {
    return fmt::format("{:.1f} to {:.1f} degC", range.low.value(), range.high.value());
}

}  // namespace

CountSummary summarise_counts(const FrameCounts& frame, std::optional<double> nodata) {
    const bool in_16_bits = !frame.is_float && frame.bits == 16;
    return in_16_bits ? summarise(frame, Histogram16(frame, nodata)) : summarise(frame, SortedCounts(frame, nodata));
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
