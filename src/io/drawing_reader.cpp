#include "heatrow/io/drawing_reader.hpp"

#include "drawing_csv.hpp"
#include "gdal_guard.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/core/nearest_word.hpp"
#include "layout_source.hpp"

#include <fmt/format.h>
#include <ogrsf_frmts.h>

#include <algorithm>
#include <set>

namespace heatrow {
namespace {

using detail::fail_drawing;
using Ring = std::vector<Eigen::Vector2d>;

std::string at_text(const OGRGeometry& geometry) {
    OGREnvelope box;
    geometry.getEnvelope(&box);
    return fmt::format("near ({:.10g}, {:.10g})", 0.5 * (box.MinX + box.MaxX), 0.5 * (box.MinY + box.MaxY));
}

std::string text_field(const OGRFeature& feature, const char* name) {
    const int index = feature.GetFieldIndex(name);
    return index >= 0 && feature.IsFieldSetAndNotNull(index) != 0 ? feature.GetFieldAsString(index) : "";
}

// The DXF layer of an entity, or the layer of the file.
std::string layer_of(const OGRFeature& feature, OGRLayer& layer) {
    const std::string named = text_field(feature, "Layer");
    return named.empty() ? layer.GetName() : named;
}

std::string entity_of(const OGRFeature& feature, const std::string& layer) {
    const std::string handle = text_field(feature, "EntityHandle");
    return handle.empty() ? fmt::format("layer \"{}\", feature {}", layer, feature.GetFID())
                          : fmt::format("layer \"{}\", handle {}", layer, handle);
}

Ring points_of(const OGRSimpleCurve& line) {
    Ring points;
    for (int i = 0; i < line.getNumPoints(); ++i) {
        points.emplace_back(line.getX(i), line.getY(i));
    }
    return points;
}

double size_of(const Ring& ring) {
    Eigen::Vector2d low = ring.front();
    Eigen::Vector2d high = ring.front();
    for (const Eigen::Vector2d& point : ring) {
        low = low.cwiseMin(point);
        high = high.cwiseMax(point);
    }
    return (high - low).norm();
}

constexpr double kStraight = 1e-3;  // of the outline's size

// The single curve of a polygon without holes or of a line; null for anything else.
const OGRSimpleCurve* curve_of(const OGRGeometry& geometry) {
    switch (wkbFlatten(geometry.getGeometryType())) {
        case wkbLineString:
            return geometry.toLineString();
        case wkbPolygon:
            return geometry.toPolygon()->getNumInteriorRings() == 0 ? geometry.toPolygon()->getExteriorRing() : nullptr;
        case wkbMultiPolygon:
        case wkbMultiLineString:
        case wkbGeometryCollection: {
            const OGRGeometryCollection& parts = *geometry.toGeometryCollection();
            return parts.getNumGeometries() == 1 ? curve_of(*parts.getGeometryRef(0)) : nullptr;
        }
        default:
            return nullptr;
    }
}

class DrawingBuilder {
  public:
    DrawingBuilder(const std::filesystem::path& file, const DrawingChoice& choice) : file_(file), choice_(choice) {
        drawing_.name = file.filename().string();
    }

    void add(const OGRFeature& feature, OGRLayer& layer) {
        const OGRGeometry* geometry = feature.GetGeometryRef();
        const std::string name = layer_of(feature, layer);
        layers_.insert(name);
        if (geometry == nullptr || geometry->IsEmpty() != 0) {
            return;
        }
        if (wkbFlatten(geometry->getGeometryType()) == wkbPoint) {
            add_label(feature, *geometry->toPoint(), name);
            return;
        }
        const bool asked = std::ranges::find(choice_.layers, name) != choice_.layers.end();
        if (!choice_.layers.empty() && !asked) {
            return;
        }
        const std::string entity = entity_of(feature, name);
        const OGRSimpleCurve* curve = curve_of(*geometry);
        const auto unfit = [&](const std::string& what, std::string_view remedy) {
            if (asked) {
                fail_drawing(file_, entity, fmt::format("{}, {}", what, at_text(*geometry)), remedy);
            }
            ++left_out_[{name, what}];
        };
        if (curve == nullptr) {
            unfit(fmt::format("it is a {}, not one outline", OGRGeometryTypeToName(geometry->getGeometryType())),
                  "Draw one closed outline without holes for each module or table, or leave its layer out");
            return;
        }
        Ring ring = points_of(*curve);
        const double size = size_of(ring);
        if (ring.size() < 4 || (ring.front() - ring.back()).norm() > kStraight * size) {
            unfit("the line is not closed", "Close it, or leave its layer out");
            return;
        }
        ring = detail::corners_of_ring(std::move(ring));
        if (ring.size() != 4) {
            unfit(fmt::format("the outline has {} corners, not 4", ring.size()),
                  "Draw its four corners, or leave its layer out");
            return;
        }
        DrawnOutline outline{entity, name, std::move(ring), {}};
        const OGRFeatureDefn& definition = *feature.GetDefnRef();
        for (int i = 0; i < definition.GetFieldCount(); ++i) {
            if (feature.IsFieldSetAndNotNull(i) != 0) {
                outline.fields[definition.GetFieldDefn(i)->GetNameRef()] = feature.GetFieldAsString(i);
            }
        }
        drawing_.outlines.push_back(std::move(outline));
    }

