#include "inspect_frames.hpp"

#include "heatrow/core/error.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

namespace heatrow::cli {

std::vector<InspectedFrame> inspect_frames(const FrameInspectionRequest& request) {
    std::vector<FrameInspection> facts;
    for (const auto& file : request.files) {
        facts.push_back(inspect_frame(file, request.nodata, request.profile));
    }
    const std::vector<int> duplicates = find_duplicates(facts);
    const std::vector<SeriesRemark> remarks = find_remarks(facts, request.profile);
    std::vector<InspectedFrame> frames;
    for (std::size_t i = 0; i < facts.size(); ++i) {
        InspectedFrame frame{std::move(facts[i]), std::nullopt, std::nullopt, duplicates[i], {}};
        std::copy_if(
            remarks.begin(), remarks.end(), std::back_inserter(frame.remarks), [i](const SeriesRemark& remark) {
                return remark.frame == i;
            });
        const auto size = std::pair(frame.facts.width_px, frame.facts.height_px);
        if (!frame.facts.rejection && request.camera_size_px && size != *request.camera_size_px) {
            frame.facts.rejection =
                Rejection{RejectReason::wrong_size,
                          fmt::format("{}: it has {} x {} px, the camera description states {} x {}",
                                      frame.facts.file.filename().string(),
                                      size.first,
                                      size.second,
                                      request.camera_size_px->first,
                                      request.camera_size_px->second)};
        }
        if (!frame.facts.rejection && request.declared) {
            const auto range =
                check_plausible(frame.facts.counts, frame.facts.is_float, *request.declared, request.profile);
            if (range) {
                frame.declared_range = *range;
            } else {
                frame.implausible = range.error();
            }
        }
        frames.push_back(std::move(frame));
    }
    return frames;
}

namespace {

// Guesses that fit every frame so far and the next one; confidences are summed.
void keep_common_guesses(std::vector<EncodingGuess>& common, const std::vector<EncodingGuess>& next) {
    std::vector<EncodingGuess> kept;
    for (EncodingGuess guess : common) {
        const auto same = std::find_if(
            next.begin(), next.end(), [&](const EncodingGuess& other) { return other.name == guess.name; });
        if (same != next.end()) {
            guess.low = std::min(guess.low, same->low);
            guess.high = std::max(guess.high, same->high);
            guess.confidence += same->confidence;
            kept.push_back(std::move(guess));
        }
    }
    common = std::move(kept);
}

}  // namespace

FramesSummary summarise_frames(const std::vector<InspectedFrame>& frames) {
    FramesSummary summary;
    std::vector<double> medians;
    CountSummary& all = summary.counts;
    for (const InspectedFrame& frame : frames) {
        summary.refused += frame.facts.rejection ? 1U : 0U;
        summary.implausible += frame.implausible ? 1U : 0U;
        summary.duplicates += frame.duplicate_of >= 0 ? 1U : 0U;
        const CountSummary& one = frame.facts.counts;
        if (frame.facts.rejection || std::isnan(one.median)) {
            continue;
        }
        // fmin and fmax take the number where the other side is NaN, as at the start.
        all.minimum = std::fmin(all.minimum, one.minimum);
        all.p1 = std::fmin(all.p1, one.p1);
        all.p99 = std::fmax(all.p99, one.p99);
        all.maximum = std::fmax(all.maximum, one.maximum);
        all.pixels += one.pixels;
        all.nodata += one.nodata;
        all.saturated += one.saturated;
        medians.push_back(one.median);
        if (summary.usable++ == 0) {
            summary.guesses = frame.facts.guesses;
        } else {
            keep_common_guesses(summary.guesses, frame.facts.guesses);
        }
    }
    if (!medians.empty()) {
        const auto middle = medians.begin() + static_cast<std::ptrdiff_t>(medians.size() / 2);
        std::nth_element(medians.begin(), middle, medians.end());
        all.median = *middle;
        double sum = 0.0;
        for (EncodingGuess& guess : summary.guesses) {
            guess.median = exported_temperature(all.median, guess.encoding);
            sum += guess.confidence;
        }
        for (EncodingGuess& guess : summary.guesses) {
            guess.confidence /= sum;
        }
        std::stable_sort(summary.guesses.begin(),
                         summary.guesses.end(),
                         [](const EncodingGuess& x, const EncodingGuess& y) { return x.confidence > y.confidence; });
    }
    return summary;
}

void require_sound(const std::vector<InspectedFrame>& frames, const FrameInspectionRequest& request) {
    const FramesSummary summary = summarise_frames(frames);
    for (const InspectedFrame& frame : frames) {
        if (frame.implausible) {
            throw Error(
                ErrorKind::input,
                "the declared encoding cannot be right",
                frames.size() == 1
                    ? frame.facts.file.string()
                    : fmt::format(
                          "{} ({} of {} frames)", frame.facts.file.string(), summary.implausible, frames.size()),
                frame.implausible->detail,
                fmt::format("Correct {}", request.declared_by));
        }
    }
    for (const InspectedFrame& frame : frames) {
        if (frame.facts.rejection) {
            throw Error(ErrorKind::input,
                        fmt::format("{} of {} frames refused", summary.refused, frames.size()),
                        to_string(frame.facts.rejection->reason),
                        frame.facts.rejection->detail,
                        "");
        }
    }
}

}  // namespace heatrow::cli
