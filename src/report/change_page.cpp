#include "heatrow/report/change_page.hpp"

#include "change_drawings.hpp"
#include "heatrow/report/markup.hpp"
#include "heatrow/report/number_text.hpp"
#include "page_assets.hpp"
#include "page_parts.hpp"
#include "ribbon_legend.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

constexpr std::string_view kReading =
    "Differences are against like healthy neighbours of the same survey, at 1000 W/m² and the reference wind, so that "
    "sun "
    "and wind of the day cancel. A change counts where it is larger than the surveys can show by chance: 2.6 of its "
    "combined standard uncertainties where a finding names the part, more where all parts of a module were searched. "
    "± is the 95 % interval. In the drawings a filled point is a survey with a finding, an open one a survey without: "
    "what was measured there stands in its place, not zero.";
constexpr std::string_view kOwnStyle =
    "svg.plan { display: block; width: 100%; height: auto; border: 1px solid var(--rule); }\n"
    ".key { display: flex; flex-wrap: wrap; gap: .3rem 1.2rem; margin: .5rem 0; padding: 0; list-style: none; }\n"
    ".key li { display: inline-flex; gap: .35rem; align-items: center; }\n"
    "table.fine td { font-size: .9rem; } table.fine th.number { white-space: normal; }\n"
    "td.whole { white-space: nowrap; } #changes + p + table td { padding: .4rem .45rem; } td.history svg { display: "
    "block; }\n"
    "tr { break-inside: avoid; }\n"
    "@media print { @page { size: A4 landscape; margin: 12mm; } table.fine td, table.fine th { font-size: 8.5px; "
    "padding: .25rem .35rem; } .figures b { font-size: 1.4rem; } h1 { font-size: 1.6rem; } h2 { margin-top: 1.2rem; "
    "break-after: avoid; } }\n";

std::string top(const ChangePage& page) {
    const std::string surveys = page.surveys.front().id + " to " + page.surveys.back().id;
    std::string out =
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; "
        "img-src data:\">\n<title>What changed: " +
        escape_xml(surveys) + "</title>\n<style>\n" + std::string(page_style()) + std::string(kOwnStyle) +
        "</style>\n</head>\n<body>\n";
    out += "<svg width=\"0\" height=\"0\" style=\"position:absolute\" aria-hidden=\"true\"><defs>\n" +
           hatch_definition() + class_mark_definitions() + "</defs></svg>\n";
    out += "<header class=\"top\">\n<div class=\"maker\">" + sign() + escape_xml(page.program) +
           "</div>\n<h1>What changed, " + escape_xml(surveys) + "</h1>\n";
    out += paragraph(page.surveys.back().title + " · profile " + page.profile + ": " + page.profile_title,
                     "class=\"quiet\" style=\"max-width:none\"");
    return out + "</header>\n<main>\n";
}

std::string summary(const ChangePage& page) {
    const ChangePageStep& step = page.steps[page.shown];
    std::string out = "<h2 id=\"summary\">Since " + escape_xml(step.from) + "</h2>\n<div class=\"figures\">\n";
    for (int kind = 0; kind < kChangeMarks; ++kind) {
        const auto mark = static_cast<ChangeMark>(kind);
        out += figure_box(change_mark_svg(mark) + std::to_string(step.counts[static_cast<std::size_t>(kind)]),
                          std::string(change_words(mark)) +
                              (mark == ChangeMark::unchanged ? ": no more than the surveys can show by chance" : ""));
    }
    out += "</div>\n" +
           paragraph(std::to_string(step.compared) + " modules were compared; " + std::to_string(step.not_comparable) +
                     " were not, and are not called unchanged. Counts are of parts: a module may have "
                     "several.");
    for (const std::string& note : page.notes) {
        out += paragraph(note, "class=\"quiet\"");
    }
    return out;
}

std::string plan(const ChangePage& page) {
    std::string out = "<h2 id=\"plan\">Plan</h2>\n<ul class=\"key\">";
    for (int kind = 0; kind < kChangeMarks; ++kind) {
        const auto mark = static_cast<ChangeMark>(kind);
        out += "<li>" + change_mark_svg(mark) + escape_xml(change_words(mark)) + "</li>";
    }
    return out + "</ul>\n<div class=\"drawing\">" + change_plan_svg(page) + "</div>\n";
}

std::string probability_text(double p) {
    return std::isnan(p) ? "–" : p < 0.001 ? "< 0.001" : fixed_text(p, 3);
}

std::string patterns(const ChangeLine& line) {
    return line.pattern_before == line.pattern ? line.pattern : line.pattern_before + " → " + line.pattern;
}

std::string place_cell(const ChangeLine& line) {
    return "<td>" + escape_xml(line.place) +
           (line.renamed_from.empty() ? ""
                                      : "<br><span class=\"quiet\">was " + escape_xml(line.renamed_from) + "</span>") +
           "</td>";
}

