#include "heatrow/report/layout_sheet.hpp"

#include "heatrow/report/type_sheet.hpp"
#include "heatrow/site/array_description.hpp"
#include "string_colours.hpp"
#include "support/xml_check.hpp"

#include <catch2/catch.hpp>

#include <map>
#include <set>

using namespace heatrow;
using Catch::Matchers::Contains;

namespace {

ModuleType plain_type() {
    ModuleType type;
    type.id = "plain";
    type.width = Metres(1.0);
    type.height = Metres(1.6);
    type.rows = 4;
    type.columns = 2;
    type.cell_area_left = Metres(0.02);
    type.cell_area_top = Metres(0.02);
    type.cell_area_width = Metres(0.96);
    type.cell_area_height = Metres(1.56);
    type.substring_of_cell = {1, 2, 1, 2, 1, 2, 1, 2};
    type.junction_boxes = {{0.5, 0.1}};
    type.rated_power_w = 250.0;
    return type;
}

// One area of `rows` rows, a string a tier.
Layout layout_of(int rows, int along, int up, const std::string& area_id = "A") {
    const std::vector<std::string_view> known{"area", "row", "table", "table_id", "tier", "column", "string"};
    ArrayArea area;
    area.id = area_id;
    area.type = "plain";
    area.tilt_deg = 20.0;
    area.rows = rows;
    area.row_pitch_m = 6.0;
    area.grid = {along, up};
    area.numbering.table = *IdPattern::parse("{area}{row}", known);
    area.numbering.module = *IdPattern::parse("{table_id}-{tier:A}{column:02}", known);
    area.wiring.form = Wiring::Form::row;
    area.wiring.string = *IdPattern::parse("{area}{row}/{string}", known);
    ArrayDescription description;
    description.areas = {area};
    Layout layout;
    layout.origin = {8.0, 50.0, Metres(0.0)};
    layout.types = {plain_type()};
    std::map<std::string, int> strings;
    std::map<std::string, int> tables;
    for (const PlannedModule& planned : make_array(description, {{"plain", {1.0, 1.6}}})) {
        Module module;
        module.id = planned.id;
        module.corners_in_site = planned.corners_in_site;
        module.position = planned.position;
        const auto index = static_cast<int>(layout.modules.size());
        const auto [string, new_string] = strings.emplace(planned.string, static_cast<int>(layout.strings.size()));
        if (new_string) {
            layout.strings.push_back({planned.string, {}});
        }
        const auto [table, new_table] = tables.emplace(planned.table, static_cast<int>(layout.tables.size()));
        if (new_table) {
            layout.tables.push_back({planned.table, {}});
        }
        module.string = string->second;
        module.table = table->second;
        layout.strings[static_cast<std::size_t>(module.string)].modules.push_back(index);
        layout.tables[static_cast<std::size_t>(module.table)].modules.push_back(index);
        layout.modules.push_back(module);
    }
    return layout;
}

LayoutSheet sheet_of(const Layout& layout, std::string_view paper = "A3") {
    LayoutSheet sheet;
    sheet.layout = &layout;
    sheet.title = "Trial";
    sheet.file = "layout.geojson";
    sheet.sha256 = "0123456789abcdef0123456789abcdeffedcba9876543210fedcba9876543210";
    sheet.program = "heatrow test";
    for (const Paper& size : paper_sizes()) {
        if (size.name == paper) {
            sheet.paper = size;
        }
    }
    return sheet;
}

std::size_t count(const std::string& text, std::string_view part) {
    std::size_t found = 0;
    for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + part.size())) {
        ++found;
    }
    return found;
}

}  // namespace

TEST_CASE("layout sheet: ids, strings, counts, hash and scale are on it", "[report]") {
    const Layout layout = layout_of(2, 8, 2);
    const std::string svg = layout_sheet_svg(sheet_of(layout));
    CHECK(testing::xml_problem(svg).empty());
    // 8 m across and 6 m + 3 m deep fit A3 at 1 : 40.
    CHECK_THAT(svg, Contains(">1 : 40 on A3<") && Contains(">8.00 kW<"));
    CHECK(count(svg, ">A1/1<") == 1);
    CHECK(count(svg, ">A2/2<") == 1);
    CHECK(count(svg, ">B08<") == 2);  // the table's part of the id is said by the table
    CHECK(count(svg, ">A1<") == 1);
    CHECK_THAT(svg, Contains(">strings of 8 modules<") && Contains(">0123456789abcdef0123456789abcdef<"));
    CHECK_THAT(svg, Contains("No duplicate"));
    CHECK_THAT(svg, Contains(">N<") && Contains("Date, signature"));
    CHECK(svg == layout_sheet_svg(sheet_of(layout)));
}

