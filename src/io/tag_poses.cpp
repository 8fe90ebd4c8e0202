#include "heatrow/io/tag_poses.hpp"

#include "heatrow/io/clock.hpp"
#include "heatrow/io/decode_text.hpp"
#include "heatrow/io/frame_facts.hpp"
#include "heatrow/io/frame_reader.hpp"

#include <algorithm>

namespace heatrow {

WrittenPose pose_in_tags(const std::vector<FrameTag>& tags, const PoseSettings& settings) {
    WrittenPose pose;
    const auto names = settings.rules.names();
    if (!settings.rules.crs) {
        // (0, 0) is kept: it is no fix, and the reason is said.
        const GeographicPlace place = written_place_of(tags);
        pose.values[0] = place.longitude_deg;
        pose.values[1] = place.latitude_deg;
    }
    pose.values[2] = altitude_of(tags);
    for (std::size_t i = 0; i < names.size(); ++i) {
        const auto mapped = settings.tags.find(std::string(names[i]));
        if (mapped == settings.tags.end()) {
            continue;
        }
        const auto tag = std::find_if(tags.begin(), tags.end(), [&](const FrameTag& candidate) {
            return candidate.group == mapped->second.group && candidate.name == mapped->second.name;
        });
        pose.values[i] = tag == tags.end() ? kNaN : number_of_tag(tag->value);
    }
    return pose;
}

std::optional<UtcTime> time_in_tags(const std::vector<FrameTag>& tags,
                                    const Clock& camera_clock,
                                    std::string_view where) {
    const auto written = time_of(tags);
    return written ? std::optional(to_utc(camera_clock, *written, where)) : std::nullopt;
}

std::vector<WrittenRow> read_tag_rows(const std::vector<FrameFile>& frames,
                                      const Clock& camera_clock,
                                      const PoseSettings& settings) {
    std::vector<WrittenRow> rows;
    for (const FrameFile& frame : frames) {
        const std::string where = "the tags of " + frame.name;
        WrittenRow row{frame.name, where, std::nullopt, {}};
        if (const auto bytes = read_file_bytes(frame.path)) {
            const std::vector<FrameTag> tags = list_frame_tags(*bytes);
            row.time = time_in_tags(tags, camera_clock, where);
            row.pose = pose_in_tags(tags, settings);
        }
        rows.push_back(std::move(row));
    }
    return rows;
}

}  // namespace heatrow
