#include "slot_cache.hpp"

#include "byte_stream.hpp"
#include "effective_settings.hpp"
#include "frame_codec.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/io/file_stamp.hpp"
#include "heatrow/io/frame_reader.hpp"
#include "heatrow/io/output_file.hpp"
#include "heatrow/io/sha256.hpp"
#include "heatrow/report/file_stem.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>

namespace heatrow {
namespace {

namespace fs = std::filesystem;

// What pixels are measured by is everything but this: what is not named here throws all records away when it changes.
// Control counts with the alignment of its flight, and with the geometry of the layout.
constexpr std::array<std::string_view, 9> kRolesWithoutPart{"settings",
                                                            "profile",
                                                            "conditions",
                                                            "weather reports",
                                                            "electrical",
                                                            "visible times",
                                                            "visible frame",
                                                            "control points",
                                                            "control marks"};
constexpr std::array<std::string_view, 11> kSettingsWithoutPart{"survey.",
                                                                "control.",
                                                                "frames.known",
                                                                "conditions.",
                                                                "electrical.",
                                                                "visible_frames.",
                                                                "temperature.emissivity",
                                                                "temperature.reflected_c",
                                                                "temperature.export_",
                                                                "site.specific_yield_kwh_kw",
                                                                "site.layout"};  // the file's bytes count

bool has_part(const std::string& setting) {
    return !setting.ends_with(".noise_k") &&
           std::none_of(kSettingsWithoutPart.begin(), kSettingsWithoutPart.end(), [&](std::string_view start) {
               return setting.starts_with(start);
           });
}

// The same program, the same inputs and settings of pass 1. Conditions count frame by frame.
RecordKey purpose_of(const SurveyInputs& inputs) {
    KeyMaker key;
    key.add(sha256_of_file("/proc/self/exe"));
    for (const InputFact& fact : inputs.facts) {
        if (std::find(kRolesWithoutPart.begin(), kRolesWithoutPart.end(), fact.role) == kRolesWithoutPart.end()) {
            key.add(fact.role);
            key.add(fact.sha256);
        }
    }
    for (const auto& [setting, value] : effective_settings(inputs.settings)) {
        if (has_part(setting)) {
            key.add(setting);
            key.add(value);
        }
    }
    // A frame is rejected by these before it is placed.
    key.add(inputs.profile.plausible_low_c.value);
    key.add(inputs.profile.plausible_high_c.value);
    return key.make();
}

// Folders that backup programs and the like may pass over (Cache Directory Tagging Specification).
void tag_as_cache(const fs::path& folder) {
    const fs::path tag = folder / "CACHEDIR.TAG";
    if (!fs::exists(tag)) {
        publish_file(tag,
                     "Signature: 8a477f597d28d172789f06886806bc55\n"
                     "# Slot records of heatrow: what it measured in frames. May be deleted at any time.\n",
                     true);
    }
}

// Size and times of a file, which are not those of another content; empty where there is no such file.
std::string stamp_text(const fs::path& file) {
    const std::optional<FileStamp> stamp = stamp_of(file);
    return stamp ? fmt::format("{} {} {}", stamp->bytes, stamp->modified_ns, stamp->changed_ns) : std::string();
}

RecordKey file_key(const fs::path& file) {
    KeyMaker key;
    key.add("file");
    key.add(file.string());
    return key.make();
}

}  // namespace

void KeyMaker::add(std::string_view text) {
    ByteWriter out;
    out.put(text);
    bytes_.insert(bytes_.end(), out.bytes().begin(), out.bytes().end());
}

void KeyMaker::add(double value) {
    ByteWriter out;
    out.put(value);
    bytes_.insert(bytes_.end(), out.bytes().begin(), out.bytes().end());
}

void KeyMaker::add(const Eigen::Vector3d& values) {
    for (const double value : values) {
        add(value);
    }
}

void KeyMaker::add(const FramePose& pose) {
    add(pose.position_in_site);
    add(pose.yaw.value());
    add(pose.pitch.value());
    add(pose.roll.value());
}

void KeyMaker::add(const FramePrior& prior) {
    add(static_cast<double>(prior.time.time_since_epoch().count()));
    add(prior.pose ? 1.0 : 0.0);
    if (prior.pose) {
        add(*prior.pose);
    }
    for (const CornerPoint& corner : prior.corner_points) {
        add(corner.pixel.x());
        add(corner.pixel.y());
        add(corner.point_in_site);
    }
}

void KeyMaker::add(const FlightAlignment& alignment) {
    add(sha256_of(encode_alignment(alignment)));
}

RecordKey KeyMaker::make() const {
    return sha256_of(bytes_);
}

SlotCache::SlotCache(const SurveyInputs& inputs, const fs::path& folder) : purpose_(purpose_of(inputs)) {
    // Surveys of one name in different folders have files of their own.
    KeyMaker place;
    place.add(fs::weakly_canonical(inputs.settings.folder).string());
    path_ = folder / fmt::format("{}-{}.slots", FileStems().claim(inputs.settings.id), place.make().substr(0, 8));
    file_ = RecordFile::open(path_, purpose_);
    if (file_) {
        tag_as_cache(folder);
    } else {
        problem_ = "another run uses them";
    }
    views_ = ViewStore(folder);
}

tl::expected<FrameFileFacts, Rejection> SlotCache::look_up(const FrameFile& frame) {
    const fs::path& file = frame.path;
    if (frame.window) {
        KeyMaker part;
        part.add(frame.sha256);
        part.add(Eigen::Vector3d(frame.window->left, frame.window->top, frame.window->width));
        const auto pixels =
            static_cast<std::uint64_t>(frame.window->width) * static_cast<std::uint64_t>(frame.window->height);
        return FrameFileFacts{pixels * sizeof(float), part.make(), {}};
    }
    const std::string stamp = is_open() ? stamp_text(file) : std::string();
    const RecordKey key = stamp.empty() ? RecordKey() : file_key(file);
    if (const auto kept = find(key)) {
        ByteReader in(*kept);
        const bool is_same = in.text() == stamp;
        FrameFileFacts facts{in.get<std::uint64_t>(), in.text(), {}};
        if (in.is_at_end() && is_same) {
            return facts;
        }
    }
    auto content = read_file_bytes(file);
    if (!content) {
        return tl::unexpected(content.error());
    }
    std::string sha256 = sha256_of(*content);
    if (!key.empty()) {
        ByteWriter out;
        out.put(std::string_view(stamp));
        out.put(std::uint64_t{content->size()});
        out.put(std::string_view(sha256));
        keep(key, out.bytes());
    }
    return FrameFileFacts{content->size(), std::move(sha256), std::move(*content)};
}

KeyMaker SlotCache::key(const LayoutIndex& site) const {
    KeyMaker key;
    key.add(purpose_);
    KeyMaker geometry;
    for (const Module& module : site.layout().modules) {
        for (const Eigen::Vector3d& corner : module.corners_in_site) {
            geometry.add(corner);
        }
    }
    key.add(geometry.make());
    return key;
}

std::optional<FlightAlignment> SlotCache::find_alignment(const RecordKey& key) {
    const auto bytes = find(key);
    return bytes ? decode_alignment(*bytes) : std::nullopt;
}

void SlotCache::keep_alignment(const RecordKey& key, const FlightAlignment& alignment) {
    keep(key, encode_alignment(alignment));
}

bool SlotCache::find_outcome(const RecordKey& key, FrameOutcome& outcome) {
    const auto bytes = find(key);
    FrameOutcome kept = outcome;
    if (!bytes || !decode_outcome(*bytes, kept)) {
        return false;
    }
    outcome = std::move(kept);
    ++found_;
    return true;
}

void SlotCache::keep_outcome(const RecordKey& key, const FrameOutcome& outcome) {
    keep(key, encode_outcome(outcome));
}

std::string SlotCache::problem() const {
    const std::lock_guard lock(guard_);
    return problem_;
}

std::optional<std::vector<std::uint8_t>> SlotCache::find(const RecordKey& key) const {
    return file_ && !key.empty() ? file_->find(key) : std::nullopt;
}

void SlotCache::keep(const RecordKey& key, const std::vector<std::uint8_t>& bytes) {
    if (!file_ || key.empty()) {
        return;
    }
    if (const std::string failed = file_->append(key, bytes); !failed.empty()) {
        const std::lock_guard lock(guard_);
        problem_ = failed;
    }
}

}  // namespace heatrow
