// Patterns from differences.
#pragma once

#include "survey_state.hpp"
#include "visible_cover.hpp"

#include <Eigen/Core>

#include <optional>
#include <vector>

namespace heatrow {

// Every finding of the survey, by class, scaled difference and id (docs/patterns.md). Modules that take no part make
// none, save ambiguous ones.
std::vector<Finding> find_patterns(const ScoreInput& input, const SurveyState& state);

// Parts of the above: for one string that is warm as a whole, and for one module.
void add_string_finding(const ScoreInput& input, const SurveyState& state, int index, std::vector<Finding>& findings);
// What other findings of the module account for already.
struct Explained {
    std::vector<int> substrings;  // from 1, with every hot cell in them
    std::vector<int> cells;
    bool whole_module = false;  // that it is warm as a whole
    [[nodiscard]] bool has_substring(int substring) const;
    [[nodiscard]] bool has_cell(int cell) const;
};
void add_module_findings(const ScoreInput& input,
                         const SurveyState& state,
                         const ModuleState& module,
                         const Explained& explained,
                         std::vector<Finding>& findings);
void add_cell_findings(const ScoreInput& input,
                       const SurveyState& state,
                       const ModuleState& module,
                       const Explained& explained,
                       std::vector<Finding>& findings);

// What is warm in a module whose substrings the predicted shade touches.
struct ShadeEffect {
    std::vector<int> substrings;  // warm ones that it touches, from 1; empty: none is warm
    bool whole_module = false;    // against like modules, since no substring has all its light
    double rise_k = 0.0;
    double u_k = 0.0;
    double candidate_k = 0.0;  // least rise that is reported
    double reference_c = kNaN;
    std::string reference;  // in words
};
// At most one finding of pattern `shading`; none where nothing is warm. Precondition: the module has predicted shade.
void add_shade_finding(const ScoreInput& input,
                       const SurveyState& state,
                       const ModuleState& module,
                       const ShadeEffect& effect,
                       std::vector<Finding>& findings);
// How much was not assessed for it, predicted or seen; empty where none was.
std::string note_on_shade(const SurveyState& state, bool is_seen);

// A module that is cooler than its like neighbours, or is not there; true where none is, so that nothing else is asked.
bool add_cool_finding(const ScoreInput& input,
                      const SurveyState& state,
                      const ModuleState& module,
                      std::vector<Finding>& findings);

// Cells of a whole module that differ as no healthy module's do.
struct Patchwork {
    double sigma_k = 0.0;           // robust, between its cells
    double probability = 0.0;       // that it is no even module
    double likeness = 0.0;          // of cells side by side
    double branches_apart_k = 0.0;  // warmest over coolest mean of a branch
    double external = 0.0;          // probability of a cause that knows nothing of cells and branches, against a short
    bool is_warm = false;           // against its reference
    double rise_k = kNaN;           // of the module above its reference
    bool is_steady = true;          // the same in all views; else it is mirrored, and no finding
};
// Judged, and nothing else known makes its cells differ.
bool may_show_patchwork(const SurveyState& state, const ModuleState& module);
std::optional<Patchwork> patchwork_of(const ScoreInput& input, const SurveyState& state, const ModuleState& module);
// False where it is no abnormality.
bool add_patchwork_finding(const ScoreInput& input,
                           const SurveyState& state,
                           const ModuleState& module,
                           const Patchwork& patchwork,
                           std::vector<Finding>& findings);

// Modules with a patchwork that is not steady, in words; empty where there is none.
std::string note_on_mirrored(const ScoreInput& input, const SurveyState& state);

// Modules graded toward the negative end of their string.
struct Degradation {
    int string = 0;
    std::vector<int> modules;  // from the negative end on
    double t = 0.0;            // slope over its standard uncertainty
    double slope_k = 0.0;      // K a module
    double ratio = 0.0;        // median spread between cells over the healthy one
    double rise_k = 0.0;       // median over the modules of the run that are warm, all cells
    double run_u_k = 0.0;      // what one module less in the run changes of it
    double first_k = 0.0;      // of the one at the negative end
    double last_k = 0.0;
};
std::optional<Degradation> degradation_of(const ScoreInput& input, const SurveyState& state, int string);
void add_degradation_finding(const ScoreInput& input,
                             const SurveyState& state,
                             const Degradation& degradation,
                             std::vector<Finding>& findings);

// A spot on a junction box, seen through the cells in front of it.
struct HotBox {
    int box = 0;             // from 1
    std::vector<int> cells;  // that show it
    double cells_k = 0.0;    // their rise above their substrings, root mean square by the spot's shape
    double rise_k = 0.0;     // of the spot's middle
    double u_k = 0.0;
};
inline constexpr double kOfBox = 0.08;  // least share of a spot's peak that a cell's mean must show to count to the box
// Mean of a spot with a peak of 1 over each cell.
std::vector<double> box_shares(const ModuleType& type, const Eigen::Vector2d& box, double spot_m);
std::optional<HotBox> hot_box(const ScoreInput& input, const SurveyState& state, const ModuleState& module);
void add_box_finding(const ScoreInput& input,
                     const SurveyState& state,
                     const ModuleState& module,
                     const HotBox& box,
                     std::vector<Finding>& findings);

// A cell that is hotter than the rest of its module, or of its substring where that is warm.
struct HotCell {
    int cell = 0;
    double rise_k = 0.0;
    double u_k = 0.0;           // with which a healthy cell differs: what makes a candidate
    double measured_u_k = 0.0;  // with which the rise was measured: what is stated of it
};
// Hottest first. Cells that a hotter neighbour may light up through blur are left out.
std::vector<HotCell> hot_cells(const ScoreInput& input, const SurveyState& state, const ModuleState& module);
// The same, but cells beside a hotter one stay if they show more than `blur_share` of it.
std::vector<HotCell> cells_beyond_blur(const ScoreInput& input,
                                       const SurveyState& state,
                                       const ModuleState& module,
                                       double blur_share);

// Hot cells side by side in branches whose other cells are alike, each by a share of its own or the only ones: as under
// dirt; or hot cells where pictures in visible light show something.
struct DirtPatch {
    std::vector<HotCell> cells;   // hottest first
    std::vector<int> substrings;  // that they lie in, from 1
    std::optional<VisibleCover> seen;
};
std::optional<DirtPatch> dirt_patch(const ScoreInput& input, const SurveyState& state, const ModuleState& module);
void add_dirt_finding(const ScoreInput& input,
                      const ModuleState& module,
                      const DirtPatch& dirt,
                      std::vector<Finding>& findings);

}  // namespace heatrow
