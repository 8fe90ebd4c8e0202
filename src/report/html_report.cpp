#include "heatrow/report/html_report.hpp"

#include "class_mark.hpp"
#include "conditions_text.hpp"
#include "heatrow/report/markup.hpp"
#include "heatrow/report/number_text.hpp"
#include "heatrow/report/string_ribbon.hpp"
#include "page_assets.hpp"
#include "page_parts.hpp"
#include "page_texts.hpp"
#include "placement_section.hpp"
#include "report_data.hpp"
#include "ribbon_legend.hpp"
#include "site_map.hpp"
#include "site_plan.hpp"
#include "svg.hpp"

#include <array>
#include <string>
#include <string_view>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

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
           "script-src 'unsafe-inline'\">\n<title>" +
           escape_xml(record.title) + "</title>\n<style>\n" + std::string(page_style()) + "</style>\n</head>\n";
}

std::string page_top(const ReportModel& model) {
    const SurveyRecord& record = *model.record;
    std::string out = "<a class=\"skip\" href=\"#findings\">To the findings</a>\n<header class=\"top\">\n";
    out += "<div class=\"maker\">" + sign() + escape_xml(model.context.program) + "</div>\n";
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

std::string share_text(int part, int whole) {
    return whole == 0 ? "" : " (" + fixed_text(100.0 * part / whole, 1) + " %)";
}

std::string coverage_bar(const ReportModel& model) {
    const double share = model.modules == 0 ? 0.0 : static_cast<double>(model.modules_assessed) / model.modules;
    return "<svg class=\"coverage\" viewBox=\"0 0 1000 18\" preserveAspectRatio=\"none\" role=\"img\" "
           "aria-label=\"assessed share of the modules\"><rect width=\"1000\" height=\"18\" fill=\"url(#hatch)\"/>"
           "<rect width=\"" +
           px(1000.0 * share) + "\" height=\"18\" fill=\"#a9c3c1\"/></svg>\n";
}

std::string counts_table(std::string_view what, const std::vector<ReasonCount>& counts) {
    std::string out = "<table><thead><tr><th scope=\"col\">" + escape_xml(what) +
                      "</th><th scope=\"col\" class=\"number\">" + "Count</th></tr></thead><tbody>\n";
    for (const ReasonCount& line : counts) {
        out += "<tr><td>" + escape_xml(in_words(line.reason)) + "</td><td class=\"number\">" +
               std::to_string(line.count) + "</td></tr>\n";
    }
    return out + "</tbody></table>\n";
}

std::string summary(const ReportModel& model) {
    const int open = model.modules - model.modules_assessed;
    std::string out = "<h2 id=\"summary\">Summary</h2>\n<div class=\"figures\">\n";
    for (const AbnormalityClass abnormality : kGravestFirst) {
        const std::size_t index = at(static_cast<int>(abnormality) - 1);
        out += figure_box(mark_of(abnormality) + std::to_string(model.findings_of_class[index]),
                          "findings of class " + std::string(class_mark(abnormality).number) + ", " +
                              std::string(class_mark(abnormality).words));
    }
    out += figure_box(std::to_string(model.modules_assessed),
                      "of " + std::to_string(model.modules) + " modules assessed" +
                          share_text(model.modules_assessed, model.modules));
    out += figure_box(std::to_string(open), "modules not assessed: not called healthy");
    out += figure_box(std::to_string(model.frames_scored),
                      "of " + std::to_string(model.record->frames.size()) + " frames scored");
    out += "</div>\n" + coverage_bar(model);
    for (const std::string& note : model.record->notes) {
        out += paragraph(note);
    }
    return out;
}

std::string plan(const ReportModel& model) {
    return "<h2 id=\"plan\">Site plan</h2>\n"
           "<div class=\"mapbar\"><button class=\"small\" id=\"zoom-in\" type=\"button\">Larger</button>"
           "<button class=\"small\" id=\"zoom-out\" type=\"button\">Smaller</button>"
           "<button class=\"small\" id=\"zoom-all\" type=\"button\">Whole site</button>"
           "<span class=\"quiet\">A string opens its ribbon, a mark its finding. Keys: arrows, + and −.</span></div>\n"
           "<div class=\"map\" id=\"plan-window\" tabindex=\"0\" role=\"region\" aria-label=\"Plan, moved with the "
           "arrow keys\">\n" +
           site_map_svg(model) + "</div>\n";
}

std::string filters() {
    std::string out = "<form class=\"filters\" id=\"filters\"><fieldset><legend>Class</legend>";
    for (const AbnormalityClass abnormality : kGravestFirst) {
        const std::string number(class_mark(abnormality).number);
        out += "<label class=\"line\"><input type=\"checkbox\" name=\"class\" value=\"" + number + "\" checked> " +
               mark_of(abnormality) + "</label>";
    }
    return out +
           "</fieldset><label>Pattern <select id=\"pattern\"><option value=\"\">all</option></select></label>"
           "<label>Contains <input type=\"search\" id=\"search\" placeholder=\"module, string, words\"></label>"
           "<button class=\"small\" type=\"reset\">Show all</button>"
           "<span id=\"count\" aria-live=\"polite\"></span></form>\n";
}

std::string findings(const ReportModel& model) {
    std::string out = "<h2 id=\"findings\">Findings</h2>\n";
    if (model.record->findings.empty()) {
        return out +
               paragraph(model.modules_assessed > 0
                             ? "No finding on the " + std::to_string(model.modules_assessed) + " assessed modules."
                             : std::string("No module could be assessed, so there is no finding and no all-clear."));
    }
    return out + filters() +
           "<noscript><p>This table is drawn by the page's own script, which is switched off here. "
           "findings.csv beside this page holds the same.</p></noscript>\n"
           "<table id=\"finding-table\"><caption class=\"quiet\" style=\"text-align:left\">± is the half width of the "
           "95 % "
           "interval. ΔT: difference from the reference.</caption></table>\n";
}

AbnormalityClass gravest(const ReportModel& model, const StringView& string) {
    AbnormalityClass found = AbnormalityClass::none;
    for (const int finding : string.findings) {
        found = std::max(found, model.record->findings[at(finding)].abnormality);
    }
    return found;
}

std::string string_list(const ReportModel& model) {
    std::string out = "<ul class=\"strings\">\n";
    for (std::size_t i = 0; i < model.strings.size(); ++i) {
        const StringView& string = model.strings[i];
        out += "<li><a href=\"#s" + std::to_string(i) + "\">";
        if (!string.findings.empty()) {
            out += mark_of(gravest(model, string));
        }
        out += "<span>" + escape_xml(string.title) + "</span>";
        const std::size_t open = string.modules.size() - at(string.assessed);
        if (open > 0) {
            out += "<span class=\"quiet\">" + std::to_string(open) + " not assessed</span>";
        }
        out += "</a></li>\n";
    }
    return out + "</ul>\n";
}

std::string string_section(const ReportModel& model, std::size_t index) {
    const StringView& string = model.strings[index];
    std::string out = "<section class=\"string\" id=\"s" + std::to_string(index) + "\">\n<h3>" +
                      escape_xml((string.string == -1 ? "" : "String ") + string.title) + "</h3>\n";
    out += paragraph(string_count_text(model, string), "class=\"line\"");
    out += paragraph(conditions_text(string.conditions), "class=\"line quiet\"");
    out += "<div class=\"drawing\">" + string_ribbon_svg(model, string, RibbonUse::page) + "</div>\n";
    for (const int number : string.findings) {
        const Finding& finding = model.record->findings[at(number)];
        out += "<p class=\"line\">" + mark_of(finding.abnormality) + " <a href=\"#f" + std::to_string(number) + "\">" +
               escape_xml(finding_headline(*model.record, finding)) + "</a></p>\n";
    }
    return out + "</section>\n";
}

std::string strings(const ReportModel& model) {
    std::string out = "<h2 id=\"strings\">Strings</h2>\n";
    out += paragraph(kRibbonText) + string_list(model);
    Svg legend;
    legend.raw(open_drawing(1000.0, kLegendHeight, ""));
    draw_legend(legend, model.scale);
    out += "<div class=\"legend\">" + legend.raw("</svg>").str() + "</div>\n";
    for (std::size_t i = 0; i < model.strings.size(); ++i) {
        out += string_section(model, i);
    }
    return out;
}

std::string coverage(const ReportModel& model) {
    std::string out = "<h2 id=\"coverage\">What could not be assessed</h2>\n" + paragraph(kCoverageText);
    out += model.not_assessed.empty() ? paragraph("Every module of the layout was assessed.")
                                      : counts_table("Modules not assessed, reason", model.not_assessed);
    if (!model.frames_left_out.empty()) {
        out += "<br>" + counts_table("Frames left out, reason", model.frames_left_out);
    }
    if (model.frames_for_information > 0) {
        out += paragraph(std::to_string(model.frames_for_information) +
                         " frames were kept as information and not scored.");
    }
    return out;
}

std::string conditions(const ReportModel& model) {
    const ConditionsSummary& c = model.conditions;
    std::string out =
        "<h2 id=\"conditions\">Conditions and limits</h2>\n<table><thead><tr><th scope=\"col\">Quantity</th>"
        "<th scope=\"col\">Over the frames</th><th scope=\"col\">Median</th></tr></thead><tbody>\n";
    const auto row = [&out](std::string_view name, const ValueRange& range, int decimals, std::string_view unit) {
        out += "<tr><td>" + escape_xml(name) + "</td><td>" + escape_xml(range_text(range, decimals, unit)) +
               "</td><td>" + escape_xml(range_text({range.median, range.median, range.median}, decimals, unit)) +
               "</td></tr>\n";
    };
    row(c.irradiance_is_modelled ? "Irradiance in the module plane (modelled)" : "Irradiance in the module plane",
        c.irradiance_w_m2,
        0,
        "W/m²");
    row("Wind", c.wind_m_s, 1, "m/s");
    row("Air", c.air_c, 1, "°C");
    row("Load, share of the current at maximum power", c.load_fraction, 2, "");
    out += "</tbody></table>\n";
    if (model.limits.empty()) {
        return out;
    }
    out += paragraph("Held against the profile " + model.record->profile_id + ", version " +
                     model.record->profile_version +
                     (model.context.profile_title.empty() ? "." : ": " + model.context.profile_title + "."));
    out +=
        "<table><thead><tr><th scope=\"col\">Limit</th><th scope=\"col\">Value</th><th scope=\"col\">Outcome</th>"
        "<th scope=\"col\">Source</th></tr></thead><tbody>\n";
    const std::size_t frames = model.record->frames.size();
    for (const LimitResult& limit : model.limits) {
        const std::string outcome = limit_outcome_text(limit, frames);
        out += "<tr><td>" + escape_xml(limit.line.name) + "</td><td>" + escape_xml(limit.line.limit) + "</td><td>" +
               escape_xml(outcome) + "</td><td>" + escape_xml(limit.line.source) + "</td></tr>\n";
    }
    return out + "</tbody></table>\n";
}

std::string definitions() {
    std::string out = "<h2 id=\"reading\">How to read this</h2>\n<dl class=\"terms\">\n";
    for (const auto& [term, meaning] : kTerms) {
        out += "<dt>" + escape_xml(term) + "</dt><dd>" + escape_xml(meaning) + "</dd>\n";
    }
    return out + "</dl>\n<h2 id=\"cautions\">Cautions</h2>\n<ul>\n" + caution_items() + "</ul>\n";
}

}  // namespace

std::string html_report(const ReportModel& model) {
    std::string out =
        page_head(*model.record) + "<body>\n" + shared_shapes(*model.record) + page_top(model) + "<main>\n";
    out += summary(model) + plan(model) + findings(model) + strings(model) + coverage(model) +
           placement_section(*model.record) + conditions(model) + definitions();
    out += "<footer>" +
           escape_xml(model.context.program + " · survey " + model.record->survey_id + " · profile " +
                      model.record->profile_id + " " + model.record->profile_version) +
           " · " + escape_xml(kScopeText) + "</footer>\n</main>\n<div id=\"pointer\" hidden></div>\n";
    out += "<script type=\"application/json\" id=\"data\">" + report_data_json(model) + "</script>\n";
    return out + "<script>\n" + std::string(page_script()) + "</script>\n</body>\n</html>\n";
}

}  // namespace heatrow
