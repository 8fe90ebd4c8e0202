// What changed on a site between two of its seasons: truth/changes.csv and truth/identities.csv.
#pragma once

#include "fault_truth.hpp"
#include "world.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace scene {

// What a season leaves behind for the later ones to be compared with.
struct SeasonRecord {
    SeasonRecord(const World& world, const std::vector<FaultTruth>& true_faults);

    std::string id;
    std::vector<std::string> panels;  // ids, in the order of the plant
    std::vector<std::string> strings;
    std::vector<int> renewals;  // of the panels
    std::vector<FaultTruth> faults;
    double heat_loss_w_m2k = 0.0;  // of the modules in the season's mean wind
};

// now: the season whose truth folder this is.
void write_changes(const std::vector<SeasonRecord>& before,
                   const SeasonRecord& now,
                   const std::filesystem::path& truth);

}  // namespace scene
