#include "page_parts.hpp"

#include "class_mark.hpp"
#include "heatrow/report/difference_scale.hpp"
#include "heatrow/report/markup.hpp"
#include "svg.hpp"

namespace heatrow {

std::string mark_of(AbnormalityClass abnormality) {
    const std::string number(class_mark(abnormality).number);
    return "<svg width=\"20\" height=\"20\" viewBox=\"-10 -10 20 20\" role=\"img\" aria-label=\"class " + number +
           "\"><use href=\"#mark-" + number + "\"/></svg>";
}

std::string class_mark_definitions() {
    std::string out;
    for (const AbnormalityClass abnormality : kGravestFirst) {
        out += "<g id=\"mark-" + std::string(class_mark(abnormality).number) + "\">" +
               class_mark_svg(abnormality, 0.0, 0.0) + "</g>\n";
    }
    return out;
}

std::string paragraph(std::string_view text, std::string_view attributes) {
    return "<p" + std::string(attributes.empty() ? "" : " ") + std::string(attributes) + ">" + escape_xml(text) +
           "</p>\n";
}

std::string sign() {
    Svg svg;
    svg.raw("<svg width=\"66\" height=\"18\" viewBox=\"0 0 66 18\" aria-hidden=\"true\">");
    for (int i = 0; i < 5; ++i) {
        const std::size_t step = i == 2 ? 36U : (i == 3 ? 25U : 20U);
        svg.rect(1.0 + 13.0 * i, 1.0, 11.0, 12.0, "fill=\"" + to_hex(scale_colours()[step]) + "\" stroke=\"#1c2330\"");
    }
    svg.line(1.0, 16.0, 64.0, 16.0, "stroke=\"#3f6f73\" stroke-width=\"2\"");
    return svg.raw("</svg>").str();
}

std::string figure_box(const std::string& value, std::string_view caption) {
    return "<div><b>" + value + "</b><span>" + escape_xml(caption) + "</span></div>\n";
}

std::string table_cell(std::string_view text, std::string_view css_class) {
    return (css_class.empty() ? "<td>" : "<td class=\"" + std::string(css_class) + "\">") + escape_xml(text) + "</td>";
}

std::string table_head(const std::vector<std::string>& names, std::size_t first_number) {
    std::string out = "<thead><tr>";
    std::size_t i = 0;
    for (const std::string& name : names) {
        out += std::string("<th scope=\"col\"") + (i >= first_number ? " class=\"number\">" : ">") + escape_xml(name) +
               "</th>";
        ++i;
    }
    return out + "</tr></thead>\n";
}

}  // namespace heatrow
