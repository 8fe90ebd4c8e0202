#include "gpkg_file.hpp"

#include "gdal_guard.hpp"
#include "gdal_thread_option.hpp"
#include "heatrow/core/error.hpp"

#include <cpl_error.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace heatrow::detail {
namespace {

namespace fs = std::filesystem;

// WGS 84 / UTM in the zone of the site, or the polar grid beyond its reach: metres in every GIS.
int epsg_of(const SiteOrigin& origin) {
    if (origin.latitude_deg > 84.0) {
        return 5041;
    }
    if (origin.latitude_deg < -80.0) {
        return 5042;
    }
    const double turned = std::remainder(origin.longitude_deg, 360.0);
    const int zone = std::clamp(static_cast<int>(std::floor((turned + 180.0) / 6.0)) + 1, 1, 60);
    return (origin.latitude_deg >= 0.0 ? 32600 : 32700) + zone;
}

OGRSpatialReference reference_of(int epsg, const fs::path& path) {
    OGRSpatialReference reference;
    if (reference.importFromEPSG(epsg) != OGRERR_NONE) {
        fail_gpkg(path, fmt::format("EPSG:{} is not known", epsg));
    }
    reference.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    return reference;
}

std::string sql_text(std::string_view text) {
    std::string out = "'";
    for (const char c : text) {
        out += c == '\'' ? "''" : std::string(1, c);
    }
    return out + "'";
}

std::string insert(int id, const GpkgSchema& schema, const std::string& style, const std::string& time) {
    return "INSERT INTO layer_styles VALUES (" + std::to_string(id) + ",'',''," + sql_text(schema.name) + "," +
           sql_text(kGeometryColumn) + "," + sql_text(schema.name) + "," + sql_text(style) + ",'',1," +
           sql_text(schema.title) + ",'',NULL," + sql_text(time) + ")";
}

// SQL that makes and fills layer_styles.
std::vector<std::string> style_statements(const std::vector<LayerStyle>& styles, const std::string& time) {
    // Columns as QGIS makes them; catalogue and schema stay empty for a GeoPackage.
    std::vector<std::string> statements = {
        "CREATE TABLE layer_styles (id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, f_table_catalog TEXT(256), "
        "f_table_schema TEXT(256), f_table_name TEXT(256), f_geometry_column TEXT(256), styleName TEXT(30), "
        "styleQML TEXT, styleSLD TEXT, useAsDefault BOOLEAN, description TEXT, owner TEXT(30), ui TEXT(30), "
        "update_time DATETIME DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')))",
        // Without its entry GDAL hides the table beside other tables without geometry, and no style is found.
        "INSERT INTO gpkg_contents (table_name, data_type, identifier, description, last_change) VALUES "
        "('layer_styles', 'attributes', 'layer_styles', '', " +
            sql_text(time) + ")"};
    for (const LayerStyle& style : styles) {
        statements.push_back(insert(static_cast<int>(statements.size()) - 1, style.schema, style.qml, time));
    }
    return statements;
}

void write_styles(GDALDataset& dataset,
                  const std::vector<LayerStyle>& styles,
                  const std::string& time,
                  const fs::path& path) {
    for (const std::string& statement : style_statements(styles, time)) {
        CPLErrorReset();
        dataset.ExecuteSQL(statement.c_str(), nullptr, nullptr);
        if (CPLGetLastErrorType() == CE_Failure) {
            fail_gpkg(path, "the styles could not be written");
        }
    }
}

std::vector<TableCount> write_content(const fs::path& path,
                                      const SiteProjection& projection,
                                      const std::string& time,
                                      const std::vector<LayerStyle>& styles,
                                      const TableWriters& write_tables) {
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GPKG");
    GDALDatasetUniquePtr dataset(driver == nullptr ? nullptr
                                                   : driver->Create(path.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
    if (!dataset) {
        fail_gpkg(path, "it could not be made");
    }
    if (dataset->StartTransaction() != OGRERR_NONE) {
        fail_gpkg(path, "no transaction could be started");
    }
    const OGRSpatialReference geographic = reference_of(4326, path);
    const OGRSpatialReference projected = reference_of(epsg_of(projection.origin()), path);
    const MapPoints points(projection, geographic, projected, path);
    std::vector<TableCount> counts = write_tables(*dataset, points, projected);
    write_styles(*dataset, styles, time, path);
    if (dataset->CommitTransaction() != OGRERR_NONE) {
        fail_gpkg(path, "the rows could not be committed");
    }
    CPLErrorReset();  // GDAL 3.6 reports a failing close only here
    dataset.reset();
    if (CPLGetLastErrorType() == CE_Failure) {
        fail_gpkg(path, "it could not be closed");
    }
    return counts;
}

// The first field of the first row that a statement gives; empty for no row.
std::string first_answer(GDALDataset& dataset, const char* statement) {
    OGRLayer* answer = dataset.ExecuteSQL(statement, nullptr, nullptr);
    if (answer == nullptr) {
        return {};
    }
    const OGRFeatureUniquePtr row(answer->GetNextFeature());
    std::string text = row ? row->GetFieldAsString(0) : "";
    dataset.ReleaseResultSet(answer);
    return text;
}

void check_written(const fs::path& path, const std::vector<TableCount>& counts) {
    const GDALDatasetUniquePtr dataset(GDALDataset::Open(path.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY));
    if (!dataset) {
        fail_gpkg(path, "it could not be opened again");
    }
    if (const std::string answer = first_answer(*dataset, "PRAGMA integrity_check"); answer != "ok") {
        fail_gpkg(path, "its integrity check says " + answer);
    }
    if (const std::string answer = first_answer(*dataset, "PRAGMA foreign_key_check"); !answer.empty()) {
        fail_gpkg(path, "its foreign keys do not match in " + answer);
    }
    for (const TableCount& count : counts) {
        OGRLayer* layer = dataset->GetLayerByName(count.table.c_str());
        if (layer == nullptr || layer->GetFeatureCount() != count.rows) {
            fail_gpkg(path, "rows are missing in " + count.table);
        }
    }
    for (const char* companion : {"-journal", "-wal", "-shm"}) {
        if (fs::exists(path.string() + companion)) {
            fail_gpkg(path, fmt::format("its {} file was left behind", companion));
        }
    }
}

}  // namespace

MapPoints::MapPoints(const SiteProjection& projection,
                     const OGRSpatialReference& geographic,
                     const OGRSpatialReference& projected,
                     const std::filesystem::path& file)
    : projection_(projection),
      file_(file),
      transformation_(OGRCreateCoordinateTransformation(&geographic, &projected)) {
    if (!transformation_) {
        fail_gpkg(file_, "the site cannot be put on a map");
    }
}

OGRPoint MapPoints::at(const Eigen::Vector3d& point_in_site) const {
    const SiteProjection::Geographic place = projection_.to_geographic(point_in_site);
    double x = place.longitude_deg;
    double y = place.latitude_deg;
    if (transformation_->Transform(1, &x, &y) == 0) {
        fail_gpkg(file_, "a point cannot be put on the map");
    }
    return {x, y, place.height.value()};
}

std::unique_ptr<OGRGeometry> MapPoints::polygon(const std::vector<Eigen::Vector3d>& corners, bool is_3d) const {
    auto ring = std::make_unique<OGRLinearRing>();
    for (const Eigen::Vector3d& corner : corners) {
        const OGRPoint point = at(corner);
        ring->addPoint(&point);
    }
    ring->closeRings();
    auto polygon = std::make_unique<OGRPolygon>();
    polygon->addRingDirectly(ring.release());
    if (!is_3d) {
        polygon->flattenTo2D();
    }
    return polygon;
}

void write_gpkg_file(const fs::path& path,
                     const SiteProjection& projection,
                     UtcTime time,
                     const std::vector<LayerStyle>& styles,
                     const TableWriters& write_tables) {
    if (fs::exists(path)) {
        throw Error(ErrorKind::output, "cannot write the GeoPackage", path.string(), "it exists", "Remove it first");
    }
    const GdalGuard gdal;
    const std::string written = gpkg_time(time);
    const ThreadOption date("OGR_CURRENT_DATE", written);
    const ThreadOption journal("OGR_SQLITE_JOURNAL", "DELETE");
    check_written(path, write_content(path, projection, written, styles, write_tables));
}

}  // namespace heatrow::detail
