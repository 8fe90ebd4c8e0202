#include "heatrow/report/evidence_page.hpp"

#include "heatrow/report/markup.hpp"
#include "heatrow/report/report_texts.hpp"
#include "page_assets.hpp"
#include "page_parts.hpp"

namespace heatrow {
namespace {

constexpr std::string_view kOwnStyle =
    "main { padding-top: 26px; }\n"
    ".item { padding: .4rem 0 1.2rem; break-inside: avoid; }\n"
    ".item h2 { margin: 0 0 .3rem; }\n"
    ".item dl, .whole dl { display: grid; grid-template-columns: max-content 1fr; gap: .15rem 1rem; margin: .5rem 0; "
    "}\n"
    ".item dt, .whole dt { color: var(--quiet); } .item dd, .whole dd { margin: 0; overflow-wrap: anywhere; }\n"
    ".item .side { display: flex; flex-wrap: wrap; gap: 1.6rem; align-items: flex-start; }\n"
    ".item .side > dl { flex: 1 1 20rem; }\n"
    ".item .shots { display: flex; flex-wrap: wrap; gap: .6rem; } .item .shots img { width: 200px; height: auto; }\n"
    ".lacking { border-left: 6px solid #e69f00; padding: .2rem 0 .2rem .9rem; margin: .6rem 0; }\n"
    ".lacking ul { margin: .2rem 0; columns: 18rem; }\n"
    "@media print { @page { size: A4 portrait; margin: 14mm; } }\n";

std::string pairs(const std::vector<std::pair<std::string, std::string>>& list) {
    std::string out = "<dl>";
    for (const auto& [name, value] : list) {
        out += "<dt>" + escape_xml(name) + "</dt><dd>" + escape_xml(value) + "</dd>";
    }
    return out + "</dl>\n";
}

std::string bullets(const std::vector<std::string>& lines) {
    std::string out = "<ul>";
    for (const std::string& line : lines) {
        out += "<li>" + escape_xml(line) + "</li>";
    }
    return out + "</ul>\n";
}

std::string lacking(std::string_view head, const std::vector<std::string>& lines) {
    return lines.empty() ? std::string{}
                         : "<div class=\"lacking\"><b>" + escape_xml(head) + "</b>" + bullets(lines) + "</div>\n";
}

// A relative link to a file of the bundle; names may hold what means something else in an address.
std::string address(std::string_view file) {
    constexpr std::string_view kDigits = "0123456789ABCDEF";
    std::string out;
    for (const char c : file) {
        const auto byte = static_cast<unsigned char>(c);
        const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '/' ||
                           c == '.' || c == '-' || c == '_';
        out += plain ? std::string(1, c) : std::string{'%', kDigits[byte >> 4U], kDigits[byte & 15U]};
    }
    return out;
}

std::string item(const EvidenceItem& finding) {
    std::string out = "<section class=\"item\"><h2>" + mark_of(finding.abnormality) + " " +
                      escape_xml(finding.headline) + "</h2>\n" + paragraph(finding.evidence);
    out += "<div class=\"side\">" + pairs(finding.facts) + "<div class=\"shots\">";
    for (const std::string& picture : finding.pictures) {
        out += "<img src=\"" + address(picture) + "\" alt=\"" + escape_xml("Thermal picture, " + picture) + "\">";
    }
    out += "</div></div>\n";
    if (!finding.files.empty()) {
        out += "<h3>Files</h3><ul>";
        for (const auto& [kind, file] : finding.files) {
            out += "<li>" + escape_xml(kind) + ": <a href=\"" + address(file) + "\">" + escape_xml(file) + "</a></li>";
        }
        out += "</ul>\n";
    }
    if (!finding.decisions.empty()) {
        out += "<h3>Decided</h3>" + bullets(finding.decisions);
    }
    return out + lacking("Missing", finding.missing) + "</section>\n";
}

}  // namespace

std::string evidence_page_html(const EvidencePage& page) {
    std::string out =
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src 'self' file:; style-src "
        "'unsafe-inline'\">\n<title>" +
        escape_xml(page.title) + "</title>\n<style>\n" + std::string(page_style()) + std::string(kOwnStyle) +
        "</style>\n</head>\n<body>\n<svg width=\"0\" height=\"0\" style=\"position:absolute\" "
        "aria-hidden=\"true\"><defs>\n" +
        class_mark_definitions() + "</defs></svg>\n<main>\n<p class=\"line quiet\">" + sign() + " Evidence</p>\n<h1>" +
        escape_xml(page.title) + "</h1>\n" + paragraph(page.claim, "class=\"lead\"");
    out += "<div class=\"whole\">" + pairs(page.facts) + "</div>\n" + lacking("Missing for the survey", page.missing);
    for (const EvidenceItem& finding : page.items) {
        out += item(finding);
    }
    out += "<h2>Cautions</h2>\n<div class=\"caution\"><ul>";
    for (const std::string_view caution : report_cautions()) {
        out += "<li>" + escape_xml(caution) + "</li>";
    }
    return out + "</ul></div>\n<footer>" + escape_xml(page.foot) + "</footer>\n</main>\n</body>\n</html>\n";
}

}  // namespace heatrow
