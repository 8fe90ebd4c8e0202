// Building blocks of a GIS style in QML, the XML that QGIS keeps in layer_styles.
#pragma once

#include "gpkg_table.hpp"

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace heatrow::detail {

using StyleOptions = std::vector<std::pair<std::string_view, std::string>>;

// One layer of a symbol, e.g. "SimpleFill".
std::string symbol_layer(std::string_view kind, const StyleOptions& options);

// A filled outline, `width` in mm; colours as "red,green,blue,alpha".
std::string fill(std::string_view colour, std::string_view brush, std::string_view outline, std::string_view width);

struct StyleCategory {
    std::string value;
    std::string label;
    std::string layers;  // symbol_layer texts, the lowest first
};

// Features coloured by the value of a column; those with higher values of `order_by` (if not empty) are drawn later.
std::string categorised_renderer(std::string_view symbol_type,
                                 std::string_view column,
                                 const std::vector<StyleCategory>& categories,
                                 std::string_view order_by = "");
std::string single_renderer(std::string_view symbol_type, const std::string& layers);

// Labels with the text of a column.
std::string labels(std::string_view column, double size_pt);

// The whole style: renderer, labels (may be empty) and the columns' aliases.
std::string gis_style(const std::string& renderer, const std::string& labelling, const GpkgSchema& schema);

}  // namespace heatrow::detail
