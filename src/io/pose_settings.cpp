#include "pose_settings.hpp"

#include "conditions_settings.hpp"

#include <cmath>

namespace heatrow {
namespace {

using detail::kPositive;
using detail::Range;
using detail::TomlSection;

std::vector<std::string_view> quantities(const PoseRules& rules, bool with_frame) {
    const auto names = rules.names();
    std::vector<std::string_view> all(names.begin(), names.end());
    if (with_frame) {
        all.insert(all.end(), {"frame", "time", "date"});
    }
    return all;
}

void read_tags(const TomlSection& section, PoseSettings& poses) {
    const std::vector<std::string_view> known = quantities(poses.rules, false);
    if (const auto tags = section.optional_section("tags", known)) {
        for (const std::string_view quantity : known) {
            if (const auto tag = tags->optional_section(quantity, {"group", "name"})) {
                poses.tags.emplace(quantity, TagName{tag->text("group"), tag->text("name")});
            }
        }
    }
}

// The log or the tags must be there for the source that is chosen, and for no other.
void require_source(const TomlSection& section, const PoseSettings& poses) {
    const bool by_log = poses.source == PoseSettings::Source::flight_log;
    if (by_log && poses.flight_log.empty()) {
        section.fail("log", "missing, and source = \"flight_log\" needs it", "Name the log of the aircraft");
    }
    if (!by_log && section.has("log")) {
        section.fail("log", "given, but the source is another", "Add source = \"flight_log\", or leave the log out");
    }
    if (poses.source != PoseSettings::Source::tags && section.has("tags")) {
        section.fail("tags", "given, but the source is another", "Add source = \"tags\", or leave the tags out");
    }
}

}  // namespace

const std::vector<std::string_view>& pose_keys() {
    static const std::vector<std::string_view> keys{
        "source", "log", "clock", "columns", "tags", "date_order", "longest_gap_s", "angles", "crs", "add_deg"};
    return keys;
}

PoseSettings read_pose_settings(const TomlSection& section, const std::filesystem::path& folder) {
    using Source = PoseSettings::Source;
    using Angles = PoseRules::Angles;
    PoseSettings poses;
    poses.source = section.choice<Source, 3>(
        "source", {{{"table", Source::table}, {"flight_log", Source::flight_log}, {"tags", Source::tags}}});
    if (const auto log = section.optional_text("log")) {
        poses.flight_log = (folder / *log).lexically_normal();
    }
    poses.rules.angles = section.choice<Angles, 2>(
        "angles", {{{"yaw_pitch_roll", Angles::yaw_pitch_roll}, {"omega_phi_kappa", Angles::omega_phi_kappa}}});
    poses.rules.crs = section.optional_text("crs");
    constexpr std::array<std::string_view, 3> kTurns{"yaw", "pitch", "roll"};
    if (const auto add = section.optional_section("add_deg", {"yaw", "pitch", "roll"})) {
        if (poses.rules.angles == Angles::omega_phi_kappa) {
            section.fail("add_deg", "given for omega, phi and kappa", "Leave it out");
        }
        for (std::size_t i = 0; i < kTurns.size(); ++i) {
            poses.rules.add_deg[i] = add->optional_number(kTurns[i], Range{-360.0, 360.0}).value_or(0.0);
        }
    }
    poses.columns = read_names(section, "columns", quantities(poses.rules, true));
    read_tags(section, poses);
    poses.date_order = read_date_order(section);
    if (const auto gap = section.optional_number("longest_gap_s", kPositive)) {
        poses.longest_gap = std::chrono::milliseconds(std::llround(*gap * 1000.0));
    }
    require_source(section, poses);
    return poses;
}

}  // namespace heatrow
