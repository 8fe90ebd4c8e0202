// Writing one table of a GeoPackage row by row, its columns declared once.
#pragma once

#include "heatrow/core/time.hpp"

#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <cstdint>
#include <filesystem>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow::detail {

enum class GpkgType { text, integer, real, time, blob };

struct GpkgColumn {
    const char* name;
    GpkgType type;
    const char* alias;            // name with its unit, as shown in a GIS
    bool may_be_missing = false;  // in files of the same format version that were written before it was there
};

// What a table is.
struct GpkgSchema {
    const char* name;
    OGRwkbGeometryType geometry;  // wkbNone for a table without one
    const char* title;
    std::vector<GpkgColumn> columns;
};

// The geometry column of every layer; styles must name it exactly.
inline constexpr const char* kGeometryColumn = "geom";

// Throws Error(output) naming the file and what GDAL said.
[[noreturn]] void fail_gpkg(const std::filesystem::path& file, std::string_view what);

// "2026-06-17T11:02:14.000Z", as the GeoPackage standard asks for.
std::string gpkg_time(UtcTime time);
// Sets a date-time field, UTC.
void set_time(OGRFeature& feature, int field, UtcTime time);

class GpkgTable {
  public:
    // Rows are added to a table that is there.
    GpkgTable(OGRLayer& layer, const GpkgSchema& schema, const std::filesystem::path& file);
    // The table is made.
    // `reference` may be null for a table without geometry.
    GpkgTable(GDALDataset& dataset,
              const GpkgSchema& schema,
              const OGRSpatialReference* reference,
              const std::filesystem::path& file);

    // Fields of the next row, in the order of the columns.
    GpkgTable& text(std::string_view value);  // empty = null
    GpkgTable& integer(long long value);
    GpkgTable& real(double value);  // NaN and infinities = null
    GpkgTable& time(UtcTime value);
    GpkgTable& blob(const std::vector<std::uint8_t>& bytes);  // empty = null
    GpkgTable& null();
    // Ends the row; null = no geometry.
    void end_row(std::unique_ptr<OGRGeometry> geometry = nullptr);

    [[nodiscard]] long long rows() const { return rows_; }
    [[nodiscard]] const char* name() const { return schema_.name; }

  private:
    int next(GpkgType type);

    const GpkgSchema& schema_;
    const std::filesystem::path& file_;
    OGRLayer* layer_;
    OGRFeatureUniquePtr feature_;
    int column_ = 0;
    long long rows_ = 0;
};

}  // namespace heatrow::detail
