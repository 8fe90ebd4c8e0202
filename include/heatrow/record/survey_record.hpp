// The record: everything that a run found out, the one source of every map, table and page.
#pragma once

#include "heatrow/core/conditions.hpp"
#include "heatrow/core/finding.hpp"
#include "heatrow/core/frame_prior.hpp"
#include "heatrow/core/placed_view.hpp"
#include "heatrow/core/rejection.hpp"
#include "heatrow/core/uncertain.hpp"
#include "heatrow/record/control_result.hpp"
#include "heatrow/record/finding_crop.hpp"
#include "heatrow/record/review.hpp"
#include "heatrow/record/run_description.hpp"
#include "heatrow/record/survey_statement.hpp"
#include "heatrow/record/visible_picture.hpp"
#include "heatrow/site/layout.hpp"

#include <map>
#include <string>
#include <vector>

namespace heatrow {

// Temperatures and differences of one cell of one module.
struct CellResult {
    Uncertain<Celsius> temperature;
    Uncertain<KelvinDelta> delta_t;  // against the module's healthy template, as measured
    KelvinDelta delta_t_1000{kNaN};
    int views = 0;
};

// One module of the layout, seen or not.
struct ModuleResult {
    int module = 0;  // layout index
    bool assessed = false;
    std::string assessed_reason;  // why not, in words of docs/formats/modules-csv.md; empty where assessed
    Placement placement = Placement::not_seen;
    std::vector<int> frames;  // frames used
    double cell_short_px = kNaN;
    Radians view_angle{kNaN};
    Uncertain<Celsius> temperature;  // median over its cells
    KelvinDelta delta_t_1000{kNaN};  // module against its reference, scaled
    int hottest_cell = -1;           // number of the cell, row by row; -1 = none
    KelvinDelta hottest_cell_delta_t_1000{kNaN};
    AbnormalityClass abnormality = AbnormalityClass::none;  // the highest of its findings; meaningful where assessed
    Flags flags;
    std::vector<CellResult> cells;  // row by row; empty where not seen
};

struct StringResult {
    int string = 0;  // layout index
    int modules_assessed = 0;
    int findings = 0;
    AbnormalityClass abnormality = AbnormalityClass::none;
    KelvinDelta delta_t_1000{kNaN};  // string against its neighbours, scaled
};

// One frame with what became of it.
struct FrameResult {
    FramePrior prior;
    std::optional<FramePose> pose;       // locked
    std::optional<Rejection> rejection;  // why it took no part
    bool scored = false;                 // false also for frames kept as information (irradiance below the minimum)
    FrameConditions conditions;
    double lock_rms_px = kNaN;
    std::vector<Eigen::Vector3d> footprint_in_site;            // on the ground, four corners; empty where unknown
    std::vector<Eigen::Vector3d> footprint_as_logged_in_site;  // the same by the logged pose
    std::string sha256;
};

// A limit that the survey was held against, in words.
struct LimitLine {
    std::string name;                            // e.g. "Irradiance in the module plane"
    std::string limit;                           // e.g. "at least 600 W/m²"
    std::string source;                          // e.g. "IEC TS 62446-3, minimum irradiance rule"
    Flag flag = Flag::irradiance_below_minimum;  // raised where it is not met
    double value = kNaN;                         // of the limit, in the unit that the quantity is drawn in
};

// A thermal picture of a finding, a file beside the record.
struct FindingPicture {
    std::string finding;  // id
    int frame = 0;
    std::string file;   // below the result folder, e.g. "findings/R2-M3.hot_cell.r4c4-1.png"
    Celsius low{kNaN};  // limits of its colour scale
    Celsius high{kNaN};
};

// What the program said of a finding that a reviewer gave another pattern: what its own pattern made of it.
struct AsFound {
    Pattern pattern = Pattern::hot_cell;
    AbnormalityClass abnormality = AbnormalityClass::none;
    double class_probability = kNaN;
    Uncertain<KelvinDelta> delta_t_1000;
    double exponent = kNaN;
};

struct SurveyRecord {
    std::string program;  // that made it, e.g. "heatrow 0.1.0"
    std::string survey_id;
    std::string title;
    std::string profile_id;
    std::string profile_version;
    std::string profile_title;
    std::vector<LimitLine> limits;
    SurveyStatement stated;
    RunDescription run;
    Layout layout;
    std::vector<FrameResult> frames;          // in frame order
    std::vector<PlacedView> views;            // by frame, then module
    std::vector<ModuleResult> modules;        // one per module of the layout, in its order
    std::vector<StringResult> strings;        // one per string of the layout, in its order
    std::vector<ControlResult> control;       // known pixels and control points, as they were given
    std::vector<Finding> findings;            // by class (3 first), then scaled difference, then id
    std::map<std::string, AsFound> as_found;  // by finding id; of those that a reviewer gave another pattern
    std::vector<FindingPicture> pictures;
    std::vector<FindingCrop> crops;                // at most one a finding
    std::vector<VisiblePicture> visible_pictures;  // at most one a finding
    std::vector<ReviewEntry> review_log;  // as decided, oldest first; `verdict` of a finding is that of its last entry
    std::vector<std::string> notes;       // what the reader must know: limits missed, frames left out
};

// The first breach of what must hold in a record (one result per module and string, indices in range, no class on a
// module that was not assessed, no NaN where a value is promised), in words; empty where all is well.
std::string first_breach(const SurveyRecord& record);

// The last entry of the review log on a finding; null where nothing was decided.
const ReviewEntry* last_review(const SurveyRecord& record, std::string_view finding);
WorkStatus work_status_of(const SurveyRecord& record, std::string_view finding);

// The program's pattern, whatever a reviewer gave it.
Pattern pattern_as_found(const SurveyRecord& record, const Finding& finding);

}  // namespace heatrow
