// Which view is named rightly, which finding is which fault.
#pragma once

#include <Eigen/Core>

#include <array>
#include <limits>
#include <map>
#include <set>
#include <string>
#include <vector>

namespace scene {

using Quad = std::array<Eigen::Vector2d, 4>;  // corners in turn, px

// A module in a frame: true outline, or a view as the analyser placed it.
struct FrameModule {
    std::string frame;
    std::string module;
    Quad corners_px;
    double visible_share = 1.0;        // of true outlines
    std::string placement = "placed";  // of views
};

enum class ViewVerdict {
    right,      // the centre lies in that module's true outline
    wrong,      // it lies in another module's
    elsewhere,  // it lies in no module's
};
// outlines: the true ones of the view's frame.
ViewVerdict judge_view(const FrameModule& view, const std::vector<const FrameModule*>& outlines);
Eigen::Vector2d centre_of(const Quad& corners);
bool inside_quad(const Quad& corners, const Eigen::Vector2d& point);

// A true fault or a finding, by where it lies.
struct Abnormality {
    std::string id;
    std::string module;  // empty: of a string
    std::string string;
    std::string pattern;
    std::set<int> cells;  // row by row; empty = the whole module or string
    double delta_t_k = 0.0;
    double delta_t_u95_k = 0.0;
    double delta_t_1000_k = 0.0;
    double delta_t_1000_u95_k = 0.0;
    // Of true faults in single cells: mean over the hottest cell, where `delta_t_k` is of a part of it or of all the
    // cells around; NaN = not known.
    double cell_delta_t_k = std::numeric_limits<double>::quiet_NaN();
    double cell_delta_t_1000_k = std::numeric_limits<double>::quiet_NaN();
    double pattern_probability = std::numeric_limits<double>::quiet_NaN();  // of findings
    std::string pattern_second;                                             // of findings
    std::set<std::string> candidates;  // of findings: other modules that it may be on
    int abnormality_class = 0;         // of findings
    double class_probability = 0.0;    // of findings
    int whole_views = 0;               // of faults: at the least irradiance
    bool decoy = false;                // of faults
    bool in_scope = false;             // of faults
};

struct Matching {
    std::vector<int> fault_of_finding;  // -1 = none
    std::vector<int> finding_of_fault;  // -1 = not found
    // Findings without a fault of their own that still lie on one: a second finding at one fault, a module finding in a
    // string that is warm as a whole. Neither right nor false.
    std::vector<bool> beside_a_fault;
};

// One to one. A finding can only be a fault of the same object (the same module, or for findings of strings the same
// string) with at least one cell in common; the pattern need not agree, but the same pattern goes first, then the
// larger share of common cells. Decoys match nothing.
Matching match_findings(const std::vector<Abnormality>& faults, const std::vector<Abnormality>& findings);

}  // namespace scene