std::string lines(const ChangePage& page) {
    const bool has_trend = page.surveys.size() > 2;
    std::string out = "<h2 id=\"changes\">Parts, gravest first</h2>\n" + paragraph(kReading);
    std::vector<std::string> names{
        "Change", "Class", "Module or string", "Part", "Pattern", "Over the surveys", "Change, K"};
    if (has_trend) {
        names.emplace_back("A year, K");
    }
    names.insert(names.end(), {"95 % found from, K", "By chance", "False discovery", "To know"});
    out += "<table class=\"fine\">" + table_head(names, 6) + "<tbody>\n";
    for (const ChangeLine& line : page.lines) {
        out += "<tr><td class=\"whole\">" + change_mark_svg(line.mark) + " " + escape_xml(change_words(line.mark)) +
               "</td><td>" + (line.abnormality ? mark_of(*line.abnormality) : std::string("–")) + "</td>" +
               place_cell(line) + table_cell(line.part) + table_cell(patterns(line)) + "<td class=\"history\">" +
               history_svg(line, page.surveys) + "</td>" +
               table_cell(line.change.is_known() ? with_u95_text(line.change, 1) : "–", "number");
        if (has_trend) {
            out += table_cell(line.per_year.is_known() ? with_u95_text(line.per_year, 1) : "–", "number");
        }
        out += table_cell(line.detectable.is_known() ? fixed_text(line.detectable.value(), 1) : "–", "number") +
               table_cell(probability_text(line.p), "number") +
               table_cell(probability_text(line.false_discovery), "number") + table_cell(line.reason) + "</tr>\n";
    }
    return out + "</tbody></table>\n";
}

std::string plain_table(const std::vector<std::string>& names,
                        const std::vector<ChangePageRow>& rows,
                        std::size_t first_number) {
    std::string out = "<table class=\"fine\">" + table_head(names, first_number) + "<tbody>\n";
    for (const ChangePageRow& row : rows) {
        out += "<tr>";
        std::size_t i = 0;
        for (const std::string& field : row.fields) {
            out += table_cell(field, i++ >= first_number ? "number" : "");
        }
        out += "</tr>\n";
    }
    return out + "</tbody></table>\n";
}

std::string number_or_dash(double value, int decimals) {
    return std::isnan(value) ? "–" : fixed_text(value, decimals);
}

std::string comparability(const ChangePage& page) {
    std::vector<ChangePageRow> surveys;
    for (const ChangePageSurvey& survey : page.surveys) {
        surveys.push_back({{survey.id,
                            survey.time,
                            survey.camera,
                            number_or_dash(survey.irradiance_w_m2, 0),
                            number_or_dash(survey.wind_m_s, 1),
                            number_or_dash(survey.air_c, 1),
                            std::to_string(survey.assessed) + " of " + std::to_string(survey.modules),
                            std::to_string(survey.findings)}});
    }
    std::vector<ChangePageRow> steps;
    for (const ChangePageStep& step : page.steps) {
        ChangePageRow row{{step.from + " → " + step.to, std::to_string(step.compared)}};
        for (const std::size_t level : {std::size_t{1}, std::size_t{2}, std::size_t{0}, std::size_t{3}}) {
            row.fields.push_back(number_or_dash(step.detectable_k[level], 2));
            row.fields.push_back(number_or_dash(step.detectable_finding_k[level], 2));
        }
        row.fields.push_back(number_or_dash(100.0 * step.scale_u, 1) + " %");
        row.fields.push_back(step.ratio.empty() ? "–" : step.ratio);
        steps.push_back(std::move(row));
    }
    return "<h2 id=\"surveys\">Surveys, in order of time</h2>\n" +
           plain_table(
               {"Survey", "First frame (UTC)", "Camera", "W/m²", "Wind, m/s", "Air, °C", "Assessed", "Findings"},
               surveys,
               3) +
           "<h2 id=\"detectable\">What could have been seen</h2>\n" +
           paragraph(
               "Medians of the change that is found in 95 %, 4.2 combined standard uncertainties, K: of parts "
               "without a finding, and of those with one, whose size brings the uncertainty of sun and wind in.") +
           plain_table({"Step",
                        "Modules compared",
                        "Substring",
                        "with finding",
                        "Module",
                        "with finding",
                        "Warmest cell",
                        "with finding",
                        "String",
                        "with finding",
                        "Sun and wind, u",
                        "Findings in both, later over earlier"},
                       steps,
                       1);
}

std::string remarks(const ChangePage& page) {
    std::string out;
    if (!page.reasons.empty()) {
        out += "<h2 id=\"not-comparable\">Not compared, and so not called unchanged</h2>\n" +
               plain_table({"Why", "Modules", "Which"}, page.reasons, 9);
    }
    if (!page.identities.empty()) {
        out += "<h2 id=\"identities\">Modules that the layouts do not share</h2>\n" +
               plain_table({"Survey", "What", "Id before", "Id now"}, page.identities, 9);
    }
    return out + "<h2 id=\"limits\">Limits</h2>\n" +
           paragraph(
               "V1: read in the primary text; V2: in a text that restates it; M: from memory; C: computed. Taken "
               "as common to all surveys, so that it cancels: a part's own healthy deviation, the glass's "
               "emissivity, the level of the heat loss. Taken as new in each: irradiance, wind, the camera's gain "
               "and point spread, noise.") +
           plain_table({"Figure", "Value", "Source"}, page.figures, 9);
}

}  // namespace

std::string change_page_html(const ChangePage& page) {
    return top(page) + summary(page) + plan(page) + lines(page) + comparability(page) + remarks(page) + "<footer>" +
           escape_xml(page.program + " · profile " + page.profile + " · differences at 1000 W/m² and " +
                      short_text(page.reference_wind_m_s, 1) +
                      " m/s · The program follows IEC TS 62446-3 practice; it does not certify compliance. Arrays stay "
                      "live in daylight: repairs are for qualified people.") +
           "</footer>\n</main>\n</body>\n</html>\n";
}

}  // namespace heatrow
