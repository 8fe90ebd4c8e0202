// `heatrow inspect` for frames: what is in them, and whether the declared encoding can be true.
#pragma once

#include "heatrow/io/frame_inspection.hpp"
#include "heatrow/io/frame_series.hpp"
#include "heatrow/radiometry/encoding.hpp"
#include "heatrow/score/profile.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace heatrow::cli {

struct FrameInspectionRequest {
    std::vector<std::filesystem::path> files;
    std::optional<TemperatureEncoding> declared;
    std::optional<double> nodata;  // count that means no data
    std::string declared_by;       // where to correct it, e.g. "[temperature] in survey/survey.toml"
    std::optional<std::pair<int, int>> camera_size_px;  // width, height that the camera description states
    Profile profile;
};

// One frame, and what the declared encoding makes of it.
struct InspectedFrame {
    FrameInspection facts;
    std::optional<TemperatureRange> declared_range;
    std::optional<Rejection> implausible;
    int duplicate_of = -1;  // index of an earlier frame with the same bytes
    std::vector<SeriesRemark> remarks;
};

std::vector<InspectedFrame> inspect_frames(const FrameInspectionRequest& request);

// Figures of all usable frames together: ends of the percentiles, median of the medians; guesses that fit every frame,
// with the mean of their confidences.
struct FramesSummary {
    CountSummary counts;
    std::vector<EncodingGuess> guesses;
    std::size_t usable = 0;
    std::size_t refused = 0;
    std::size_t implausible = 0;
    std::size_t duplicates = 0;
};
FramesSummary summarise_frames(const std::vector<InspectedFrame>& frames);

// For people; `each` shows every frame of several in full.
std::string frames_as_text(const std::vector<InspectedFrame>& frames, const FrameInspectionRequest& request, bool each);
std::string frames_as_json(const std::vector<InspectedFrame>& frames, const FrameInspectionRequest& request);

// Throws Error(input) where a frame was refused or the declared encoding cannot be true.
void require_sound(const std::vector<InspectedFrame>& frames, const FrameInspectionRequest& request);

}  // namespace heatrow::cli