TEST_CASE("layout sheet: a PDF of one page of that paper, without a date, the same each time", "[report]") {
    const Layout layout = layout_of(2, 8, 2);
    const std::string pdf = layout_sheet_pdf(sheet_of(layout));
    CHECK_THAT(pdf, Catch::StartsWith("%PDF-1."));
    CHECK_THAT(pdf, Contains("[ 0 0 1190.55") && !Contains("CreationDate"));
    CHECK(count(pdf, "/Type /Page ") == 1);
    CHECK(pdf == layout_sheet_pdf(sheet_of(layout)));
}

TEST_CASE("layout sheet: the scale is true to the paper", "[report]") {
    const Layout layout = layout_of(1, 2, 1);
    const std::string svg = layout_sheet_svg(sheet_of(layout, "A4"));
    const auto at = svg.find(">1 : ");
    REQUIRE(at != std::string::npos);
    const int scale = std::stoi(svg.substr(at + 5));
    // The first outline drawn after the paper is a module: its width is 1 m.
    const auto path = svg.find("<path d=\"M", svg.find("<path") + 1);
    double x0 = 0.0;
    double y0 = 0.0;
    double x1 = 0.0;
    REQUIRE(std::sscanf(svg.c_str() + path, "<path d=\"M%lf %lfL%lf", &x0, &y0, &x1) == 3);
    CHECK(std::abs(x1 - x0) == Approx(1.0 / scale * 72.0 / 0.0254).epsilon(1e-3));
}

TEST_CASE("layout sheet: a large farm keeps strings and says what it leaves out", "[report]") {
    const Layout layout = layout_of(60, 40, 2);
    const std::string svg = layout_sheet_svg(sheet_of(layout));
    CHECK(testing::xml_problem(svg).empty());
    CHECK_THAT(svg, Contains("Ids of modules cannot be read"));
    CHECK(count(svg, ">B40<") == 0);
    CHECK(count(svg, ">A60/2<") == 1);
    // Upright paper shows a deep array larger.
    CHECK_THAT(svg, Contains("width=\"841.89\"") || Contains("viewBox=\"0 0 841.89"));
}

TEST_CASE("layout sheet: ids are data, doubts are listed", "[report]") {
    const Layout layout = layout_of(1, 4, 1, "<b>&\"");
    LayoutSheet sheet = sheet_of(layout);
    sheet.doubts.assign(60, "module \"<i>\": it overlaps");
    const std::string svg = layout_sheet_svg(sheet);
    CHECK(testing::xml_problem(svg).empty());
    CHECK_THAT(svg, !Contains("<b>") && !Contains("<i>") && Contains("more doubts"));
}

TEST_CASE("layout sheet: strings that meet differ in colour", "[report]") {
    const Layout layout = layout_of(3, 20, 4);
    const auto colours = string_colours(layout);
    REQUIRE(colours.size() == 12);
    for (std::size_t row = 0; row < 3; ++row) {
        for (std::size_t tier = 0; tier + 1 < 4; ++tier) {
            CHECK(colours[4 * row + tier] != colours[4 * row + tier + 1]);
        }
    }
    CHECK(std::set<std::string_view>(colours.begin(), colours.end()).size() == 5);
}

TEST_CASE("type sheet: every type with its sizes, bypassed groups and leads", "[report]") {
    ModuleType wide = plain_type();
    wide.id = "<wide>";
    wide.width = Metres(2.0);
    const std::string svg = type_sheet_svg({plain_type(), wide});
    CHECK(testing::xml_problem(svg).empty());
    CHECK_THAT(svg, Contains(">1000 mm<") && Contains(">2000 mm<") && Contains("2 bypass diodes"));
    CHECK(count(svg, "fill=\"#9db4cc\"") == 8);
    CHECK(count(svg, ">2</text>") == 2);
}
