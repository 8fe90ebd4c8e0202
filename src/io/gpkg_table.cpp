#include "gpkg_table.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/report/markup.hpp"

#include <cpl_error.h>
#include <cpl_string.h>
#include <fmt/format.h>

#include <cassert>
#include <chrono>
#include <cmath>

namespace heatrow::detail {
namespace {

OGRFieldType ogr_type(GpkgType type) {
    switch (type) {
        case GpkgType::text:
            return OFTString;
        case GpkgType::integer:
            return OFTInteger64;
        case GpkgType::real:
            return OFTReal;
        case GpkgType::time:
            return OFTDateTime;
        case GpkgType::blob:
            return OFTBinary;
    }
    return OFTString;
}

}  // namespace

void fail_gpkg(const std::filesystem::path& file, std::string_view what) {
    const std::string reason = CPLGetLastErrorType() == CE_None ? "no reason given" : CPLGetLastErrorMsg();
    throw Error(ErrorKind::output,
                "cannot write the GeoPackage",
                file.string(),
                fmt::format("{}: {}", what, reason),
                "Check that the disk is writable and has room");
}

std::string gpkg_time(UtcTime time) {
    std::string text = to_iso8601(time);
    text.insert(text.size() - 1, ".000");
    return text;
}

void set_time(OGRFeature& feature, int field, UtcTime value) {
    const auto day = std::chrono::floor<std::chrono::days>(value);
    const std::chrono::year_month_day date(day);
    const std::chrono::hh_mm_ss clock(value - day);
    constexpr int kUtc = 100;  // OGR's mark of UTC
    const double seconds = std::chrono::duration<double>(clock.seconds() + clock.subseconds()).count();
    feature.SetField(field,
                     static_cast<int>(date.year()),
                     static_cast<int>(static_cast<unsigned>(date.month())),
                     static_cast<int>(static_cast<unsigned>(date.day())),
                     static_cast<int>(clock.hours().count()),
                     static_cast<int>(clock.minutes().count()),
                     static_cast<float>(seconds),
                     kUtc);
}

GpkgTable::GpkgTable(GDALDataset& dataset,
                     const GpkgSchema& schema,
                     const OGRSpatialReference* reference,
                     const std::filesystem::path& file)
    : schema_(schema), file_(file) {
    CPLStringList options;
    options.SetNameValue("FID", "fid");
    options.SetNameValue("GEOMETRY_NAME", kGeometryColumn);
    options.SetNameValue("IDENTIFIER", schema.title);
    options.SetNameValue("SPATIAL_INDEX", schema.geometry == wkbNone ? "NO" : "YES");
    // GDAL 3.6 takes a mutable pointer and copies what it points to.
    auto* mutable_reference = const_cast<OGRSpatialReference*>(reference);
    layer_ = dataset.CreateLayer(schema.name, mutable_reference, schema.geometry, options.List());
    if (layer_ == nullptr) {
        fail_gpkg(file_, fmt::format("table {} could not be made", schema.name));
    }
    for (const GpkgColumn& column : schema.columns) {
        OGRFieldDefn field(column.name, ogr_type(column.type));
        field.SetAlternativeName(column.alias);
        if (layer_->CreateField(&field) != OGRERR_NONE) {
            fail_gpkg(file_, fmt::format("column {} of {} could not be made", column.name, schema.name));
        }
    }
    feature_.reset(OGRFeature::CreateFeature(layer_->GetLayerDefn()));
}

GpkgTable::GpkgTable(OGRLayer& layer, const GpkgSchema& schema, const std::filesystem::path& file)
    : schema_(schema), file_(file), layer_(&layer), feature_(OGRFeature::CreateFeature(layer.GetLayerDefn())) {}

int GpkgTable::next([[maybe_unused]] GpkgType type) {
    assert(column_ < static_cast<int>(schema_.columns.size()));
    assert(schema_.columns[static_cast<std::size_t>(column_)].type == type);
    return column_++;
}

GpkgTable& GpkgTable::text(std::string_view value) {
    const int column = next(GpkgType::text);
    if (!value.empty()) {
        feature_->SetField(column, clean_utf8(value).c_str());
    }
    return *this;
}

GpkgTable& GpkgTable::integer(long long value) {
    feature_->SetField(next(GpkgType::integer), static_cast<GIntBig>(value));
    return *this;
}

GpkgTable& GpkgTable::real(double value) {
    const int column = next(GpkgType::real);
    if (std::isfinite(value)) {
        feature_->SetField(column, value);
    }
    return *this;
}

GpkgTable& GpkgTable::time(UtcTime value) {
    set_time(*feature_, next(GpkgType::time), value);
    return *this;
}

GpkgTable& GpkgTable::blob(const std::vector<std::uint8_t>& bytes) {
    const int column = next(GpkgType::blob);
    if (!bytes.empty()) {
        feature_->SetField(column, static_cast<int>(bytes.size()), bytes.data());
    }
    return *this;
}

GpkgTable& GpkgTable::null() {
    ++column_;
    return *this;
}

void GpkgTable::end_row(std::unique_ptr<OGRGeometry> geometry) {
    assert(column_ == static_cast<int>(schema_.columns.size()));
    if (geometry) {
        feature_->SetGeometryDirectly(geometry.release());
    }
    if (layer_->CreateFeature(feature_.get()) != OGRERR_NONE) {
        fail_gpkg(file_, fmt::format("a row of {} could not be written", schema_.name));
    }
    ++rows_;
    column_ = 0;
    feature_.reset(OGRFeature::CreateFeature(layer_->GetLayerDefn()));
}

}  // namespace heatrow::detail
