#include "heatrow/report/joint_page.hpp"

#include "class_mark.hpp"
#include "heatrow/report/markup.hpp"
#include "heatrow/report/number_text.hpp"
#include "joint_ladder.hpp"
#include "page_assets.hpp"
#include "page_parts.hpp"
#include "ribbon_legend.hpp"

#include <algorithm>

namespace heatrow {
namespace {

constexpr std::string_view kReading =
    "Each line is one joint: its rise over the air with the 95 % interval, at the load named above. The upright bar is "
    "the "
    "median of its siblings (the cooler of two), the band between them the difference that is judged. The axis is the "
    "same for all groups.";
constexpr std::string_view kOwnStyle =
    ".ladder { display: block; width: 100%; height: auto; margin: .3rem 0; background: #fff; }\n"
    ".joint { break-inside: avoid; border-left: 6px solid var(--ink); padding: .3rem 0 .3rem 1rem; margin: .8rem 0; }\n"
    ".joint.c3 { border-color: #d55e00; } .joint.c2 { border-color: #e69f00; }\n"
    ".joint b { font-size: 1.05rem; }\n"
    "figure { margin: 1rem 0 1.6rem; break-inside: avoid; } figure svg { max-width: 100%; height: auto; border: 1px "
    "solid "
    "var(--rule); }\n"
    "section.group { break-inside: avoid; margin-bottom: 1.6rem; }\n"
    ".sign-off { display: grid; grid-template-columns: repeat(3, 1fr); gap: 2.6rem 1.6rem; margin-top: 2.4rem; }\n"
    ".sign-off span { border-top: 1px solid var(--ink); padding-top: .2rem; color: var(--quiet); font-size: .88rem; }\n"
    "table.fine td { font-size: .9rem; } table.fine th.number { white-space: normal; }\n"
    "td.whole { white-space: nowrap; }\n"
    "@media print { @page { size: A4 portrait; margin: 12mm; } table.fine td, table.fine th { font-size: 8.5px; "
    "padding: "
    ".25rem .35rem; } figure svg { max-height: 215mm; } .figures b { font-size: 1.4rem; } h1 { font-size: 1.6rem; } h2 "
    "{ "
    "margin-top: 1.2rem; } .caution li { line-height: 1.3; } footer { margin-top: 1.2rem; padding: .4rem 0 0; "
    "font-size: 8.5px; } #groups, #groups + p "
    "{ break-after: avoid; } }\n";

std::string bounded(const JointLine& joint, const Uncertain<KelvinDelta>& value) {
    return (joint.lower_bound && value.is_known() ? "at least " : "") + with_u95_text(value, 1);
}

std::string class_cell(const JointLine& joint) {
    return "<td>" + (joint.abnormality ? mark_of(*joint.abnormality) : std::string("not judged")) + "</td>";
}

std::string top(const JointPage& page) {
    std::string out =
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; "
        "img-src data:\">\n<title>Electrical joints: " +
        escape_xml(page.list) + "</title>\n<style>\n" + std::string(page_style()) + std::string(kOwnStyle) +
        "</style>\n</head>\n<body>\n";
    out += "<svg width=\"0\" height=\"0\" style=\"position:absolute\" aria-hidden=\"true\"><defs>\n" +
           hatch_definition() + class_mark_definitions() + "</defs></svg>\n";
    out += "<header class=\"top\">\n<div class=\"maker\">" + sign() + escape_xml(page.program) + "</div>\n<h1>" +
           "Electrical joints</h1>\n";
    out += paragraph(page.list + " · profile " + page.profile + ": " + page.profile_title,
                     "class=\"quiet\" style=\"max-width:none\"");
    out += "<div class=\"caution\"><strong>Live work.</strong><ul>\n";
    for (const std::string& caution : page.cautions) {
        out += "<li>" + escape_xml(caution) + "</li>\n";
    }
    return out + "</ul></div>\n</header>\n<main>\n";
}

std::string summary(const JointPage& page) {
    std::string out = "<h2 id=\"summary\">Summary</h2>\n<div class=\"figures\">\n";
    for (const AbnormalityClass abnormality : kGravestFirst) {
        const auto count = std::count_if(page.joints.begin(), page.joints.end(), [abnormality](const JointLine& joint) {
            return joint.abnormality == abnormality;
        });
        out += figure_box(mark_of(abnormality) + std::to_string(count),
                          "joints of class " + std::string(class_mark(abnormality).number) + ", " +
                              std::string(class_mark(abnormality).words));
    }
    const auto open = std::count_if(
        page.joints.begin(), page.joints.end(), [](const JointLine& joint) { return !joint.abnormality; });
    out += figure_box(std::to_string(open), "joints not judged: not called healthy");
    return out + "</div>\n";
}

std::string findings(const JointPage& page) {
    std::vector<const JointLine*> hot;
    for (const JointLine& joint : page.joints) {
        if (joint.abnormality && *joint.abnormality != AbnormalityClass::none) {
            hot.push_back(&joint);
        }
    }
    std::stable_sort(hot.begin(), hot.end(), [](const JointLine* a, const JointLine* b) {
        return *a->abnormality > *b->abnormality;
    });
    std::string out = "<h2 id=\"findings\">What to do</h2>\n";
    if (hot.empty()) {
        return out + paragraph("No judged joint reaches a step of the profile.");
    }
    for (const JointLine* joint : hot) {
        const std::string number(class_mark(*joint->abnormality).number);
        out += "<div class=\"joint c" + number + "\"><b>" + mark_of(*joint->abnormality) + " " + escape_xml(joint->id) +
               "</b> " + escape_xml(joint->group + (joint->phase.empty() ? "" : " · " + joint->phase)) + "\n";
        out += paragraph(joint->action, "class=\"line\"");
        out += paragraph(
            joint->evidence + " Probability that the class is right: " + fixed_text(joint->probability, 2) + ".",
            "class=\"line\"");
        out += paragraph(joint->limit, "class=\"line quiet\"");
        if (!joint->note.empty()) {
            out += paragraph("Note: " + joint->note, "class=\"line\"");
        }
        out += "</div>\n";
    }
    return out;
}

std::string group_table(const JointPage& page, const std::vector<const JointLine*>& joints) {
    std::string out = "<table class=\"fine\">" + table_head({"Class",
                                                             "Joint",
                                                             "Phase",
                                                             "Looked at",
                                                             "Cover, load held",
                                                             "°C",
                                                             "A of rated",
                                                             "Load",
                                                             "Rise as measured, K",
                                                             "Rise " + page.load_words + ", K",
                                                             "Over siblings, K"},
                                                            5);
    out += "<tbody>\n";
    for (const JointLine* joint : joints) {
        out += "<tr>" + class_cell(*joint) + table_cell(joint->id, "whole") + table_cell(joint->phase) +
               table_cell(joint->surface) + table_cell(joint->timing, "whole") +
               table_cell(joint->temperature.is_known() ? fixed_text(joint->temperature.value(), 1) : "–", "number") +
               table_cell(short_text(joint->current_a, 1) + " of " + short_text(joint->rated_a, 1), "number") +
               table_cell(fixed_text(100.0 * joint->load_fraction, 0) + " %", "number") +
               table_cell(with_u95_text(joint->rise, 1), "number") +
               table_cell(bounded(*joint, joint->rise_at_load), "number") +
               table_cell(bounded(*joint, joint->over_siblings), "number") + "</tr>\n";
    }
    return out + "</tbody></table>\n";
}

std::string groups(const JointPage& page) {
    std::string out = "<h2 id=\"groups\">Siblings, " + escape_xml(page.load_words) + "</h2>\n" + paragraph(kReading);
    std::vector<std::string> names;
    for (const JointLine& joint : page.joints) {
        if (std::find(names.begin(), names.end(), joint.group) == names.end()) {
            names.push_back(joint.group);
        }
    }
    const KelvinDelta end = ladder_end(page.joints);
    for (const std::string& name : names) {
        std::vector<const JointLine*> members;
        for (const JointLine& joint : page.joints) {
            if (joint.group == name) {
                members.push_back(&joint);
            }
        }
        out += "<section class=\"group\"><h3>" + escape_xml(name.empty() ? std::string("Without a group") : name) +
               "</h3>\n" + joint_ladder_svg(members, end) + group_table(page, members) + "</section>\n";
    }
    return out;
}

std::string thermograms(const JointPage& page) {
    if (page.frames.empty()) {
        return {};
    }
    std::string out = "<h2 id=\"thermograms\">Thermograms</h2>\n";
    for (const JointPageFrame& frame : page.frames) {
        out += "<figure aria-label=\"" + escape_xml(frame.name) + "\">\n" + frame.svg + "</figure>\n";
    }
    return out;
}

std::string remarks(const JointPage& page) {
    std::string rows;
    for (const JointLine& joint : page.joints) {
        for (const std::string& reason : joint.reasons) {
            rows += "<tr>" + table_cell(joint.id, "whole") + table_cell(reason) + "</tr>\n";
        }
    }
    if (rows.empty()) {
        return {};
    }
    return "<h2 id=\"remarks\">Not judged, and what else to know</h2>\n" +
           paragraph("What could not be judged is not called healthy.") + "<table class=\"fine\">" +
           table_head({"Joint", "Place, value and remedy"}, 9) + "<tbody>\n" + rows + "</tbody></table>\n";
}

std::string limits(const JointPage& page) {
    const auto table = [](std::string_view name, const std::vector<JointPageLimit>& lines) {
        std::string out =
            "<table class=\"fine\">" + table_head({std::string(name), "Value", "Source"}, 9) + "<tbody>\n";
        for (const JointPageLimit& line : lines) {
            out += "<tr>" + table_cell(line.name) + table_cell(line.value) + table_cell(line.source) + "</tr>\n";
        }
        return out + "</tbody></table>\n";
    };
    return "<h2 id=\"limits\">Limits</h2>\n" +
           paragraph(
               "V1: read in the primary text; V2: in a text that restates it; M: from memory; C: computed. None "
               "is a standard's limit unless it says V1.") +
           table("Step", page.steps) + "<br>" + table("Figure", page.figures);
}

std::string sign_off() {
    std::string out = "<h2>Sign-off</h2>\n<div class=\"sign-off\">";
    for (const std::string_view label : {"Measured by, qualification",
                                         "Camera, serial number, last calibration",
                                         "Date and time of the thermograms",
                                         "Judged by, qualification",
                                         "Told to (class 3), date and time",
                                         "Signature"}) {
        out += "<span>" + escape_xml(label) + "</span>";
    }
    return out + "</div>\n";
}

}  // namespace

std::string joint_page_html(const JointPage& page) {
    return top(page) + summary(page) + findings(page) + groups(page) + thermograms(page) + remarks(page) +
           limits(page) + sign_off() + "<footer>" +
           escape_xml(page.program + " · " + page.list + " · profile " + page.profile +
                      " · The program follows the practice of IEC TS 62446-3 where its profile says so; it does not "
                      "certify compliance.") +
           "</footer>\n</main>\n</body>\n</html>\n";
}

}  // namespace heatrow
