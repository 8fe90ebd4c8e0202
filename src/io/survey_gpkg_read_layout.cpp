#include "survey_gpkg_read_layout.hpp"

#include "gpkg_table_reader.hpp"
#include "heatrow/io/csv_writer.hpp"
#include "survey_gpkg_attributes.hpp"
#include "survey_gpkg_schema.hpp"

#include <algorithm>
#include <charconv>
#include <map>
#include <sstream>

namespace heatrow::detail {
namespace {

namespace fs = std::filesystem;

// Integers separated by blanks.
std::vector<int> integers(const std::string& text) {
    std::istringstream stream(text);
    std::vector<int> numbers;
    for (int number = 0; stream >> number;) {
        numbers.push_back(number);
    }
    return numbers;
}

// "x,y x,y".
std::vector<Eigen::Vector2d> places(const std::string& text) {
    std::vector<Eigen::Vector2d> places;
    const char* at = text.data();
    const char* end = at + text.size();
    while (at < end) {
        Eigen::Vector2d place(kNaN, kNaN);
        at = std::from_chars(at, end, place.x()).ptr + 1;
        at = at < end ? std::from_chars(at, end, place.y()).ptr + 1 : end;
        places.push_back(place);
    }
    return places;
}

std::optional<ModuleType::Technology> technology_of(std::string_view word) {
    using enum ModuleType::Technology;
    for (const auto technology : {crystalline, shingled, thin_film}) {
        if (technology_word(technology) == word) {
            return technology;
        }
    }
    return std::nullopt;
}

ModuleType module_type(const GpkgTableReader& row) {
    ModuleType type;
    type.id = row.text("type");
    type.description = row.text("description");
    type.width = Metres(row.real("width_m"));
    type.height = Metres(row.real("height_m"));
    type.rows = static_cast<int>(row.integer("cell_rows").value_or(0));
    type.columns = static_cast<int>(row.integer("cell_columns").value_or(0));
    type.half_cut = row.yes("half_cut");
    type.substring_of_cell = integers(row.text("substring_of_cell"));
    if (type.rows <= 0 || type.columns <= 0 ||
        type.substring_of_cell.size() / static_cast<std::size_t>(type.rows) != static_cast<std::size_t>(type.columns)) {
        row.fail("substring_of_cell", "it does not hold one number a cell");
    }
    type.rated_power_w = row.real("rated_power_w");
    type.rated_current_a = row.real("rated_current_a");
    type.rated_voltage_v = row.real("rated_voltage_v");
    type.short_circuit_current_a = row.real("short_circuit_current_a");
    type.open_circuit_voltage_v = row.real("open_circuit_voltage_v");
    for (const std::string& branch : split_names(row.text("branches"))) {
        type.branches.push_back(integers(branch));
    }
    type.cell_area_left = Metres(row.real("cell_area_left_m"));
    type.cell_area_top = Metres(row.real("cell_area_top_m"));
    type.cell_area_width = Metres(row.real("cell_area_width_m"));
    type.cell_area_height = Metres(row.real("cell_area_height_m"));
    type.middle_gap = Metres(row.real("middle_gap_m"));
    type.technology = row.named("technology", technology_of);
    type.frame_width = Metres(row.real("frame_width_m"));
    type.front = row.text("front") == front_word(ModuleType::Front::polymer) ? ModuleType::Front::polymer
                                                                             : ModuleType::Front::glass;
    type.positive_lead_left = row.text("positive_lead") == "left";
    type.junction_boxes = places(row.text("junction_boxes"));
    return type;
}

std::map<std::string, int> read_types(GDALDataset& dataset, const fs::path& file, Layout& layout) {
    std::map<std::string, int> index_of;
    for (GpkgTableReader row(dataset, module_types_schema(), file); row.next();) {
        index_of[row.text("type")] = static_cast<int>(layout.types.size());
        layout.types.push_back(module_type(row));
    }
    return index_of;
}

std::map<std::string, int> read_strings(GDALDataset& dataset, const fs::path& file, Layout& layout) {
    std::map<std::string, int> index_of;
    for (GpkgTableReader row(dataset, strings_schema(), file); row.next();) {
        index_of[row.text("string")] = static_cast<int>(layout.strings.size());
        layout.strings.push_back(
            {row.text("string"), {}, {row.text("combiner"), row.text("inverter"), row.text("input")}});
    }
    return index_of;
}

// The index that a name stands for; -1 for no name.
int index_in(const std::map<std::string, int>& index_of, const GpkgTableReader& row, const char* column) {
    const std::string name = row.text(column);
    if (name.empty()) {
        return -1;
    }
    const auto found = index_of.find(name);
    if (found == index_of.end()) {
        row.fail(column, "\"" + name + "\" is not in the file");
    }
    return found->second;
}

void sort_by_position(Layout& layout) {
    for (ModuleString& string : layout.strings) {
        std::stable_sort(string.modules.begin(), string.modules.end(), [&layout](int a, int b) {
            return layout.modules[static_cast<std::size_t>(a)].position <
                   layout.modules[static_cast<std::size_t>(b)].position;
        });
    }
}

}  // namespace

SitePoints::SitePoints(const SiteProjection& projection, const OGRSpatialReference& map, const fs::path& file)
    : projection_(projection), file_(file) {
    OGRSpatialReference geographic;
    OGRSpatialReference from = map;
    geographic.importFromEPSG(4326);
    geographic.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    from.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    transformation_.reset(OGRCreateCoordinateTransformation(&from, &geographic));
}

Eigen::Vector3d SitePoints::in_site(double x, double y, Metres height) const {
    if (!transformation_ || transformation_->Transform(1, &x, &y) == 0) {
        throw Error(ErrorKind::input,
                    "cannot read the record",
                    file_.string(),
                    "a point cannot be brought back from the map",
                    "Restore the file, or run 'heatrow analyse' again");
    }
    return projection_.to_site(x, y, height);
}

std::vector<Eigen::Vector3d> SitePoints::corners(const OGRGeometry* polygon) const {
    std::vector<Eigen::Vector3d> corners;
    if (polygon == nullptr || wkbFlatten(polygon->getGeometryType()) != wkbPolygon) {
        return corners;
    }
    const OGRLinearRing* ring = polygon->toPolygon()->getExteriorRing();
    const int count = ring == nullptr ? 0 : ring->getNumPoints() - 1;  // the last one closes the ring
    const bool has_height = polygon->Is3D() != 0;
    for (int i = 0; i < count; ++i) {
        corners.push_back(
            in_site(ring->getX(i), ring->getY(i), has_height ? Metres(ring->getZ(i)) : projection_.origin().height));
    }
    return corners;
}

Eigen::Vector3d SitePoints::point(const OGRGeometry* point) const {
    if (point == nullptr || wkbFlatten(point->getGeometryType()) != wkbPoint) {
        return Eigen::Vector3d::Constant(kNaN);
    }
    const OGRPoint* at = point->toPoint();
    return in_site(at->getX(), at->getY(), Metres(at->getZ()));
}

Layout read_layout_tables(GDALDataset& dataset,
                          const SiteProjection& projection,
                          const SitePoints& points,
                          const fs::path& file) {
    Layout layout;
    layout.origin = projection.origin();
    const auto types = read_types(dataset, file, layout);
    const auto strings = read_strings(dataset, file, layout);
    std::map<std::string, std::vector<int>, decltype(&natural_less)> tables(&natural_less);
    for (GpkgTableReader row(dataset, modules_schema(), file); row.next();) {
        Module module;
        module.id = row.text("module");
        module.string = index_in(strings, row, "string");
        module.position = static_cast<int>(row.integer("position").value_or(0));
        module.type = index_in(types, row, "type");
        module.tilt = degrees(row.real("tilt_deg"));
        module.azimuth = degrees(row.real("azimuth_deg"));
        const auto corners = points.corners(row.geometry());
        if (module.type < 0 || corners.size() != module.corners_in_site.size()) {
            row.fail("type", "the module has no type or no outline of four corners");
        }
        std::copy(corners.begin(), corners.end(), module.corners_in_site.begin());
        const int index = static_cast<int>(layout.modules.size());
        if (module.string >= 0) {
            layout.strings[static_cast<std::size_t>(module.string)].modules.push_back(index);
        }
        if (const std::string table = row.text("table"); !table.empty()) {
            tables[table].push_back(index);
        }
        layout.modules.push_back(std::move(module));
    }
    sort_by_position(layout);
    for (const auto& [id, members] : tables) {
        for (const int member : members) {
            layout.modules[static_cast<std::size_t>(member)].table = static_cast<int>(layout.tables.size());
        }
        layout.tables.push_back({id, members});
    }
    return layout;
}

}  // namespace heatrow::detail
