#include "report_data.hpp"

#include "conditions_text.hpp"
#include "heatrow/report/markup.hpp"
#include "heatrow/report/number_text.hpp"
#include "heatrow/report/temperature_scale.hpp"
#include "page_finding_data.hpp"

namespace heatrow {
namespace {

std::string number(double value, int decimals) {
    const std::string text = short_text(value, decimals);
    return text.empty() ? "null" : text;
}

// [[start, length], ...] of the rows or columns of a type, m.
std::string spans_json(const ModuleType& type, bool rows) {
    std::string out = "[";
    for (int i = 0; i < (rows ? type.rows : type.columns); ++i) {
        const auto corners = type.cell_corners(rows ? CellIndex{i, 0} : CellIndex{0, i});
        const Eigen::Index axis = rows ? 1 : 0;
        out += (i == 0 ? "[" : ",[") + number(corners[0][axis], 4) + "," +
               number(corners[2][axis] - corners[0][axis], 4) + "]";
    }
    return out + "]";
}

std::string types_json(const SurveyRecord& record) {
    std::string out;
    for (const ModuleType& type : record.layout.types) {
        out += std::string(out.empty() ? "" : ",") + "{\"rows\":" + spans_json(type, true) +
               ",\"columns\":" + spans_json(type, false) + ",\"size\":[" + number(type.width.value(), 4) + "," +
               number(type.height.value(), 4) + "]}";
    }
    return "[" + out + "]";
}

std::string work_statuses_json() {
    std::string list;
    for (int i = 0; i < kWorkStatusCount; ++i) {
        list += (i == 0 ? "" : ",") + json_string(to_string(static_cast<WorkStatus>(i)));
    }
    return "[" + list + "]";
}

std::string patterns_json() {
    std::string out;
    for (int i = 0; i < kPatternCount; ++i) {
        const std::string_view name = to_string(static_cast<Pattern>(i));
        out += (out.empty() ? "" : ",") + json_string(name) + ":" + json_string(in_words(name));
    }
    return "{" + out + "}";
}

std::string colours_json() {
    std::string out;
    for (const Colour& colour : scale_colours()) {
        out += (out.empty() ? "\"" : ",\"") + to_hex(colour) + "\"";
    }
    return "[" + out + "]";
}

// Limits and colours of the thermal pictures; null without pictures.
std::string picture_scale_json(const SurveyRecord& record) {
    if (record.pictures.empty()) {
        return "null";
    }
    constexpr int kStops = 12;
    std::string colours;
    for (int i = 0; i <= kStops; ++i) {
        colours += (i == 0 ? "\"" : ",\"") + to_hex(palette_colour(Palette::inferno, double{1.0} * i / kStops)) + "\"";
    }
    const FindingPicture& first = record.pictures.front();
    return "{\"low\":" + json_string(fixed_text(first.low.value(), 0) + " °C") +
           ",\"high\":" + json_string(fixed_text(first.high.value(), 0) + " °C") + ",\"colours\":[" + colours + "]}";
}

std::string string_json(const ReportModel& model, const StringView& string) {
    std::string findings;
    for (const int finding : string.findings) {
        findings += (findings.empty() ? "" : ",") + std::to_string(finding);
    }
    return "{\"title\":" + json_string(string.title) +
           ",\"heading\":" + json_string((string.string == -1 ? "" : "String ") + string.title) +
           ",\"file\":" + json_string(string.file_stem + ".svg") +
           ",\"counts\":" + json_string(string_count_text(model, string)) +
           ",\"conditions\":" + json_string(conditions_text(string.conditions)) + ",\"findings\":[" + findings + "]}";
}

}  // namespace

std::string report_data_json(const ReportModel& model) {
    const SurveyRecord& record = *model.record;
    std::string out = "{\"survey\":" + json_string(record.survey_id) + ",\"title\":" + json_string(record.title) +
                      ",\"limit\":" + number(model.scale.limit().value(), 1) + ",\"colours\":" + colours_json() +
                      ",\n\"types\":" + types_json(record) + ",\n\"patterns\":" + patterns_json() +
                      ",\n\"workStatuses\":" + work_statuses_json() +
                      ",\n\"pictureScale\":" + picture_scale_json(record) + ",\n\"strings\":[";
    for (std::size_t i = 0; i < model.strings.size(); ++i) {
        out += (i == 0 ? "\n" : ",\n") + string_json(model, model.strings[i]);
    }
    out += "],\n\"findings\":[";
    const std::vector<std::string> findings = page_findings_json(model);
    for (std::size_t i = 0; i < findings.size(); ++i) {
        out += (i == 0 ? "\n" : ",\n") + findings[i];
    }
    out += "],\n\"log\":[";
    for (std::size_t i = 0; i < record.review_log.size(); ++i) {
        const ReviewEntry& entry = record.review_log[i];
        out += std::string(i == 0 ? "\n" : ",\n") + "{\"finding\":" + json_string(entry.finding) +
               ",\"words\":" + json_string(review_words(entry)) + "}";
    }
    return out + "]}\n";
}

}  // namespace heatrow
