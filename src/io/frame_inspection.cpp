#include "heatrow/io/frame_inspection.hpp"

#include "heatrow/io/frame_reader.hpp"
#include "heatrow/io/sha256.hpp"

#include <charconv>
#include <map>

namespace heatrow {
namespace {

std::optional<double> band_number(const std::vector<FrameTag>& tags, std::string_view name) {
    for (const FrameTag& tag : tags) {
        double value = 0.0;
        const char* end = tag.value.data() + tag.value.size();
        if (tag.group == "band" && tag.name == name &&
            std::from_chars(tag.value.data(), end, value).ec == std::errc{}) {
            return value;
        }
    }
    return std::nullopt;
}

}  // namespace

FrameInspection inspect_frame(const std::filesystem::path& file, std::optional<double> nodata, const Profile& profile) {
    FrameInspection inspection;
    inspection.file = file;
    const auto bytes = read_file_bytes(file);
    if (!bytes) {
        inspection.rejection = bytes.error();
        return inspection;
    }
    inspection.sha256 = sha256_of(*bytes);
    inspection.tags = list_frame_tags(*bytes);
    inspection.stated_scale = band_number(inspection.tags, "scale");
    inspection.stated_offset = band_number(inspection.tags, "offset");
    inspection.stated_nodata = band_number(inspection.tags, "nodata");
    const auto frame = decode_frame(*bytes, file.filename().string());
    if (!frame) {
        inspection.rejection = frame.error();
        return inspection;
    }
    inspection.width_px = frame->counts.width();
    inspection.height_px = frame->counts.height();
    inspection.kind = frame->kind;
    inspection.is_float = frame->is_float;
    inspection.counts = summarise_counts(*frame, nodata ? nodata : inspection.stated_nodata);
    inspection.sharpness = sharpness_of(frame->counts.view());
    inspection.enlargement = enlargement_of(frame->counts.view());
    inspection.guesses = guess_encodings(inspection.counts, frame->is_float, profile);
    return inspection;
}

std::vector<int> find_duplicates(const std::vector<FrameInspection>& frames) {
    std::map<std::string, int> first_with;
    std::vector<int> earlier(frames.size(), -1);
    for (std::size_t i = 0; i < frames.size(); ++i) {
        if (frames[i].sha256.empty()) {
            continue;
        }
        const auto [first, is_new] = first_with.emplace(frames[i].sha256, static_cast<int>(i));
        if (!is_new) {
            earlier[i] = first->second;
        }
    }
    return earlier;
}

}  // namespace heatrow
