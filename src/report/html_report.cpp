#include "heatrow/report/html_report.hpp"

#include "conditions_text.hpp"
#include "heatrow/report/markup.hpp"
#include "packed_text.hpp"
#include "page_assets.hpp"
#include "page_parts.hpp"
#include "page_ribbons.hpp"
#include "page_sections.hpp"
#include "page_site_data.hpp"
#include "page_texts.hpp"
#include "placement_section.hpp"
#include "report_data.hpp"
#include "ribbon_legend.hpp"
#include "site_plan.hpp"
#include "svg.hpp"

#include <string>
#include <string_view>

namespace heatrow {
namespace {

// Shapes that the page's drawings refer to.
std::string shared_shapes(const SurveyRecord& record) {
    std::string out = "<svg width=\"0\" height=\"0\" style=\"position:absolute\" aria-hidden=\"true\"><defs>\n";
    out += hatch_definition();
    out += string_window_definition();
    out +=
        "<path id=\"site-base\" d=\"" + site_base_path(record) + "\" fill=\"" + std::string(kOtherModules) + "\"/>\n";
    return out + class_mark_definitions() + "</defs></svg>\n";
}

std::string page_head(const SurveyRecord& record) {
    return "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
           "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
           "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; "
           "script-src 'unsafe-inline'; img-src data: file: 'self'\">\n<title>" +
           escape_xml(record.title) + "</title>\n<style>\n" + std::string(page_style()) + std::string(report_style()) +
           "</style>\n</head>\n";
}

std::string page_top(const ReportModel& model) {
    const SurveyRecord& record = *model.record;
    std::string out = "<a class=\"skip\" href=\"#findings\">To the findings</a>\n<header class=\"top\">\n";
    out += "<div class=\"maker\">" + sign() + escape_xml(model.record->program) + "</div>\n";
    out += "<h1>" + escape_xml(record.title) + "</h1>\n";
    std::string line = "Survey " + record.survey_id + " · " + conditions_text(model.conditions);
    out += paragraph(line, "class=\"quiet\" style=\"max-width:none\"");
    out += "<p class=\"caution\"><strong>Caution.</strong> " + escape_xml(kCaution) + "</p>\n</header>\n";
    out += "<nav class=\"page\" aria-label=\"Parts of this report\"><ul>";
    for (const auto& [id, name] : kParts) {
        out += "<li><a href=\"#" + std::string(id) + "\">" + std::string(name) + "</a></li>";
    }
    return out + "</ul></nav>\n";
}

std::string data_element(std::string_view id, std::string_view json) {
    return "<script type=\"application/json\" id=\"" + std::string(id) + "\">" + std::string(json) + "</script>\n";
}

}  // namespace

std::string html_report(const ReportModel& model) {
    const SurveyRecord& record = *model.record;
    std::string out = page_head(record) + "<body>\n" + shared_shapes(record) + "<div id=\"overview\">\n" +
                      page_top(model) + "<main>\n";
    out += summary_section(model) + plan_section() + findings_section(model) + strings_section(model) +
           review_section() + coverage_section(model) + placement_section(record) +
           conditions_section(model) + reading_section();
    out += "<footer>" +
           escape_xml(record.program + " · survey " + record.survey_id + " · profile " + record.profile_id + " " +
                      record.profile_version) +
           " · " + escape_xml(kScopeText) + " " + escape_xml(kMapCredit) +
           "</footer>\n</main>\n</div>\n<main id=\"detail\" hidden></main>\n<div id=\"pointer\" hidden></div>\n";
    out += data_element("data", report_data_json(model));
    out += data_element("ribbons", page_ribbons_json(model));
    out += data_element("site-data", "\"" + packed_text(page_site_json(model)) + "\"");
    return out + "<script>\n" + std::string(map_library_script()) + "</script>\n<script>\n" +
           std::string(report_script()) + "</script>\n</body>\n</html>\n";
}

}  // namespace heatrow
