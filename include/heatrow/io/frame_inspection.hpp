// What is in a frame file: the facts that `heatrow inspect` shows.
#pragma once

#include "heatrow/io/frame_facts.hpp"
#include "heatrow/io/frame_tags.hpp"
#include "heatrow/io/temperature_encoding.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace heatrow {

struct FrameInspection {
    std::filesystem::path file;
    std::string sha256;
    std::optional<Rejection> rejection;  // not a usable frame; the fields below are then empty, tags excepted
    int width_px = 0;
    int height_px = 0;
    std::string kind;
    bool is_float = false;
    CountSummary counts;
    std::vector<EncodingGuess> guesses;
    std::optional<double> stated_scale;  // scale, offset and no-data count that the file itself carries
    std::optional<double> stated_offset;
    std::optional<double> stated_nodata;
    std::vector<FrameTag> tags;
    double sharpness = kNaN;  // frame_facts.hpp
    int enlargement = 1;      // stored pixels per detector pixel, as far as it shows
};

// Never throws for what the file holds.
FrameInspection inspect_frame(const std::filesystem::path& file, std::optional<double> nodata, const Profile& profile);

// For each frame the index of an earlier one with the same bytes, or -1.
std::vector<int> find_duplicates(const std::vector<FrameInspection>& frames);

}  // namespace heatrow
