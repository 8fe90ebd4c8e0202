#include "heatrow/io/manifest.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/io/sha256.hpp"
#include "heatrow/report/markup.hpp"

#include <Eigen/Core>
#include <fmt/core.h>
#include <gdal.h>
#include <libdeflate.h>
#include <nlohmann/json.hpp>
#include <openssl/crypto.h>
#include <proj.h>

#include <algorithm>
#include <cmath>
#include <fstream>

namespace heatrow {
namespace {

using Json = nlohmann::ordered_json;
namespace fs = std::filesystem;

std::string version(int major, int minor, int patch) {
    return fmt::format("{}.{}.{}", major, minor, patch);
}

Json libraries() {
    return {
        {"eigen", version(EIGEN_WORLD_VERSION, EIGEN_MAJOR_VERSION, EIGEN_MINOR_VERSION)},
        {"fmt", version(FMT_VERSION / 10000, FMT_VERSION / 100 % 100, FMT_VERSION % 100)},
        {"gdal", GDALVersionInfo("RELEASE_NAME")},
        {"json", version(NLOHMANN_JSON_VERSION_MAJOR, NLOHMANN_JSON_VERSION_MINOR, NLOHMANN_JSON_VERSION_PATCH)},
        {"libdeflate", LIBDEFLATE_VERSION_STRING},
        {"openssl", OpenSSL_version(OPENSSL_VERSION_STRING)},
        {"proj", proj_info().version},
    };
}

std::string scale_text(const Clock& clock) {
    if (const auto* zone = std::get_if<Clock::Zone>(&clock.scale)) {
        return zone->name;
    }
    if (const auto* offset = std::get_if<Clock::FixedOffset>(&clock.scale)) {
        const auto minutes = offset->east_of_utc.count();
        const auto size = minutes < 0 ? -minutes : minutes;
        return fmt::format("UTC{}{:02}:{:02}", minutes < 0 ? '-' : '+', size / 60, size % 60);
    }
    return "GPS time";
}

Json clocks(const RunFacts& facts) {
    Json list = Json::array();
    for (const DeviceClock& device : facts.clocks) {
        list.push_back({{"device", clean_utf8(device.device)},
                        {"scale", clean_utf8(scale_text(device.clock))},
                        {"shift_s", static_cast<double>(device.clock.shift.count()) / 1000.0},
                        {"shift_source", clean_utf8(device.clock.shift_source)}});
    }
    return list;
}

Json settings(const RunFacts& facts) {
    Json object = Json::object();
    for (const auto& [key, value] : facts.settings) {
        object[clean_utf8(key)] = clean_utf8(value);
    }
    return object;
}

Json inputs(const RunFacts& facts) {
    Json list = Json::array();
    for (const InputFact& input : facts.inputs) {
        list.push_back({{"role", clean_utf8(input.role)},
                        {"name", clean_utf8(input.name)},
                        {"bytes", input.bytes},
                        {"sha256", input.sha256}});
    }
    return list;
}

Json frames(const SurveyRecord& record) {
    Json list = Json::array();
    for (const FrameResult& frame : record.frames) {
        const std::string outcome = frame.rejection ? std::string(to_string(frame.rejection->reason))
                                                    : (frame.scored ? "scored" : "information");
        list.push_back({{"name", clean_utf8(frame.prior.name)},
                        {"time_utc", to_iso8601(frame.prior.time)},
                        {"outcome", outcome},
                        {"sha256", frame.sha256}});
    }
    return list;
}

Json outputs(const fs::path& folder) {
    std::vector<std::string> names;
    for (const fs::directory_entry& entry : fs::recursive_directory_iterator(folder)) {
        if (entry.is_regular_file()) {
            names.push_back(entry.path().lexically_relative(folder).generic_string());
        }
    }
    std::sort(names.begin(), names.end());
    Json list = Json::array();
    for (const std::string& name : names) {
        list.push_back(
            {{"name", name}, {"bytes", fs::file_size(folder / name)}, {"sha256", sha256_of_file(folder / name)}});
    }
    return list;
}

// "UTC+02:00, ran 1.5 s ahead (...)".
std::string clock_text(const Clock& clock) {
    std::string text = scale_text(clock);
    if (clock.shift.count() != 0) {
        const double shift_s = static_cast<double>(clock.shift.count()) / 1000.0;
        text += fmt::format(
            ", ran {} s {} ({})", std::abs(shift_s), shift_s > 0.0 ? "ahead" : "behind", clock.shift_source);
    }
    return text;
}

}  // namespace

std::string run_id(const RunFacts& facts) {
    constexpr std::size_t kDigits = 12;
    std::string text = facts.program_version + "\n" + facts.command + "\n";
    for (const auto& [key, value] : facts.settings) {
        text += key + "=" + value + "\n";
    }
    for (const InputFact& input : facts.inputs) {
        text += input.sha256 + "\n";
    }
    return sha256_of({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()}).substr(0, kDigits);
}

RunDescription describe_run(const RunFacts& facts) {
    RunDescription run;
    run.id = run_id(facts);
    for (int i = 0; i < kPatternCount; ++i) {
        const auto pattern = static_cast<Pattern>(i);
        if (const auto& rule = facts.profile.rule(pattern)) {
            run.rules.push_back({pattern,
                                 rule->class_2_from,
                                 rule->class_3_from,
                                 rule->exponent,
                                 rule->exponent_low,
                                 rule->exponent_high,
                                 rule->source});
        }
    }
    run.settings = facts.settings;
    for (const DeviceClock& device : facts.clocks) {
        run.clocks.emplace_back(device.device, clock_text(device.clock));
    }
    for (const InputFact& input : facts.inputs) {
        run.inputs.push_back({input.role, input.name, input.bytes, input.sha256});
    }
    run.work_list = facts.work_list;
    run.decimal_comma_tables = facts.decimal_comma_tables;
    return run;
}

std::string manifest_text(const SurveyRecord& record, const RunFacts& facts, const fs::path& folder) {
    const Json manifest = {
        {"format", "heatrow-manifest"},
        {"format_version", 1},
        {"run", run_id(facts)},
        {"program", {{"name", "heatrow"}, {"version", facts.program_version}, {"command", facts.command}}},
        {"libraries", libraries()},
        {"survey", {{"id", clean_utf8(record.survey_id)}, {"title", clean_utf8(record.title)}}},
        {"profile", {{"id", clean_utf8(record.profile_id)}, {"version", clean_utf8(record.profile_version)}}},
        {"clocks", clocks(facts)},
        {"settings", settings(facts)},
        {"inputs", inputs(facts)},
        {"frames", frames(record)},
        {"outputs", outputs(folder)},
    };
    return manifest.dump(2) + "\n";
}

std::string remade_manifest_text(const fs::path& earlier,
                                 const SurveyRecord& record,
                                 const std::string& command,
                                 const std::string& program_version,
                                 const fs::path& folder) {
    Json manifest = {
        {"format", "heatrow-manifest"},
        {"format_version", 1},
        {"survey", {{"id", clean_utf8(record.survey_id)}, {"title", clean_utf8(record.title)}}},
        {"profile", {{"id", clean_utf8(record.profile_id)}, {"version", clean_utf8(record.profile_version)}}},
        {"frames", frames(record)},
    };
    if (!earlier.empty()) {
        std::ifstream stream(earlier);
        manifest = Json::parse(stream, nullptr, false);
        if (!manifest.is_object()) {
            throw Error(ErrorKind::input,
                        "cannot read the manifest of the earlier result",
                        earlier.string(),
                        "it is no JSON object",
                        "Restore the file, or give survey.gpkg alone and --out");
        }
        manifest.erase("outputs");
    }
    manifest["remade_by"] = {{"name", "heatrow"}, {"version", program_version}, {"command", command}};
    manifest["outputs"] = outputs(folder);
    return manifest.dump(2) + "\n";
}

}  // namespace heatrow
