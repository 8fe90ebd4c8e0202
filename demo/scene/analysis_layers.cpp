#include "analysis_layers.hpp"

#include "heatrow/core/error.hpp"

#include <fmt/format.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <array>
#include <bit>
#include <cstdint>
#include <cstring>
#include <limits>
#include <memory>
#include <regex>

namespace scene {
namespace {

using heatrow::Error;
using heatrow::ErrorKind;

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();
constexpr std::array<const char*, 8> kCorners{"x1", "y1", "x2", "y2", "x3", "y3", "x4", "y4"};

[[noreturn]] void fail(const std::filesystem::path& file, const std::string& why) {
    throw Error(ErrorKind::input,
                "Could not read the result",
                file.string(),
                why,
                "Give the output folder of `heatrow analyse`; see docs/formats/survey-gpkg.md.");
}

int column(OGRLayer& layer, const std::filesystem::path& file, const char* name) {
    const int index = layer.GetLayerDefn()->GetFieldIndex(name);
    if (index < 0) {
        fail(file, fmt::format("column '{}' of layer '{}' is missing", name, layer.GetName()));
    }
    return index;
}

double number(const OGRFeature& feature, int field) {
    return feature.IsFieldSetAndNotNull(field) ? feature.GetFieldAsDouble(field) : kNone;
}

// One plane of the cell values: little-endian 32-bit floats, row by row.
std::vector<double> plane(const std::uint8_t* bytes, int size, int cells, int index) {
    std::vector<double> values;
    for (int cell = 0; cell < cells && (index + 1) * cells * 4 <= size; ++cell) {
        std::uint32_t word = 0;
        for (int k = 3; k >= 0; --k) {
            word = (word << 8U) | bytes[(index * cells + cell) * 4 + k];
        }
        values.push_back(static_cast<double>(std::bit_cast<float>(word)));
    }
    return values;
}

// Tiles of a mosaic are named by the file and their place in it: back to its pixels.
void to_mosaic(FrameModule& view) {
    static const std::regex tile("(.*)-x([0-9]+)-y([0-9]+)");
    std::smatch parts;
    if (std::regex_match(view.frame, parts, tile)) {
        const Eigen::Vector2d corner(std::stod(parts[2]), std::stod(parts[3]));
        for (Eigen::Vector2d& point : view.corners_px) {
            point += corner;
        }
        view.frame = std::string(parts[1]);
    }
}

void read_views(OGRLayer& layer, const std::filesystem::path& file, GradeInput& input) {
    const int frame = column(layer, file, "frame");
    const int module = column(layer, file, "module");
    const int placement = column(layer, file, "placement");
    std::array<int, 8> corners{};
    for (std::size_t i = 0; i < corners.size(); ++i) {
        corners[i] = column(layer, file, kCorners[i]);
    }
    for (auto& feature : layer) {
        FrameModule view;
        view.frame = feature->GetFieldAsString(frame);
        view.module = feature->GetFieldAsString(module);
        view.placement = feature->GetFieldAsString(placement);
        for (std::size_t i = 0; i < 4; ++i) {
            view.corners_px[i] = {feature->GetFieldAsDouble(corners[2 * i]),
                                  feature->GetFieldAsDouble(corners[2 * i + 1])};
        }
        to_mosaic(view);
        input.views.push_back(std::move(view));
    }
}

void read_modules(OGRLayer& layer, const std::filesystem::path& file, GradeInput& input) {
    const int module = column(layer, file, "module");
    const int difference = column(layer, file, "delta_t_1000_k");
    const int rows = column(layer, file, "cell_rows");
    const int columns = column(layer, file, "cell_columns");
    const int values = column(layer, file, "cell_values");
    constexpr int kMeasuredPlane = 2;
    constexpr int kScaledPlane = 4;
    for (auto& feature : layer) {
        MeasuredModule measured;
        measured.module = feature->GetFieldAsString(module);
        measured.delta_t_1000_k = number(*feature, difference);
        const int cells = feature->GetFieldAsInteger(rows) * feature->GetFieldAsInteger(columns);
        if (cells > 0 && feature->IsFieldSetAndNotNull(values)) {
            int size = 0;
            const std::uint8_t* bytes = feature->GetFieldAsBinary(values, &size);
            measured.cell_delta_k = plane(bytes, size, cells, kMeasuredPlane);
            measured.cell_delta_1000_k = plane(bytes, size, cells, kScaledPlane);
        }
        input.measured.push_back(std::move(measured));
    }
}

}  // namespace

void read_analysis_layers(const std::filesystem::path& file, GradeInput& input) {
    GDALAllRegister();
    struct Close {
        void operator()(GDALDataset* dataset) const { GDALClose(dataset); }
    };
    const std::unique_ptr<GDALDataset, Close> dataset(static_cast<GDALDataset*>(
        GDALOpenEx(file.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, nullptr, nullptr, nullptr)));
    if (!dataset) {
        fail(file, "it cannot be opened");
    }
    OGRLayer* views = dataset->GetLayerByName("views");
    if (views == nullptr) {
        fail(file, "no layer 'views' in it");
    }
    read_views(*views, file, input);
    if (OGRLayer* modules = dataset->GetLayerByName("modules")) {
        read_modules(*modules, file, input);
    }
    if (OGRLayer* run = dataset->GetLayerByName("run")) {
        const int key = column(*run, file, "key");
        const int value = column(*run, file, "value");
        for (auto& feature : *run) {
            if (std::string(feature->GetFieldAsString(key)) == "note") {
                input.notes.emplace_back(feature->GetFieldAsString(value));
            }
        }
    }
    if (OGRLayer* strings = dataset->GetLayerByName("strings")) {
        const int string = column(*strings, file, "string");
        const int difference = column(*strings, file, "delta_t_1000_k");
        for (auto& feature : *strings) {
            input.string_delta_1000_k[feature->GetFieldAsString(string)] = number(*feature, difference);
        }
    }
}

}  // namespace scene
