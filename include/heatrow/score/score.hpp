// Stage 4: fused modules become differences, findings and classes (docs/scoring.md).
#pragma once

#include "heatrow/core/conditions.hpp"
#include "heatrow/core/finding.hpp"
#include "heatrow/core/for_each.hpp"
#include "heatrow/core/fused_cell.hpp"
#include "heatrow/core/placed_view.hpp"
#include "heatrow/core/time.hpp"
#include "heatrow/core/uncertain.hpp"
#include "heatrow/score/profile.hpp"
#include "heatrow/site/layout.hpp"
#include "heatrow/site/shade.hpp"

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// What all cells of a frame share and no number of views averages out: camera, emissivity, mirrored sky. Standard
// uncertainties.
struct SharedTerms {
    double temperature_u_k = 0.0;         // of a temperature
    double difference_relative_u = kNaN;  // of a difference, K per K; NaN: the emissivity's alone, by the profile
    double cell_relative_u = 0.0;         // what a cell adds: point spread, stray light, heat in the sheet, K per K
};

// Where the layout, the obstacles and the sun put shade on a module while it was photographed.
struct PredictedShade {
    std::vector<CellLight> cells;  // row by row
    std::string thrown_by;         // in words: "table R1-T1"; empty: not predicted, told by the cells (seen_cover.hpp)
    Radians sun_azimuth{kNaN};     // clockwise from true north, at the first frame used
    Radians sun_elevation{kNaN};
};

// How the heat of one hot cell lies in it, by the pixels of its best views; medians over these. Ratios of apparent
// differences to the cells around, so that emissivity and sky drop out.
struct CellLook {
    int cell = 0;
    double fill = kNaN;         // mean over the cell over the hottest pixel
    double low = kNaN;          // 15th percentile over its inner pixels, over the hottest pixel
    double across_m = kNaN;     // standard deviation of the hot core along the module's x, m
    double along_m = kNaN;      // along its y, as ribbons run
    double off_centre = kNaN;   // of the middle of the heat from that of the cell, in cells
    double point_ratio = kNaN;  // hottest 3 x 3 pixel mean over the mean over the cell
    int views = 0;
};

// How the cells of a module look in visible light, against the same cells of the modules beside it in the same
// pictures. Counted from the median of the own module's cells, so that a uniform film and the sky's gradient drop out.
struct VisibleLook {
    std::vector<double> brighter;  // row by row, levels of 255; of several pictures the least, 0 where they disagree
    double scatter = kNaN;  // robust standard deviation of the other modules' cells, the largest of the pictures'
    double front_brighter = kNaN;  // of the whole front: median over its cells against those of the other modules
    double front_scatter = kNaN;
    int pictures = 0;   // taken from different places: what is mirrored moves, what lies on the glass stays
    int others = 0;     // modules compared with, the fewest of the pictures'
    std::string frame;  // name of the first picture
};

// One module that was seen.
struct ModuleInput {
    FusedModule fused;           // fused.module = layout index
    FrameConditions conditions;  // mean over the frames used (mean_conditions)
    UtcTime time{};              // of the first frame used
    Placement placement = Placement::placed;
    std::vector<int> candidates;  // other modules it may be; where ambiguous
    SharedTerms shared;
    std::optional<PredictedShade> shade;  // absent: all of it is lit
    bool outline_fits = true;             // its sides are seen where the layout draws them
    std::vector<CellLook> looks;          // at hot cells, where pixels and blur resolve parts of a cell
    std::optional<VisibleLook> visible;   // of modules with hot cells, where partner frames show them
};

// What electrical readings say of a string while it was photographed; NaN where nothing was read.
struct StringLoad {
    Uncertain<double> fraction{kNaN, kNaN};  // I / I_mp(G), mean over the frames
    double current_a = kNaN;                 // of the nearest reading
    double voltage_v = kNaN;                 // of the same
};

