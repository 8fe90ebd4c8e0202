#include "layout_source.hpp"

#include "gdal_guard.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/core/nearest_word.hpp"

#include <fmt/format.h>
#include <ogrsf_frmts.h>

#include <cmath>
#include <memory>

namespace heatrow::detail {
namespace {

constexpr std::string_view kDocument = "docs/formats/layout.md lists the fields";

// One feature with what is needed to complain about it.
class FieldReader {
  public:
    FieldReader(const std::filesystem::path& file, const OGRFeature& feature) : file_(file), feature_(feature) {
        name_ = fmt::format("feature {}", feature.GetFID());
    }
    void set_module(const std::string& module) { name_ = fmt::format("module \"{}\"", module); }
    [[nodiscard]] const std::string& name() const { return name_; }

    // Index of a field that holds a value; -1 where it is absent, null or an empty text.
    [[nodiscard]] int find(const char* field) const {
        const int index = feature_.GetFieldIndex(field);
        const bool set = index >= 0 && feature_.IsFieldSetAndNotNull(index) != 0;
        return set && !std::string_view(feature_.GetFieldAsString(index)).empty() ? index : -1;
    }
    [[nodiscard]] std::string text(const char* field, bool required) const {
        const int index = find(field);
        if (index < 0) {
            if (required) {
                fail(field, "is missing or empty", kDocument);
            }
            return {};
        }
        const OGRFieldType type = type_of(index);
        if (type != OFTString && type != OFTInteger && type != OFTInteger64) {
            fail(field, fmt::format("= {} is no text", feature_.GetFieldAsString(index)), "Store ids as text");
        }
        return feature_.GetFieldAsString(index);
    }
    [[nodiscard]] double number(const char* field, double low, double high) const {
        const int index = find(field);
        if (index < 0) {
            fail(field, "is missing or empty", kDocument);
        }
        const OGRFieldType type = type_of(index);
        if (type != OFTReal && type != OFTInteger && type != OFTInteger64) {
            fail(field, fmt::format("= '{}' is no number", feature_.GetFieldAsString(index)), "Store it as a number");
        }
        const double value = feature_.GetFieldAsDouble(index);
        if (!(value >= low && value <= high)) {
            fail(field,
                 fmt::format("= {:g} is out of range", value),
                 fmt::format("It runs from {:g} to {:g}", low, high));
        }
        return value;
    }
    [[noreturn]] void fail(const char* field, const std::string& what, std::string_view remedy) const {
        fail_layout(file_, name_, fmt::format("field '{}' {}", field, what), remedy);
    }

  private:
    [[nodiscard]] OGRFieldType type_of(int index) const { return feature_.GetFieldDefnRef(index)->GetType(); }

