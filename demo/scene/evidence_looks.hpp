// How modules, and the ground beyond row ends, look in rendered frames.
#pragma once

#include "evidence_statistics.hpp"

#include <filesystem>
#include <map>
#include <string>
#include <utility>
#include <vector>

namespace scene {

// Module means, and means of the place one pitch beyond a row's end, sampled inside the true outlines.
class LookSamples {
  public:
    void add(const std::filesystem::path& rendered);
    // Fills what the frames tell of modules and ground.
    void fit(EvidenceStatistics& statistics) const;

  private:
    using Pair = std::pair<std::size_t, std::size_t>;
    struct View {
        std::size_t module;
        double mean_k;  // about the frame's median
    };
    struct Frame {
        std::vector<View> views;
        std::vector<Pair> neighbours;  // into views
    };
    struct Tally {
        int views = 0;
        int mistaken = 0;
    };

    std::vector<std::string> names_;  // of modules, with their survey
    std::vector<Frame> frames_;
    std::map<std::pair<std::size_t, int>, Tally> ends_;  // by module and side: -1 before it, 1 beyond it
    std::map<std::size_t, Tally> modules_;
};

}  // namespace scene