struct ScoreInput {
    const Layout& layout;
    std::span<const ModuleInput> modules;  // by layout index, ascending, each at most once
    const Profile& profile;
    double difference_relative_u = kNaN;       // as in SharedTerms, for the survey
    std::span<const StringLoad> strings = {};  // one per string of the layout; empty: no electrical readings
    double specific_yield_kwh_kw = kNaN;       // of the site, a year; NaN: not stated
    ForEach for_each = one_after_the_other;    // findings; the result does not depend on it
};

// Why a module or string was not assessed: the words of modules.csv.
namespace reason {
inline constexpr std::string_view kNotSeen = "not_seen";
inline constexpr std::string_view kAmbiguous = "ambiguous";
inline constexpr std::string_view kIrradianceBelowMinimum = "irradiance_below_minimum";
inline constexpr std::string_view kIrradianceUnknown = "irradiance_unknown";
inline constexpr std::string_view kLowLoad = "low_load";
inline constexpr std::string_view kShaded = "shaded";  // no substring, or less than half of the cells, out of the shade
inline constexpr std::string_view kSeenInPart = "seen_in_part";  // the border cuts it in every frame that shows it
inline constexpr std::string_view kSmeared = "smeared";          // no view without smear: findings are lower bounds
inline constexpr std::string_view kOutlineMismatch = "outline_mismatch";  // not of the size or at the place drawn
inline constexpr std::string_view kNoData = "no_data";                    // too few cells with a temperature
inline constexpr std::string_view kNoReference = "no_reference";          // no like neighbours to compare with
inline constexpr std::string_view kStringWarm = "string_warm";  // its string is warm as a whole: cell faults are hidden
}  // namespace reason

struct CellScore {
    // Not known in predicted shade. Against a healthy cell at this place of a module at the reference of its
    // neighbours; where the module has no reference, against its own healthy cells. As measured.
    Uncertain<KelvinDelta> delta_t;
    KelvinDelta delta_t_1000{kNaN};
    // Against the healthy cells of its own module: what makes a hot cell. As measured.
    KelvinDelta in_module{kNaN};
};

// One module of the layout, seen or not.
struct ModuleScore {
    int module = 0;
    bool assessed = false;
    std::string assessed_reason;     // of namespace reason; empty where assessed
    Uncertain<Celsius> temperature;  // median over its cells; not known where not seen
    Uncertain<KelvinDelta> delta_t;  // of the module against its reference: median after the template is removed
    KelvinDelta delta_t_1000{kNaN};
    int hottest_cell = -1;                                  // largest CellScore::in_module; -1 = none
    KelvinDelta hottest_cell_delta_t_1000{kNaN};            // its in_module, scaled
    AbnormalityClass abnormality = AbnormalityClass::none;  // the highest of its findings; none where not assessed
    Flags flags;
    std::vector<CellScore> cells;  // row by row; empty where not seen
};

struct StringScore {
    int string = 0;
    bool assessed = false;
    std::string assessed_reason;
    int modules_assessed = 0;
    int findings = 0;                                       // on the string and on its modules
    AbnormalityClass abnormality = AbnormalityClass::none;  // the highest of these
    Uncertain<KelvinDelta> delta_t;                         // string against modules of its neighbours
    KelvinDelta delta_t_1000{kNaN};
};

struct ScoreResult {
    std::vector<ModuleScore> modules;  // one per module of the layout, in its order
    std::vector<StringScore> strings;  // one per string of the layout, in its order
    std::vector<Finding> findings;     // by class (3 first), then scaled difference, then id
    std::vector<std::string> notes;    // what could not be decided, in sentences
};

// Throws Error(usage) where the profile has a problem (first_problem), Error(internal) where `modules` is out of order.
// Modules not seen, ambiguous, or below the least irradiance are not assessed; an ambiguous module's findings carry its
// candidates. Serial and deterministic.
ScoreResult score(const ScoreInput& input);

// Mean over frames or modules: values averaged where known; `u` averaged too, not reduced, since loggers err alike;
// flags joined. irradiance_is_modelled where any was.
FrameConditions mean_conditions(std::span<const FrameConditions> conditions);

}  // namespace heatrow
