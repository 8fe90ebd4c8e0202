#include "gis_style.hpp"

#include "heatrow/report/markup.hpp"
#include "heatrow/report/number_text.hpp"

namespace heatrow::detail {
namespace {

std::string attribute(std::string_view name, std::string_view value) {
    return " " + std::string(name) + "=\"" + escape_xml(value) + "\"";
}

std::string symbol(std::string_view type, std::string_view name, const std::string& layers) {
    return "<symbol" + attribute("type", type) + attribute("name", name) +
           " alpha=\"1\" clip_to_extent=\"1\" force_rhr=\"0\">" + layers + "</symbol>\n";
}

}  // namespace

std::string symbol_layer(std::string_view kind, const StyleOptions& options) {
    std::string text = "<layer" + attribute("class", kind) + " enabled=\"1\" locked=\"0\" pass=\"0\">";
    text += "<Option type=\"Map\">";
    for (const auto& [name, value] : options) {
        text += "<Option type=\"QString\"" + attribute("name", name) + attribute("value", value) + "/>";
    }
    return text + "</Option></layer>";
}

std::string fill(std::string_view colour, std::string_view brush, std::string_view outline, std::string_view width) {
    return symbol_layer("SimpleFill",
                        {{"color", std::string(colour)},
                         {"style", std::string(brush)},
                         {"outline_color", std::string(outline)},
                         {"outline_style", "solid"},
                         {"outline_width", std::string(width)},
                         {"outline_width_unit", "MM"}});
}

std::string categorised_renderer(std::string_view symbol_type,
                                 std::string_view column,
                                 const std::vector<StyleCategory>& categories,
                                 std::string_view order_by) {
    std::string text = "<renderer-v2 type=\"categorizedSymbol\"" + attribute("attr", column) +
                       " symbollevels=\"0\" forceraster=\"0\"" +
                       attribute("enableorderby", order_by.empty() ? "0" : "1") + ">\n<categories>\n";
    std::string symbols;
    for (std::size_t i = 0; i < categories.size(); ++i) {
        const std::string name = std::to_string(i);
        text += "<category" + attribute("value", categories[i].value) + attribute("label", categories[i].label) +
                attribute("symbol", name) + " render=\"true\"/>\n";
        symbols += symbol(symbol_type, name, categories[i].layers);
    }
    text += "</categories>\n<symbols>\n" + symbols + "</symbols>\n";
    if (!order_by.empty()) {
        text += "<orderby><orderByClause asc=\"1\" nullsFirst=\"1\">&quot;" + escape_xml(order_by) +
                "&quot;</orderByClause></orderby>\n";
    }
    return text + "</renderer-v2>\n";
}

std::string single_renderer(std::string_view symbol_type, const std::string& layers) {
    return "<renderer-v2 type=\"singleSymbol\" symbollevels=\"0\" forceraster=\"0\" enableorderby=\"0\">\n<symbols>\n" +
           symbol(symbol_type, "0", layers) + "</symbols>\n</renderer-v2>\n";
}

std::string labels(std::string_view column, double size_pt) {
    return "<labeling type=\"simple\"><settings><text-style" + attribute("fieldName", column) +
           attribute("fontSize", short_text(size_pt, 1)) +
           " fontSizeUnit=\"Point\" fontFamily=\"DejaVu Sans\" textColor=\"28,35,48,255\" isExpression=\"0\">"
           "<text-buffer bufferDraw=\"1\" bufferSize=\"0.8\" bufferColor=\"255,255,255,255\" bufferSizeUnits=\"MM\"/>"
           "</text-style><placement placement=\"2\" placementFlags=\"10\"/></settings></labeling>\n";
}

std::string gis_style(const std::string& renderer, const std::string& labelling, const GpkgSchema& schema) {
    std::string text = "<!DOCTYPE qgis PUBLIC 'http://mrcc.com/qgis.dtd' 'SYSTEM'>\n<qgis version=\"3.22.16\"" +
                       attribute("labelsEnabled", labelling.empty() ? "0" : "1") +
                       " styleCategories=\"Symbology|Labeling|Fields\">\n";
    text += renderer + labelling + "<aliases>\n";
    int index = 1;  // column 0 is the row id
    for (const GpkgColumn& column : schema.columns) {
        text += "<alias" + attribute("field", column.name) + attribute("index", std::to_string(index++)) +
                attribute("name", column.alias) + "/>\n";
    }
    return text + "</aliases>\n</qgis>\n";
}

}  // namespace heatrow::detail
