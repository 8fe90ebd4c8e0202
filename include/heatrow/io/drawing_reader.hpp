// Drawings of arrays as they come: GeoJSON, GeoPackage, Shapefile, KML, DXF, CSV. Outlines and labels with the fields
// that the file gives them, in the drawing's own coordinates.
#pragma once

#include <Eigen/Core>

#include <filesystem>
#include <map>
#include <string>
#include <vector>

namespace heatrow {

struct DrawnOutline {
    std::string entity;  // for messages: layer "PV", handle 2F
    std::string layer;
    std::vector<Eigen::Vector2d> ring;          // corners, not closed; one point: the centre of a module
    std::map<std::string, std::string> fields;  // as text
};

struct DrawnLabel {
    std::string entity;
    std::string layer;
    Eigen::Vector2d position{0.0, 0.0};
    std::string text;
};

struct Drawing {
    std::string name;  // file, for messages
    std::vector<DrawnOutline> outlines;
    std::vector<DrawnLabel> labels;
    std::vector<std::string> left_out;  // "12 open lines of layer \"DIM\"", where no layer was asked for
    std::string crs;                    // WKT; empty where the file declares none
};

struct DrawingChoice {
    std::vector<std::string> layers;        // of outlines; empty: all
    std::vector<std::string> label_layers;  // empty: all
};

// Throws Error(input) naming file, layer, handle or feature, and coordinates: files that cannot be read, layers that
// there are not, and, in layers that were asked for, lines that are not closed and outlines that have not four corners.
// Without a choice of layers such entities are left out and counted; outlines in several layers of a DXF file are
// refused then, since it cannot be told which are modules. Closed lines count as outlines; corners within a thousandth
// of the outline's size of the line between their neighbours are no corners.
Drawing read_drawing(const std::filesystem::path& file, const DrawingChoice& choice);

}  // namespace heatrow
