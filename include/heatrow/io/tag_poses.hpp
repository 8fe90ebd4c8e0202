// Poses that frames carry in their own tags: the open EXIF GPS tags, and any tag that the user maps.
#pragma once

#include "heatrow/io/frame_set.hpp"
#include "heatrow/io/frame_tags.hpp"
#include "heatrow/io/pose_reader.hpp"
#include "heatrow/io/survey_settings.hpp"

#include <optional>
#include <vector>

namespace heatrow {

// Longitude, latitude and altitude from EXIF GPS (Exif 2.32, section 4.6.6: degrees, minutes, seconds with a reference
// letter; altitude with a reference byte, 1 = below) unless they are mapped; angles only where mapped. A mapped value
// is the first number of the text, degrees with a trailing N, S, E or W as XMP writes them. NaN where a tag is missing.
WrittenPose pose_in_tags(const std::vector<FrameTag>& tags, const PoseSettings& settings);

// Capture time: EXIF DateTimeOriginal (else DateTime) with its fraction and, where written, its UTC offset (which then
// counts, not the clock).
std::optional<UtcTime> time_in_tags(const std::vector<FrameTag>& tags,
                                    const Clock& camera_clock,
                                    std::string_view where);

// Reads the head of every frame; a frame that cannot be read has a row without anything.
std::vector<WrittenRow> read_tag_rows(const std::vector<FrameFile>& frames,
                                      const Clock& camera_clock,
                                      const PoseSettings& settings);

}  // namespace heatrow
