// A plan of the array on one sheet of paper, to be checked and signed.
#pragma once

#include "heatrow/site/layout.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// Landscape, in points (1/72 inch).
struct Paper {
    std::string_view name;
    double width = 0.0;
    double height = 0.0;
};
// A4 to A0.
const std::vector<Paper>& paper_sizes();

struct LayoutSheet {
    const Layout* layout = nullptr;
    std::string title;
    std::string file;                 // name of the layout file
    std::string sha256;               // of its bytes
    std::string program;              // e.g. "heatrow 0.1.0"
    std::vector<std::string> doubts;  // what `layout check` found, in short; may be empty
    Paper paper;
};

// The paper lies as it shows the array larger, at the largest round scale. Modules coloured by string, wiring order as
// a line from the + end, ids where they can be read, north arrow, scale bar, counts, title block. Without clock or
// path: same layout, same bytes.
std::string layout_sheet_svg(const LayoutSheet& sheet);
std::string layout_sheet_pdf(const LayoutSheet& sheet);

}  // namespace heatrow