    const std::filesystem::path& file_;
    const OGRFeature& feature_;
    std::string name_;
};

TopEdge read_top(const FieldReader& reader) {
    const std::string word = reader.text("top", false);
    if (word.empty() || word == "up") {
        return TopEdge::up;
    }
    if (word == "down") {
        return TopEdge::down;
    }
    if (word == "left") {
        return TopEdge::left;
    }
    if (word != "right") {
        reader.fail("top", fmt::format("= '{}' is no direction", word), "Use up, down, left or right");
    }
    return TopEdge::right;
}

int read_position(const FieldReader& reader) {
    constexpr double kMost = 1e6;
    const double position = reader.number("position", 1.0, kMost);
    if (position != std::floor(position)) {
        reader.fail("position", fmt::format("= {:g} is no whole number", position), "Count from 1 in wiring order");
    }
    return static_cast<int>(position);
}

const OGRPolygon* polygon_of(const OGRFeature& feature) {
    const OGRGeometry* geometry = feature.GetGeometryRef();
    if (geometry == nullptr) {
        return nullptr;
    }
    if (wkbFlatten(geometry->getGeometryType()) == wkbMultiPolygon &&
        geometry->toMultiPolygon()->getNumGeometries() == 1) {
        return geometry->toMultiPolygon()->getGeometryRef(0);
    }
    return wkbFlatten(geometry->getGeometryType()) == wkbPolygon ? geometry->toPolygon() : nullptr;
}

std::vector<GeographicPoint> read_ring(const OGRFeature& feature,
                                       OGRCoordinateTransformation& to_geographic,
                                       const FieldReader& reader,
                                       const std::filesystem::path& file) {
    const OGRPolygon* polygon = polygon_of(feature);
    const OGRLinearRing* outer = polygon == nullptr ? nullptr : polygon->getExteriorRing();
    if (outer == nullptr || outer->getNumPoints() == 0 || polygon->getNumInteriorRings() > 0) {
        fail_layout(
            file, reader.name(), "its outline is no single polygon without holes", "Draw one polygon per module");
    }
    std::vector<GeographicPoint> ring;
    for (int i = 0; i < outer->getNumPoints(); ++i) {
        double x = outer->getX(i);
        double y = outer->getY(i);
        const bool repeated = i > 0 && x == outer->getX(i - 1) && y == outer->getY(i - 1);
        const bool closing = i > 0 && i + 1 == outer->getNumPoints() && x == outer->getX(0) && y == outer->getY(0);
        if (repeated || closing) {
            continue;
        }
        const bool placed = to_geographic.Transform(1, &x, &y) != 0;
        if (!placed || !(std::abs(x) <= 360.0) || !(std::abs(y) <= 90.0)) {
            fail_layout(
                file,
                reader.name(),
                fmt::format("the corner ({:.10g}, {:.10g}) has no place on earth", outer->getX(i), outer->getY(i)),
                "Check the coordinate reference system that the file declares");
        }
        ring.push_back({x, y});
    }
    return ring;
}

// Nothing where no axis is given.
std::optional<TableAxis> read_axis(const FieldReader& reader, const std::string& table) {
    if (reader.find("axis_azimuth") < 0) {
        for (const char* field : {"axis_tilt", "axis_pitch", "axis_limit", "axis_below", "tracker"}) {
            if (reader.find(field) >= 0) {
                reader.fail(field, "is given without 'axis_azimuth'", kDocument);
            }
        }
        return std::nullopt;
    }
    if (table.empty()) {
        reader.fail("axis_azimuth", "is given to a module without 'table'", "The modules of a table turn together");
    }
    constexpr double kSteepestAxis_deg = 45.0;
    constexpr double kWidestPitch_m = 100.0;
    constexpr double kDeepest_m = 2.0;
    TableAxis axis;
    axis.azimuth = wrap_full_turn(degrees(reader.number("axis_azimuth", -360.0, 360.0)));
    const auto number = [&](const char* field, double low, double high) {
        return reader.find(field) < 0 ? std::nullopt : std::optional(reader.number(field, low, high));
    };
    axis.tilt = degrees(number("axis_tilt", -kSteepestAxis_deg, kSteepestAxis_deg).value_or(0.0));
    axis.below = Metres(number("axis_below", -kDeepest_m, kDeepest_m).value_or(0.0));
    if (const auto limit = number("axis_limit", 0.0, 90.0)) {
        axis.limit = degrees(*limit);
    }
    if (const auto pitch = number("axis_pitch", 0.1, kWidestPitch_m)) {
        axis.row_pitch = Metres(*pitch);
    }
    const std::string tracker = reader.text("tracker", false);
    axis.tracker = tracker.empty() ? table : tracker;
    return axis;
}

LayoutFeature read_feature(const OGRFeature& feature,
                           OGRCoordinateTransformation& to_geographic,
                           const std::filesystem::path& file) {
    FieldReader reader(file, feature);
    LayoutFeature result;
    result.module = reader.text("module", true);
    reader.set_module(result.module);
    result.type = reader.text("type", true);
    result.string = reader.text("string", false);
    result.position = result.string.empty() ? 0 : read_position(reader);
    result.table = reader.text("table", false);
    result.home = {reader.text("combiner", false), reader.text("inverter", false), reader.text("input", false)};
    // An outline seen from above does not carry a module that all but stands upright.
    constexpr double kSteepest_deg = 85.0;
    result.tilt_deg = reader.number("tilt", 0.0, kSteepest_deg);
    result.azimuth_deg = reader.number("azimuth", -360.0, 360.0);
    constexpr double kHighest_m = 1e4;
    result.height = Metres(reader.find("height") < 0 ? 0.0 : reader.number("height", -kHighest_m, kHighest_m));
    result.top = read_top(reader);
    result.axis = read_axis(reader, result.table);
    result.ring = read_ring(feature, to_geographic, reader, file);
    return result;
}

void require_fields(const OGRFeatureDefn& definition, const std::filesystem::path& file) {
    std::vector<std::string> fields;
    for (int i = 0; i < definition.GetFieldCount(); ++i) {
        fields.emplace_back(definition.GetFieldDefn(i)->GetNameRef());
    }
    for (const char* required : {"module", "type", "tilt", "azimuth"}) {
        if (definition.GetFieldIndex(required) < 0) {
            const auto nearest = nearest_word(required, fields);
            fail_layout(file,
                        "",
                        fmt::format("it has no field '{}'; its fields are {}",
                                    required,
                                    fields.empty() ? "none" : fmt::format("{}", fmt::join(fields, ", "))),
                        nearest ? fmt::format("Is it '{}'? Rename it", *nearest) : std::string(kDocument));
        }
    }
}

OGRLayer& module_layer(GDALDataset& dataset, const std::filesystem::path& file) {
    OGRLayer* chosen = nullptr;
    for (OGRLayer* layer : dataset.GetLayers()) {
        if (layer->GetLayerDefn()->GetFieldIndex("module") < 0) {
            continue;
        }
        if (chosen != nullptr) {
            fail_layout(
                file,
                "",
                fmt::format("both its layers '{}' and '{}' have a field 'module'", chosen->GetName(), layer->GetName()),
                "Keep the layer of modules in a file of its own");
        }
        chosen = layer;
    }
    if (chosen == nullptr) {
        if (dataset.GetLayerCount() == 0) {
            fail_layout(file, "", "it holds no layer", "Give a vector file with one polygon per module");
        }
        chosen = dataset.GetLayer(0);
    }
    require_fields(*chosen->GetLayerDefn(), file);
    return *chosen;
}

using Transformation = std::unique_ptr<OGRCoordinateTransformation, decltype(&OGRCoordinateTransformation::DestroyCT)>;

Transformation transformation_to_geographic(OGRLayer& layer, const std::filesystem::path& file, const GdalGuard& gdal) {
    const OGRSpatialReference* declared = layer.GetSpatialRef();
    if (declared == nullptr) {
        fail_layout(file,
                    "",
                    "it declares no coordinate reference system",
                    "Assign one, e.g. WGS 84 or the UTM zone of the site");
    }
    OGRSpatialReference from(*declared);
    from.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    OGRSpatialReference to;
    to.SetWellKnownGeogCS("WGS84");
    to.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    Transformation transformation(OGRCreateCoordinateTransformation(&from, &to),
                                  OGRCoordinateTransformation::DestroyCT);
    if (transformation == nullptr) {
        fail_layout(file,
                    "",
                    fmt::format("its coordinate reference system '{}' cannot be related to WGS 84 ({})",
                                from.GetName(),
                                gdal.last_error()),
                    "Save the layout in WGS 84");
    }
    return transformation;
}

}  // namespace

void fail_layout(const std::filesystem::path& file,
                 std::string_view module,
                 std::string_view why,
                 std::string_view remedy) {
    throw LayoutFault(file, module, why, remedy);
}

LayoutFault::LayoutFault(const std::filesystem::path& file,
                         std::string_view entity,
                         std::string_view why,
                         std::string_view remedy)
    : Error(ErrorKind::input,
            "cannot read the layout",
            entity.empty() ? file.string() : fmt::format("{}, {}", file.string(), entity),
            why,
            remedy),
      entity_(entity),
      why_(why),
      remedy_(remedy) {}

std::vector<LayoutFeature> read_layout_features(const std::filesystem::path& file, std::vector<LayoutFault>* faults) {
    if (!std::filesystem::exists(file)) {
        fail_layout(file, "", "no such file", "Check the path; a survey names it as site.layout in survey.toml");
    }
    const GdalGuard gdal;
    const GDALDatasetUniquePtr dataset(GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR, nullptr, nullptr, nullptr));
    if (dataset == nullptr) {
        fail_layout(file,
                    "",
                    gdal.why("it is no vector file that can be read"),
                    "Save it as GeoJSON or GeoPackage");
    }
    OGRLayer& layer = module_layer(*dataset, file);
    const Transformation to_geographic = transformation_to_geographic(layer, file, gdal);
    std::vector<LayoutFeature> features;
    layer.ResetReading();
    while (const OGRFeatureUniquePtr feature{layer.GetNextFeature()}) {
        try {
            features.push_back(read_feature(*feature, *to_geographic, file));
        } catch (const LayoutFault& fault) {
            if (faults == nullptr) {
                throw;
            }
            faults->push_back(fault);
        }
    }
    if (const std::string problem = gdal.last_error(); CPLGetLastErrorType() == CE_Failure) {
        fail_layout(file, "", fmt::format("reading stopped ({})", problem), "Save the layout again");
    }
    if (features.empty() && (faults == nullptr || faults->empty())) {
        fail_layout(
            file, "", fmt::format("its layer '{}' holds no module", layer.GetName()), "Draw one polygon per module");
    }
    return features;
}

}  // namespace heatrow::detail
