// Which temperature a count means: what the counts themselves suggest, and whether a declared encoding can be true.
#pragma once

#include "heatrow/core/rejection.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/io/frame_reader.hpp"
#include "heatrow/radiometry/encoding.hpp"
#include "heatrow/score/profile.hpp"

#include <tl/expected.hpp>

#include <optional>
#include <string>
#include <vector>

namespace heatrow {

// Figures of the counts of one frame, or of several together.
struct CountSummary {
    double minimum = kNaN;
    double p1 = kNaN;  // nearest-rank percentiles
    double median = kNaN;
    double p99 = kNaN;
    double maximum = kNaN;
    long pixels = 0;
    long nodata = 0;     // NaN, the declared no-data count, or one of those in use (0, -9999) where none is declared
    long saturated = 0;  // at the end of the integer type, or of 14 bits in 16
    std::optional<float> range_end;  // that count, where the frame has such an end
};
CountSummary summarise_counts(const FrameCounts& frame, std::optional<double> nodata);

// Encodings met in the field that put the counts into the profile's plausible range, the likeliest first.
struct EncodingGuess {
    std::string name;  // e.g. "0.04 K per count"
    TemperatureEncoding encoding;
    Celsius low{kNaN};  // at p1
    Celsius median{kNaN};
    Celsius high{kNaN};       // at p99
    double confidence = 0.0;  // shares among the guesses, sum 1: a judgement from the spread, not a frequency
};
std::vector<EncodingGuess> guess_encodings(const CountSummary& counts, bool is_float, const Profile& profile);
// No single encoding stands out: the user must declare one.
bool is_ambiguous(const std::vector<EncodingGuess>& guesses);

// The declared encoding's range at p1 and p99, or implausible_range with range, values and what would be plausible.
struct TemperatureRange {
    Celsius low{kNaN};
    Celsius median{kNaN};
    Celsius high{kNaN};
};
tl::expected<TemperatureRange, Rejection> check_plausible(const CountSummary& counts,
                                                          bool is_float,
                                                          const TemperatureEncoding& declared,
                                                          const Profile& profile);

}  // namespace heatrow