    Drawing finish(bool one_layer_only) {
        require_layers(choice_.layers);
        require_layers(choice_.label_layers);
        for (const auto& [what, count] : left_out_) {
            drawing_.left_out.push_back(fmt::format("{} of layer \"{}\" left out: {}", count, what.first, what.second));
        }
        std::map<std::string, int> used;
        for (const DrawnOutline& outline : drawing_.outlines) {
            ++used[outline.layer];
        }
        if (used.empty()) {
            fail_drawing(file_,
                         "",
                         fmt::format("it holds no closed outline of four corners{}{}",
                                     drawing_.left_out.empty() ? "" : ": ",
                                     fmt::join(drawing_.left_out, "; ")),
                         "Draw each module or table as a closed outline");
        }
        if (one_layer_only && choice_.layers.empty() && used.size() > 1) {
            std::string list;
            for (const auto& [layer, count] : used) {
                list += fmt::format("{}\"{}\" ({})", list.empty() ? "" : ", ", layer, count);
            }
            fail_drawing(file_,
                         "",
                         fmt::format("closed outlines lie in several layers: {}", list),
                         "Say which hold the modules or tables: --layer NAME, once for each");
        }
        return std::move(drawing_);
    }

  private:
    void add_label(const OGRFeature& feature, const OGRPoint& point, const std::string& layer) {
        if (!choice_.label_layers.empty() &&
            std::ranges::find(choice_.label_layers, layer) == choice_.label_layers.end()) {
            return;
        }
        for (const char* field : {"Text", "Name", "name", "label"}) {
            std::string text = text_field(feature, field);
            const auto first = text.find_first_not_of(" \t\r\n");
            if (first == std::string::npos) {
                continue;
            }
            text = text.substr(first, text.find_last_not_of(" \t\r\n") - first + 1);
            drawing_.labels.push_back(
                {entity_of(feature, layer), layer, {point.getX(), point.getY()}, std::move(text)});
            return;
        }
    }

    void require_layers(const std::vector<std::string>& wanted) const {
        for (const std::string& layer : wanted) {
            if (layers_.contains(layer)) {
                continue;
            }
            const std::vector<std::string> known(layers_.begin(), layers_.end());
            const auto nearest = nearest_word(layer, known);
            fail_drawing(file_,
                         "",
                         fmt::format("it has no layer \"{}\"", layer),
                         nearest ? fmt::format("Did you mean \"{}\"?", *nearest)
                                 : fmt::format("Its layers: \"{}\"", fmt::join(known, "\", \"")));
        }
    }

    const std::filesystem::path& file_;
    const DrawingChoice& choice_;
    Drawing drawing_;
    std::set<std::string> layers_;
    std::map<std::pair<std::string, std::string>, int> left_out_;
};

std::string wkt_of(const OGRSpatialReference& reference) {
    char* text = nullptr;
    reference.exportToWkt(&text);
    std::string wkt(text == nullptr ? "" : text);
    CPLFree(text);
    return wkt;
}

}  // namespace

void detail::fail_drawing(const std::filesystem::path& file,
                          std::string_view entity,
                          std::string_view why,
                          std::string_view remedy) {
    throw Error(ErrorKind::input,
                "cannot read the drawing",
                entity.empty() ? file.string() : fmt::format("{}, {}", file.string(), entity),
                why,
                remedy);
}

std::vector<Eigen::Vector2d> detail::corners_of_ring(std::vector<Eigen::Vector2d> ring) {
    const double tolerance = kStraight * size_of(ring);
    const auto near = [tolerance](const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
        return (a - b).norm() <= tolerance;
    };
    Ring points;
    for (const Eigen::Vector2d& point : ring) {
        if (points.empty() || !near(points.back(), point)) {
            points.push_back(point);
        }
    }
    while (points.size() > 1 && near(points.front(), points.back())) {
        points.pop_back();
    }
    Ring corners;
    for (std::size_t i = 0; i < points.size(); ++i) {
        const Eigen::Vector2d& before = points[(i + points.size() - 1) % points.size()];
        const Eigen::Vector2d along = points[(i + 1) % points.size()] - before;
        const Eigen::Vector2d here = points[i] - before;
        const double off = std::abs(along.x() * here.y() - along.y() * here.x()) / std::max(along.norm(), 1e-300);
        if (off > tolerance) {
            corners.push_back(points[i]);
        }
    }
    return corners;
}

Drawing read_drawing(const std::filesystem::path& file, const DrawingChoice& choice) {
    if (!std::filesystem::exists(file)) {
        detail::fail_drawing(file, "", "no such file", "Check the path");
    }
    std::string extension = file.extension().string();
    std::ranges::transform(extension, extension.begin(), [](char c) {
        return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    });
    if (extension == ".csv" || extension == ".tsv" || extension == ".txt") {
        return detail::read_drawing_table(file);
    }
    if (extension == ".dwg") {
        detail::fail_drawing(file, "", "DWG is not read", "Save it as DXF, version 2004 or later");
    }
    const detail::GdalGuard gdal;
    const GDALDatasetUniquePtr dataset(GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR, nullptr, nullptr, nullptr));
    if (dataset == nullptr) {
        detail::fail_drawing(file,
                             "",
                             gdal.why("it is no vector file that can be read"),
                             "Give GeoJSON, GeoPackage, Shapefile, KML, DXF or CSV");
    }
    DrawingBuilder builder(file, choice);
    std::string crs;
    for (OGRLayer* layer : dataset->GetLayers()) {
        if (const OGRSpatialReference* reference = layer->GetSpatialRef(); reference != nullptr && crs.empty()) {
            crs = wkt_of(*reference);
        }
        layer->ResetReading();
        while (const OGRFeatureUniquePtr feature{layer->GetNextFeature()}) {
            builder.add(*feature, *layer);
        }
        if (const std::string problem = gdal.last_error(); CPLGetLastErrorType() == CE_Failure) {
            detail::fail_drawing(file, "", fmt::format("reading stopped ({})", problem), "Save the drawing again");
        }
    }
    Drawing drawing = builder.finish(extension == ".dxf");
    drawing.crs = crs;
    return drawing;
}

}  // namespace heatrow
