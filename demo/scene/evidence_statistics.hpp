// How evidence of flights scatters, fitted from rendered frames: what `heatrow-scene flights` draws from.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace scene {

struct EvidenceStatistics {
    // Of modules' mean temperatures, K: what differs from module to module, and what is smooth along the row
    double module_spread_k = 0.0;
    double module_trend_k = 0.0;
    // Of one view's mean about the module's own, K: the same two parts
    double view_noise_k = 0.0;
    double view_trend_k = 0.0;
    // Ground beyond a row end that looks like modules: share of ends that look so in most views, share of the views of
    // the others
    double overlooked_ends = 0.0;
    double overlooked_views = 0.0;
    // Modules that look like ground: the same
    double imagined_modules = 0.0;
    double imagined_views = 0.0;
    double fix_noise_m = 0.0;        // white, of each axis of a logged position
    double walk_m_per_sqrt_s = 0.0;  // of each axis
    double bias_m = 0.0;             // rms length of a flight's mean error
    int frames = 0;
    int views = 0;
    int ends = 0;  // row ends seen
    int flights = 0;
    std::vector<std::string> surveys;  // fitted from
};

// From rendered folders with their truth: module means are sampled from the frames inside the true outlines.
EvidenceStatistics fit_evidence(const std::vector<std::filesystem::path>& rendered);

std::string to_toml(const EvidenceStatistics& statistics);
EvidenceStatistics read_evidence_statistics(const std::filesystem::path& file);

}  // namespace scene
