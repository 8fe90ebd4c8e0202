#include "fault_sheet.hpp"

#include "csv_table.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/core/image.hpp"
#include "matching.hpp"
#include "whole_view.hpp"

#include <gdal_priv.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <memory>
#include <optional>

namespace scene {
namespace {

namespace fs = std::filesystem;
using heatrow::Error;
using heatrow::ErrorKind;
using heatrow::Image;

constexpr int kTile = 176;  // px, a side
constexpr int kGap = 6;
constexpr int kColumns = 7;
constexpr double kMargin_px = 4.0;  // of the frame, around the module

struct Close {
    void operator()(GDALDataset* dataset) const { GDALClose(dataset); }
};
using Dataset = std::unique_ptr<GDALDataset, Close>;

Image<float> read_counts(const fs::path& file) {
    const Dataset dataset(static_cast<GDALDataset*>(
        GDALOpenEx(file.c_str(), GDAL_OF_RASTER | GDAL_OF_READONLY, nullptr, nullptr, nullptr)));
    if (!dataset) {
        throw Error(ErrorKind::input, "Could not read a frame", file.string(), "no raster file", "Render again.");
    }
    const int width = dataset->GetRasterXSize();
    const int height = dataset->GetRasterYSize();
    Image<float> counts(width, height);
    if (dataset->GetRasterBand(1)->RasterIO(
            GF_Read, 0, 0, width, height, counts.pixels().data(), width, height, GDT_Float32, 0, 0, nullptr) !=
        CE_None) {
        throw Error(ErrorKind::input, "Could not read a frame", file.string(), "it is damaged", "Render again.");
    }
    return counts;
}

struct Box {
    double left = 1e9, top = 1e9, right = -1e9, bottom = -1e9;
};

Box box_of(const Quad& corners) {
    Box box;
    for (const Eigen::Vector2d& corner : corners) {
        box.left = std::min(box.left, corner.x() - kMargin_px);
        box.right = std::max(box.right, corner.x() + kMargin_px);
        box.top = std::min(box.top, corner.y() - kMargin_px);
        box.bottom = std::max(box.bottom, corner.y() + kMargin_px);
    }
    return box;
}

// Whole views of each module.
std::map<std::string, std::vector<FrameModule>> whole_views(const fs::path& truth) {
    const CsvTable table = CsvTable::read(truth / "outlines.csv", {"frame", "module", "x1", "visible_share"});
    constexpr std::array<const char*, 8> kCorners{"x1", "y1", "x2", "y2", "x3", "y3", "x4", "y4"};
    std::map<std::string, std::vector<FrameModule>> views;
    for (std::size_t row = 0; row < table.size(); ++row) {
        if (table.number(row, "visible_share") <= kWholeShare) {
            continue;
        }
        FrameModule view{.frame = table.text(row, "frame"), .module = table.text(row, "module"), .corners_px = {}};
        for (std::size_t i = 0; i < 4; ++i) {
            view.corners_px[i] = {table.number(row, kCorners[2 * i]), table.number(row, kCorners[2 * i + 1])};
        }
        views[view.module].push_back(std::move(view));
    }
    return views;
}

// Enlarged to the tile by whole pixels as they are; black at an eighth of the module, white at 99 %.
void draw_tile(Image<std::uint8_t>& sheet, SheetTile& tile, const Image<float>& counts, const Quad& corners) {
    const Box box = box_of(corners);
    const double side = std::max(box.right - box.left, box.bottom - box.top);
    const double left = 0.5 * (box.left + box.right - side);
    const double top = 0.5 * (box.top + box.bottom - side);
    const auto at = [&](int x, int y) {
        const int px =
            std::clamp(static_cast<int>(std::lround(left + (x + 0.5) / kTile * side)), 0, counts.width() - 1);
        const int py =
            std::clamp(static_cast<int>(std::lround(top + (y + 0.5) / kTile * side)), 0, counts.height() - 1);
        return counts.view()(px, py);
    };
    std::vector<float> inside;
    for (int y = 0; y < kTile; ++y) {
        for (int x = 0; x < kTile; ++x) {
            const Eigen::Vector2d place(left + (x + 0.5) / kTile * side, top + (y + 0.5) / kTile * side);
            if (inside_quad(corners, place)) {
                inside.push_back(at(x, y));
            }
        }
    }
    std::ranges::sort(inside);
    tile.low = static_cast<double>(inside[inside.size() / 8]);  // below lies the rim, which takes a tenth of the area
    tile.high = std::max(tile.low + 1.0, static_cast<double>(inside[inside.size() - 1 - inside.size() / 100]));
    for (int y = 0; y < kTile; ++y) {
        for (int x = 0; x < kTile; ++x) {
            const double share = (static_cast<double>(at(x, y)) - tile.low) / (tile.high - tile.low);
            sheet.view()((tile.column - 1) * (kTile + kGap) + x, (tile.row - 1) * (kTile + kGap) + y) =
                static_cast<std::uint8_t>(std::lround(255.0 * std::clamp(share, 0.0, 1.0)));
        }
    }
}

void write_png(const fs::path& file, const Image<std::uint8_t>& sheet) {
    CPLErrorReset();
    GDALDriverManager& drivers = *GetGDALDriverManager();
    const Dataset memory(
        drivers.GetDriverByName("MEM")->Create("", sheet.width(), sheet.height(), 1, GDT_Byte, nullptr));
    auto pixels = sheet.pixels();
    bool good = memory->GetRasterBand(1)->RasterIO(GF_Write,
                                                   0,
                                                   0,
                                                   sheet.width(),
                                                   sheet.height(),
                                                   pixels.data(),
                                                   sheet.width(),
                                                   sheet.height(),
                                                   GDT_Byte,
                                                   0,
                                                   0,
                                                   nullptr) == CE_None;
    fs::path aside = file;
    aside += ".part";
    good = good && Dataset(drivers.GetDriverByName("PNG")->CreateCopy(
                       aside.c_str(), memory.get(), FALSE, nullptr, nullptr, nullptr)) != nullptr;
    std::error_code failed;
    if (good && CPLGetLastErrorType() < CE_Failure) {
        fs::rename(aside, file, failed);
    }
    if (!good || CPLGetLastErrorType() >= CE_Failure || failed) {
        throw Error(ErrorKind::output,
                    "Could not write the sheet",
                    file.string(),
                    failed ? failed.message() : CPLGetLastErrorMsg(),
                    "Check free space and permissions.");
    }
}

}  // namespace

std::vector<SheetTile> write_fault_sheet(const SheetOptions& options) {
    GDALAllRegister();
    if (fs::exists(options.out) && !options.overwrite) {
        throw Error(
            ErrorKind::usage, "Will not replace", options.out.string(), "it exists", "Use --overwrite to replace it.");
    }
    const auto views = whole_views(options.rendered / "truth");
    const CsvTable faults =
        CsvTable::read(options.rendered / "truth" / "faults.csv", {"fault", "pattern", "module", "modules", "decoy"});
    std::vector<SheetTile> tiles;
    std::vector<Quad> corners;
    std::optional<Eigen::Vector2d> middle;
    for (std::size_t row = 0; row < faults.size(); ++row) {
        std::string module = faults.text(row, "module");
        if (module.empty() && faults.text(row, "decoy") != "yes") {
            const auto members = words_of(faults.text(row, "modules"));
            module = members.empty() ? "" : members.back();  // of degradation, the worst is the last
        }
        const auto seen = views.find(module);
        if (seen == views.end()) {
            continue;
        }
        if (!middle) {
            const Image<float> first = read_counts(options.rendered / "frames" / seen->second.front().frame);
            middle = Eigen::Vector2d(0.5 * (first.width() - 1), 0.5 * (first.height() - 1));
        }
        const auto nearest = std::ranges::min_element(seen->second, {}, [&middle](const FrameModule& view) {
            return (centre_of(view.corners_px) - *middle).norm();
        });
        const int number = static_cast<int>(tiles.size());
        tiles.push_back({.row = number / kColumns + 1,
                         .column = number % kColumns + 1,
                         .fault = faults.text(row, "fault"),
                         .pattern = faults.text(row, "pattern"),
                         .module = module,
                         .frame = nearest->frame});
        corners.push_back(nearest->corners_px);
    }
    if (tiles.empty()) {
        throw Error(ErrorKind::input,
                    "Could not draw the sheet",
                    options.rendered.string(),
                    "no fault lies in a module that a frame shows wholly",
                    "Give a rendered folder with faults.");
    }
    Image<std::uint8_t> sheet(kColumns * (kTile + kGap), tiles.back().row * (kTile + kGap));
    for (std::size_t i = 0; i < tiles.size(); ++i) {
        draw_tile(sheet, tiles[i], read_counts(options.rendered / "frames" / tiles[i].frame), corners[i]);
    }
    write_png(options.out, sheet);
    return tiles;
}

}  // namespace scene
