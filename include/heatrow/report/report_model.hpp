// What every page and drawing shows, made once from the record.
#pragma once

#include "heatrow/record/geographic_point.hpp"
#include "heatrow/record/survey_record.hpp"
#include "heatrow/report/difference_scale.hpp"

#include <Eigen/Core>

#include <array>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// What the record does not know.
struct ReportContext {
    std::function<GeographicPoint(const Eigen::Vector3d& point_in_site)> locate;  // may be empty
    // Pictures beside the record, by their files: whether one is there, and its bytes. May be empty.
    std::function<bool(const std::string& file)> is_beside;
    std::function<std::string(const std::string& file)> read_beside;
};

// Range of a quantity over frames; NaN where nothing is known.
struct ValueRange {
    double low = kNaN;
    double median = kNaN;
    double high = kNaN;
};

struct ConditionsSummary {
    int frames = 0;
    ValueRange irradiance_w_m2;
    ValueRange wind_m_s;
    ValueRange air_c;
    ValueRange load_fraction;
    bool irradiance_is_modelled = false;  // in any frame
    UtcTime first{};
    UtcTime last{};
};

// One string as shown, or the group of modules without a string (string = -1, last).
struct StringView {
    int string = -1;
    std::string title;          // the string's id
    std::string file_stem;      // safe, unique name of its drawing: strings/<file_stem>.svg
    std::vector<int> modules;   // layout indices in wiring order
    std::vector<int> findings;  // indices in the record's findings, in its order
    int assessed = 0;
    ConditionsSummary conditions;  // over the frames used by its modules
};

struct ReasonCount {
    std::string reason;
    int count = 0;
};

struct LimitResult {
    LimitLine line;
    int frames_outside = 0;
    int frames_unknown = 0;  // in which the quantity was not recorded
};

struct ReportModel {
    const SurveyRecord* record = nullptr;  // outlives the model
    ReportContext context;
    DifferenceScale scale;                    // of cell differences at 1000 W/m2
    std::vector<StringView> strings;          // natural order
    std::vector<std::string> table_pictures;  // file, one a table of the layout
    ConditionsSummary conditions;             // over the scored frames; over all frames if none was scored
    std::vector<LimitResult> limits;
    int modules = 0;
    int modules_assessed = 0;
    std::vector<ReasonCount> not_assessed;     // by reason, most frequent first
    std::vector<ReasonCount> frames_left_out;  // by reason, most frequent first
    int frames_scored = 0;
    int frames_for_information = 0;          // read and placed, not scored
    std::array<int, 3> findings_of_class{};  // classes 1, 2, 3
};

// The record must hold (first_breach is empty) and outlive the model.
ReportModel make_report_model(const SurveyRecord& record, ReportContext context);

// "substring bypassed by cell" for substring_bypassed_by_cell.
std::string in_words(std::string_view name);

// Places where a finding is drawn: the module it is on and the cells it covers (cells, or those of its substrings, or
// all), as cell numbers row by row.
std::vector<int> cells_of_finding(const SurveyRecord& record, const Finding& finding);

// Where a finding lies on site: the middle of its cells, its module, or the middle module of its string.
Eigen::Vector3d position_of_finding(const SurveyRecord& record, const Finding& finding);

}  // namespace heatrow
