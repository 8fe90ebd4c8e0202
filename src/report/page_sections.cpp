#include "page_sections.hpp"

#include "class_mark.hpp"
#include "conditions_text.hpp"
#include "heatrow/report/markup.hpp"
#include "heatrow/report/number_text.hpp"
#include "page_parts.hpp"
#include "page_texts.hpp"
#include "ribbon_legend.hpp"
#include "svg.hpp"

#include <algorithm>
#include <array>
#include <string_view>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
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

AbnormalityClass gravest(const ReportModel& model, const StringView& string) {
    AbnormalityClass found = AbnormalityClass::none;
    for (const int finding : string.findings) {
        const Finding& one = model.record->findings[at(finding)];
        found = one.verdict == Verdict::rejected ? found : std::max(found, one.abnormality);
    }
    return found;
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
           "<label>String <input type=\"search\" id=\"string\" list=\"string-names\" size=\"10\"></label>"
           "<datalist id=\"string-names\"></datalist>"
           "<label>Flag <select id=\"flag\"><option value=\"\">any or none</option></select></label>"
           "<label>Review <select id=\"verdict\"><option value=\"\">all</option><option value=\"open\">open</option>"
           "<option value=\"confirmed\">confirmed</option><option value=\"rejected\">rejected</option>"
           "<option value=\"here\">decided here</option></select></label>"
           "<label>Contains <input type=\"search\" id=\"search\" placeholder=\"module, table, words\" size=\"18\">"
           "</label><button class=\"small\" type=\"reset\">Show all</button>"
           "<span id=\"count\" role=\"status\"></span></form>\n";
}

std::string map_key() {
    const auto entry = [](std::string_view style, std::string_view words) {
        return "<span><i " + std::string(style) + "></i>" + std::string(words) + "</span>";
    };
    return "<p class=\"mapkey line quiet\">" + entry("style=\"background:#a9c3c1\"", "assessed, no abnormality") +
           entry("style=\"background:#e69f00\"", "class 2") + entry("style=\"background:#d55e00\"", "class 3") +
           entry("class=\"hatched\"", "not assessed: not called healthy") + "</p>\n";
}

}  // namespace

std::string summary_section(const ReportModel& model) {
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
    if (const std::string rejected = rejected_text(*model.record); !rejected.empty()) {
        out += paragraph(rejected);
    }
    for (const std::string& note : model.record->notes) {
        out += paragraph(note);
    }
    return out;
}

std::string plan_section() {
    Svg north;
    north.raw("<svg class=\"north\" width=\"26\" height=\"36\" viewBox=\"-13 -18 26 36\" aria-hidden=\"true\">");
    north.path("M0-16L8 6L0 1L-8 6z", "fill=\"#1c2330\"");
    north.text(0.0, 17.0, "N", {.size = 11.0, .anchor = Anchor::middle, .bold = true});
    north.raw("</svg>");
    return "<h2 id=\"plan\">Site plan</h2>\n"
           "<div class=\"mapbar\"><button class=\"small\" id=\"zoom-in\" type=\"button\">Larger</button>"
           "<button class=\"small\" id=\"zoom-out\" type=\"button\">Smaller</button>"
           "<button class=\"small\" id=\"zoom-all\" type=\"button\">Whole site</button>"
           "<span class=\"quiet\">A mark opens its finding, a module its string. The marks are those of the findings "
           "listed below that were not rejected.</span></div>\n"
           "<div class=\"mapframe\"><div id=\"map\" role=\"application\" tabindex=\"0\" aria-label=\"Plan of the site, "
           "north up. Arrow keys move it, plus and minus change its scale. The same findings stand in the table "
           "below.\"></div>" +
           north.str() + "</div>\n<p id=\"map-told\" class=\"line\">\u00a0</p>\n" + map_key();
}

std::string findings_section(const ReportModel& model) {
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
           "<div class=\"tablebox\" tabindex=\"0\" role=\"region\" aria-label=\"Findings\"><table id=\"finding-table\">"
           "</table></div>\n" +
           paragraph(
               "± is the half width of the 95 % interval. ΔT: difference from the reference. A module opens its "
               "finding. •: decided here, not yet handed over.",
               "class=\"quiet\"");
}

std::string strings_section(const ReportModel& model) {
    std::string out = "<h2 id=\"strings\">Strings</h2>\n" + paragraph(kRibbonText) + "<ul class=\"strings\">\n";
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
    Svg legend;
    legend.raw(open_drawing(1000.0, kLegendHeight, ""));
    draw_legend(legend, model.scale);
    return out + "</ul>\n<div class=\"legend\" id=\"legend\">" + legend.raw("</svg>").str() + "</div>\n";
}

std::string coverage_section(const ReportModel& model) {
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

std::string conditions_section(const ReportModel& model) {
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
                     (model.record->profile_title.empty() ? "." : ": " + model.record->profile_title + "."));
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

std::string review_section() {
    return "<h2 id=\"review\">Review</h2>\n" + paragraph(kReviewText) +
           "<div class=\"reviewbar\"><label>Reviewer <input type=\"text\" id=\"reviewer\" autocomplete=\"name\" "
           "size=\"24\"></label><button class=\"small\" type=\"button\" id=\"export\">Save decisions</button>"
           "<label class=\"small\">Read decisions<input type=\"file\" id=\"import\" accept=\".json\"></label></div>\n"
           "<p id=\"review-count\" class=\"line\" role=\"status\"></p>\n<p id=\"review-note\" class=\"line\" "
           "role=\"status\"></p>\n";
}

std::string reading_section() {
    std::string out = "<h2 id=\"reading\">How to read this</h2>\n<dl class=\"terms\">\n";
    for (const auto& [term, meaning] : kTerms) {
        out += "<dt>" + escape_xml(term) + "</dt><dd>" + escape_xml(meaning) + "</dd>\n";
    }
    out += "<dt>Keys</dt><dd>";
    for (const auto& [key, what] : kKeys) {
        out += "<kbd>" + escape_xml(key) + "</kbd> " + escape_xml(what) + ". ";
    }
    out += "<label class=\"line\"><input type=\"checkbox\" id=\"keys\" checked> keys in use</label></dd>\n";
    return out + "</dl>\n<h2 id=\"cautions\">Cautions</h2>\n<ul>\n" + caution_items() + "</ul>\n";
}

}  // namespace heatrow
