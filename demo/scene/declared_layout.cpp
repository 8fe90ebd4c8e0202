#include "declared_layout.hpp"

#include "heatrow/core/error.hpp"
#include "seasons.hpp"

#include <algorithm>

namespace scene {

DeclaredLayout::DeclaredLayout(const SceneSpec& scene, const Plant& plant)
    : scene_(scene), plant_(plant), part_of_table_(plant.tables.size(), -1) {
    const auto& parts = scene.layout_error.parts;
    for (std::size_t part = 0; part < parts.size(); ++part) {
        for (const std::string& id : parts[part].tables) {
            const auto table = std::ranges::find(plant.tables, season_id_of(scene, id), &PanelTable::id);
            if (table == plant.tables.end()) {
                throw heatrow::Error(heatrow::ErrorKind::usage,
                                     "Could not draw the layout",
                                     "layout_error.part, table '" + id + "'",
                                     "the scene has no such table",
                                     "Ids are those of layout.geojson after a rendering.");
            }
            part_of_table_[static_cast<std::size_t>(table - plant.tables.begin())] = static_cast<int>(part);
        }
    }
}

int DeclaredLayout::part_of(int panel) const {
    return part_of_table_[static_cast<std::size_t>(plant_.panels[static_cast<std::size_t>(panel)].table)];
}

Eigen::Vector3d DeclaredLayout::point_in_site(int panel, double x, double y) const {
    Eigen::Vector3d point = plant_.point_in_site(panel, x, y);
    if (const int index = part_of(panel); index >= 0) {
        const WrongPart& part = scene_.layout_error.parts[static_cast<std::size_t>(index)];
        const Face& face = plant_.table_of(panel).face;
        const double u = face.right.dot(point - face.origin);
        const double v = face.up.dot(point - face.origin);
        point = face.at(part.along_m + part.along_scale * u, part.up_m + part.up_scale * v);
    }
    point.head<2>() += scene_.layout_error.shift_m;
    return point;
}

std::array<Eigen::Vector3d, 4> DeclaredLayout::corners_in_site(int panel) const {
    const PanelType& type = plant_.type_of(panel);
    return {point_in_site(panel, 0.0, 0.0),
            point_in_site(panel, type.width_m, 0.0),
            point_in_site(panel, type.width_m, type.height_m),
            point_in_site(panel, 0.0, type.height_m)};
}

}  // namespace scene
