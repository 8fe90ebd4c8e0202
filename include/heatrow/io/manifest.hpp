// manifest.json: what went in, how it was run, what came out (docs/formats/manifest.md).
#pragma once

#include "heatrow/core/time.hpp"
#include "heatrow/record/run_description.hpp"
#include "heatrow/record/survey_record.hpp"
#include "heatrow/score/profile.hpp"

#include <cstdint>
#include <filesystem>
#include <string>
#include <utility>
#include <vector>

namespace heatrow {

// One file that was read.
struct InputFact {
    std::string role;  // e.g. "settings", "layout", "module type", "frame", "poses", "conditions", "profile"
    std::string name;  // relative to the survey folder, or the file name of an installed file
    std::uint64_t bytes = 0;
    std::string sha256;  // lower-case hex
};

struct DeviceClock {
    std::string device;
    Clock clock;
};

// What a run knows beside its record.
struct RunFacts {
    std::string program_version;  // e.g. "0.1.0"
    std::string command;          // e.g. "analyse"
    Profile profile;
    std::vector<InputFact> inputs;
    std::vector<std::pair<std::string, std::string>> settings;  // every effective value as text, by dotted key
    std::vector<DeviceClock> clocks;
    WorkListSettings work_list;
    bool decimal_comma_tables = false;  // asked for by [output]
};

// Twelve hexadecimal digits that stand for program, settings and input files: the same for the same run anywhere.
std::string run_id(const RunFacts& facts);
// What the record keeps of them.
RunDescription describe_run(const RunFacts& facts);

// The text of manifest.json. Outputs are the regular files under `folder`, hashed, in order of their names.
std::string manifest_text(const SurveyRecord& record, const RunFacts& facts, const std::filesystem::path& folder);

// The same for a folder made anew from an earlier result: what the run read and how stands as in the earlier manifest,
// `remade_by` names the last command, outputs are hashed again. `earlier` may be empty: then only the record is known.
// Throws Error(input) if the earlier manifest cannot be read.
std::string remade_manifest_text(const std::filesystem::path& earlier,
                                 const SurveyRecord& record,
                                 const std::string& command,
                                 const std::string& program_version,
                                 const std::filesystem::path& folder);

}  // namespace heatrow
