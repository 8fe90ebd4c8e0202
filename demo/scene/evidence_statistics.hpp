// How evidence of flights scatters, fitted from rendered frames: what `heatrow-scene flights` draws from.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace scene {

struct EvidenceStatistics {
    double module_spread_k = 0.0;    // of modules' mean temperatures about the frame's median
    double view_noise_k = 0.0;       // of one view's mean about the module's own
    double fix_noise_m = 0.0;        // white, of each axis of a logged position
    double walk_m_per_sqrt_s = 0.0;  // of each axis
    double bias_m = 0.0;             // rms length of a flight's mean error
    int frames = 0;
    int views = 0;
    int flights = 0;
    std::vector<std::string> surveys;  // fitted from
};

// From rendered folders with their truth: module means are sampled from the frames inside the true outlines.
EvidenceStatistics fit_evidence(const std::vector<std::filesystem::path>& rendered);

std::string to_toml(const EvidenceStatistics& statistics);
EvidenceStatistics read_evidence_statistics(const std::filesystem::path& file);

}  // namespace scene
