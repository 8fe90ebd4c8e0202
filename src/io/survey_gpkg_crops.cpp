#include "survey_gpkg_crops.hpp"

#include "gpkg_table_reader.hpp"
#include "survey_gpkg_names.hpp"
#include "survey_gpkg_schema.hpp"

#include <fmt/format.h>
#include <libdeflate.h>

#include <bit>
#include <charconv>
#include <memory>

namespace heatrow::detail {
namespace {

namespace fs = std::filesystem;
using Eigen::Vector2d;
using Outlines = std::vector<std::vector<Vector2d>>;
using Bytes = std::vector<std::uint8_t>;

// "x,y x,y x,y|x,y ...": the shortest texts that read back as the same numbers.
std::string outlines_text(const Outlines& outlines) {
    std::string text;
    for (const auto& outline : outlines) {
        text += text.empty() ? "" : "|";
        for (std::size_t i = 0; i < outline.size(); ++i) {
            text += fmt::format("{}{},{}", i == 0 ? "" : " ", outline[i].x(), outline[i].y());
        }
    }
    return text;
}

Outlines outlines_of(const GpkgTableReader& row, const char* column) {
    const std::string text = row.text(column);
    Outlines outlines;
    double number[2] = {};
    const char* at = text.data();
    const char* end = at + text.size();
    while (at != end) {
        if (outlines.empty() || *at == '|') {
            outlines.emplace_back();
            at += *at == '|' ? 1 : 0;
        }
        const auto first = std::from_chars(at, end, number[0]);
        if (first.ec != std::errc{} || first.ptr == end || *first.ptr != ',') {
            row.fail(column, "it holds no outlines");
        }
        const auto second = std::from_chars(first.ptr + 1, end, number[1]);
        if (second.ec != std::errc{}) {
            row.fail(column, "it holds no outlines");
        }
        outlines.back().emplace_back(number[0], number[1]);
        at = second.ptr;
        at += at != end && *at == ' ' ? 1 : 0;
    }
    return outlines;
}

// Little-endian float32 row by row, as a zlib stream (RFC 1950).
Bytes packed(const Image<float>& temperature_c) {
    constexpr int kLevel = 6;
    Bytes plain;
    plain.reserve(4 * temperature_c.pixels().size());
    for (const float value : temperature_c.pixels()) {
        const auto bits = std::bit_cast<std::uint32_t>(value);
        for (unsigned i = 0; i < 4; ++i) {
            plain.push_back(static_cast<std::uint8_t>(bits >> (8 * i)));
        }
    }
    const std::unique_ptr<libdeflate_compressor, void (*)(libdeflate_compressor*)> compressor(
        libdeflate_alloc_compressor(kLevel), libdeflate_free_compressor);
    Bytes bytes(libdeflate_zlib_compress_bound(compressor.get(), plain.size()));
    bytes.resize(libdeflate_zlib_compress(compressor.get(), plain.data(), plain.size(), bytes.data(), bytes.size()));
    return bytes;
}

NameIndex findings_by_id(const SurveyRecord& record) {
    NameIndex findings;
    for (std::size_t i = 0; i < record.findings.size(); ++i) {
        findings.add(record.findings[i].id, static_cast<int>(i));
    }
    return findings;
}

Image<float> unpacked(const GpkgTableReader& row) {
    constexpr long long kWidest = 10'000;  // beyond any detector
    const long long width = row.integer("columns").value_or(0);
    const long long height = row.integer("rows").value_or(0);
    if (width < 1 || height < 1 || width > kWidest || height > kWidest) {
        row.fail("columns", "it is no size of a picture");
    }
    Image<float> image(static_cast<int>(width), static_cast<int>(height));
    const Bytes bytes = row.blob("temperature_c");
    Bytes plain(4 * image.pixels().size());
    const std::unique_ptr<libdeflate_decompressor, void (*)(libdeflate_decompressor*)> decompressor(
        libdeflate_alloc_decompressor(), libdeflate_free_decompressor);
    std::size_t size = 0;
    if (libdeflate_zlib_decompress(decompressor.get(), bytes.data(), bytes.size(), plain.data(), plain.size(), &size) !=
            LIBDEFLATE_SUCCESS ||
        size != plain.size()) {
        row.fail("temperature_c", "it does not hold the pixels of its rows and columns");
    }
    for (std::size_t pixel = 0; pixel < image.pixels().size(); ++pixel) {
        std::uint32_t bits = 0;
        for (unsigned i = 0; i < 4; ++i) {
            bits |= std::uint32_t{plain[4 * pixel + i]} << (8 * i);
        }
        image.pixels()[pixel] = std::bit_cast<float>(bits);
    }
    return image;
}

}  // namespace

TableCount write_crops(GDALDataset& dataset, const SurveyRecord& record, const fs::path& file) {
    GpkgTable table(dataset, crops_schema(), nullptr, file);
    for (const FindingCrop& crop : record.crops) {
        table.text(record.findings[static_cast<std::size_t>(crop.finding)].id);
        table.text(record.frames[static_cast<std::size_t>(crop.frame)].prior.name);
        table.integer(crop.corner_px.x()).integer(crop.corner_px.y());
        table.integer(crop.temperature_c.width()).integer(crop.temperature_c.height()).blob(packed(crop.temperature_c));
        table.text(outlines_text(crop.modules_px)).text(outlines_text(crop.parts_px));
        table.real(crop.hottest_px ? crop.hottest_px->x() : kNaN).real(crop.hottest_px ? crop.hottest_px->y() : kNaN);
        table.real(crop.hottest.value()).real(crop.metres_per_pixel.value());
        table.real(crop.scale_low.value()).real(crop.scale_high.value());
        table.end_row();
    }
    return {table.name(), table.rows()};
}

TableCount write_visible_pictures(GDALDataset& dataset, const SurveyRecord& record, const fs::path& file) {
    GpkgTable table(dataset, visible_pictures_schema(), nullptr, file);
    for (const VisiblePicture& picture : record.visible_pictures) {
        table.text(record.findings[static_cast<std::size_t>(picture.finding)].id);
        table.text(picture.frame).time(picture.time);
        table.text(record.frames[static_cast<std::size_t>(picture.partner)].prior.name);
        table.blob(Bytes(picture.jpeg.begin(), picture.jpeg.end()));
        table.integer(picture.size_px.x()).integer(picture.size_px.y());
        table.text(outlines_text({picture.module_px})).text(picture.fits ? "yes" : "no");
        table.end_row();
    }
    return {table.name(), table.rows()};
}

void read_crops(GDALDataset& dataset, const fs::path& file, SurveyRecord& record) {
    const NameIndex frames = frames_by_name(record);
    const NameIndex findings = findings_by_id(record);
    for (GpkgTableReader row(dataset, crops_schema(), file); row.next();) {
        FindingCrop crop;
        crop.finding = findings.of(row, "finding");
        crop.frame = frames.of(row, "frame");
        crop.corner_px = {static_cast<int>(row.integer("x").value_or(0)),
                          static_cast<int>(row.integer("y").value_or(0))};
        crop.temperature_c = unpacked(row);
        crop.modules_px = outlines_of(row, "modules_px");
        crop.parts_px = outlines_of(row, "parts_px");
        if (const Vector2d hottest(row.real("hottest_x"), row.real("hottest_y")); hottest.allFinite()) {
            crop.hottest_px = hottest;
        }
        crop.hottest = Celsius(row.real("hottest_c"));
        crop.metres_per_pixel = Metres(row.real("metres_per_pixel"));
        crop.scale_low = Celsius(row.real("scale_low_c"));
        crop.scale_high = Celsius(row.real("scale_high_c"));
        record.crops.push_back(std::move(crop));
    }
}

void read_visible_pictures(GDALDataset& dataset, const fs::path& file, SurveyRecord& record) {
    if (dataset.GetLayerByName(visible_pictures_schema().name) == nullptr) {
        return;
    }
    const NameIndex frames = frames_by_name(record);
    const NameIndex findings = findings_by_id(record);
    for (GpkgTableReader row(dataset, visible_pictures_schema(), file); row.next();) {
        VisiblePicture picture;
        picture.finding = findings.of(row, "finding");
        picture.frame = row.text("visible_frame");
        picture.time = row.time("time_utc").value_or(UtcTime{});
        picture.partner = frames.of(row, "frame");
        const Bytes jpeg = row.blob("jpeg");
        picture.jpeg.assign(jpeg.begin(), jpeg.end());
        picture.size_px = {static_cast<int>(row.integer("columns").value_or(0)),
                           static_cast<int>(row.integer("rows").value_or(0))};
        const Outlines outlines = outlines_of(row, "module_px");
        if (picture.size_px.minCoeff() < 1 || outlines.size() != 1) {
            row.fail("module_px", "it is no picture with one outline");
        }
        picture.module_px = outlines.front();
        picture.fits = row.yes("fits");
        record.visible_pictures.push_back(std::move(picture));
    }
}

}  // namespace heatrow::detail
