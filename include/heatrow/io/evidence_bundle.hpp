// The evidence for one claim, put together in a folder: findings, serial numbers, conditions, pictures, frames, curve
// files, review log, hashes, and what is missing (docs/formats/evidence.md).
#pragma once

#include "heatrow/record/survey_record.hpp"

#include <filesystem>
#include <map>
#include <string>
#include <vector>

namespace heatrow {

// Which findings.
struct EvidenceChoice {
    std::string type;                   // of modules: its findings of class 2 and 3; empty: by the list
    std::vector<std::string> findings;  // ids
};

struct EvidenceSources {
    std::filesystem::path result;                // folder of the record, with its pictures
    std::filesystem::path survey;                // the survey folder, for the frames; empty: none
    std::filesystem::path curves;                // folder of files named by module or finding ids; empty: none
    std::map<std::string, std::string> serials;  // module id, serial number
};

struct EvidenceSummary {
    int findings = 0;
    int files = 0;                     // beside pages and tables: pictures, frames, curves
    std::vector<std::string> missing;  // "finding: what", then those of the survey as a whole
};

// Serial numbers from a table with the columns `module` and `serial`. Throws Error(input) for missing columns, an
// unknown module, or a module that is named twice.
std::map<std::string, std::string> read_serials(const std::filesystem::path& file, const SurveyRecord& record);

// Indices of the findings chosen, in the record's order. Throws Error(usage) for an unknown type or id, with the
// nearest known one, Error(input) where nothing is left. Findings that a reviewer rejected are left out of a choice by
// type.
std::vector<int> chosen_findings(const SurveyRecord& record, const EvidenceChoice& choice);

// Writes into an empty folder. Throws Error(input) where a frame is not the one that the run read (its SHA-256
// differs), Error(output) where it cannot write.
EvidenceSummary write_evidence(const SurveyRecord& record,
                               const std::vector<int>& findings,
                               const std::string& claim,
                               const EvidenceSources& sources,
                               const std::filesystem::path& folder);

}  // namespace heatrow
