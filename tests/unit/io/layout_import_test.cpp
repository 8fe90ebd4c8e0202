#include "heatrow/io/layout_import.hpp"

#include "heatrow/io/layout_reader.hpp"
#include "heatrow/io/layout_writer.hpp"
#include "heatrow/io/site_projection.hpp"
#include "support/check_error.hpp"
#include "support/plain_type.hpp"
#include "support/temp_folder.hpp"

#include <catch2/catch.hpp>
#include <fmt/format.h>
#include <ogrsf_frmts.h>

#include <cmath>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::kPlainType;
using heatrow::testing::message_of;
using heatrow::testing::TempFolder;

namespace {

constexpr SiteOrigin kOrigin{11.4213, 48.1027, Metres(0.0)};

// Two rows of three modules in the plan, flat on the ground, 1.02 m and 1.62 m apart; ids r1c1 to r2c3.
struct PlanModule {
    std::string id;
    Eigen::Vector2d low;
};

std::vector<PlanModule> plan_modules() {
    std::vector<PlanModule> modules;
    for (int row = 0; row < 2; ++row) {
        for (int column = 0; column < 3; ++column) {
            modules.push_back({fmt::format("r{}c{}", row + 1, column + 1), {column * 1.02, row * 1.62}});
        }
    }
    return modules;
}

std::vector<Eigen::Vector2d> ring_of(const PlanModule& module) {
    const Eigen::Vector2d& low = module.low;
    return {low, low + Eigen::Vector2d(1.0, 0.0), low + Eigen::Vector2d(1.0, 1.6), low + Eigen::Vector2d(0.0, 1.6)};
}

Eigen::Vector2d geographic(const Eigen::Vector2d& in_site) {
    const auto place = SiteProjection(kOrigin).to_geographic({in_site.x(), in_site.y(), 0.0});
    return {place.longitude_deg, place.latitude_deg};
}

// A drawing file made by GDAL.
class DrawnFile {
  public:
    DrawnFile(const std::filesystem::path& path, const char* driver, int epsg = 0) {
        GDALAllRegister();
        dataset_.reset(
            GetGDALDriverManager()->GetDriverByName(driver)->Create(path.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
        REQUIRE(dataset_ != nullptr);
        if (epsg != 0) {
            reference_.importFromEPSG(epsg);
            reference_.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
        }
    }
    OGRLayer& layer(const char* name,
                    const std::vector<std::pair<const char*, OGRFieldType>>& fields,
                    OGRwkbGeometryType kind = wkbUnknown) {
        OGRLayer* layer = dataset_->CreateLayer(name, reference_.IsEmpty() ? nullptr : &reference_, kind, nullptr);
        REQUIRE(layer != nullptr);
        for (const auto& [field, type] : fields) {
            OGRFieldDefn definition(field, type);
            layer->CreateField(&definition);
        }
        return *layer;
    }
    void close() { dataset_.reset(); }

  private:
    GDALDatasetUniquePtr dataset_;
    OGRSpatialReference reference_;
};

using Values = std::vector<std::pair<const char*, std::string>>;

void add(OGRLayer& layer, const OGRGeometry& geometry, const Values& values, const char* style = nullptr) {
    const OGRFeatureUniquePtr feature(OGRFeature::CreateFeature(layer.GetLayerDefn()));
    for (const auto& [field, value] : values) {
        feature->SetField(field, value.c_str());
    }
    feature->SetStyleString(style);
    feature->SetGeometry(&geometry);
    REQUIRE(layer.CreateFeature(feature.get()) == OGRERR_NONE);
}

OGRLineString line_of(const std::vector<Eigen::Vector2d>& ring, bool closed = true) {
    OGRLineString line;
    for (const Eigen::Vector2d& point : ring) {
        line.addPoint(point.x(), point.y());
    }
    if (closed) {
        line.addPoint(ring.front().x(), ring.front().y());
    }
    return line;
}

OGRPolygon polygon_of(const std::vector<Eigen::Vector2d>& ring) {
    OGRLinearRing outer;
    for (const Eigen::Vector2d& point : ring) {
        outer.addPoint(point.x(), point.y());
    }
    outer.closeRings();
    OGRPolygon polygon;
    polygon.addRing(&outer);
    return polygon;
}

// Drawn in millimetres, turned by 30 deg, as offices draw.
constexpr double kTurn = 0.5235987755982988;
Eigen::Vector2d in_drawing(const Eigen::Vector2d& in_site) {
    const Eigen::Vector2d turned(std::cos(kTurn) * in_site.x() - std::sin(kTurn) * in_site.y(),
                                 std::sin(kTurn) * in_site.x() + std::cos(kTurn) * in_site.y());
    return 1000.0 * turned + Eigen::Vector2d(5e5, 2e5);
}

std::vector<Eigen::Vector2d> drawn(std::vector<Eigen::Vector2d> ring) {
    for (Eigen::Vector2d& point : ring) {
        point = in_drawing(point);
    }
    return ring;
}

// Closed polylines of six modules and their ids as texts; more is drawn by `extra`.
template <class Extra>
std::filesystem::path dxf(const TempFolder& folder, Extra extra, std::size_t texts = 6) {
    const auto path = folder.path() / "plan.dxf";
    DrawnFile file(path, "DXF");
    OGRLayer& layer = file.layer("entities", {});
    const auto modules = plan_modules();
    for (std::size_t i = 0; i < modules.size(); ++i) {
        const auto ring = ring_of(modules[i]);
        add(layer, line_of(drawn(ring)), {{"Layer", "PV"}});
        if (i < texts) {
            const Eigen::Vector2d at = in_drawing(modules[i].low + Eigen::Vector2d(0.2, 0.5));
            add(layer,
                OGRPoint(at.x(), at.y()),
                {{"Layer", "IDS"}},
                fmt::format("LABEL(t:\"{}\",s:100g)", modules[i].id).c_str());
        }
    }
    extra(layer);
    file.close();
    return path;
}

std::filesystem::path dxf(const TempFolder& folder) {
    return dxf(folder, [](OGRLayer&) {});
}

PointPair pair_at(const Eigen::Vector2d& in_site, const Eigen::Vector2d& slip = {0.0, 0.0}) {
    return {in_drawing(in_site), geographic(in_site + slip)};
}

ImportOptions dxf_options() {
    ImportOptions options;
    options.labels = true;
    options.values = {{"type", "plain"}, {"tilt", "0"}, {"azimuth", "180"}};
    options.points = {pair_at({0.0, 0.0}), pair_at({3.0, 0.0}), pair_at({3.0, 3.0})};
    return options;
}

ImportedLayout import(const TempFolder& folder,
                      const std::filesystem::path& file,
                      const ImportOptions& options,
                      const DrawingChoice& choice = {}) {
    folder.write("types/plain.toml", kPlainType);
    return import_layout(read_drawing(file, choice), options, ModuleTypeCatalogue({folder.path() / "types"}));
}

std::string import_message(const TempFolder& folder,
                           const std::filesystem::path& file,
                           const ImportOptions& options,
                           const DrawingChoice& choice = {}) {
    return message_of([&] { static_cast<void>(import(folder, file, options, choice)); });
}

// Ids, and corners to a millimetre, wherever the import put its origin.
void check_is_plan(const ImportedLayout& imported) {
    const auto modules = plan_modules();
    REQUIRE(imported.modules.size() == modules.size());
    const SiteProjection from(imported.origin);
    const SiteProjection to(kOrigin);
    for (std::size_t i = 0; i < modules.size(); ++i) {
        CHECK(imported.modules[i].id == modules[i].id);
        // Top left as seen by someone who looks north.
        const Eigen::Vector3d corner = imported.modules[i].corners_in_site[0];
        const auto place = from.to_geographic({corner.x(), corner.y(), 0.0});
        const Eigen::Vector3d in_site = to.to_site(place.longitude_deg, place.latitude_deg, Metres(0.0));
        CHECK((in_site.head<2>() - (modules[i].low + Eigen::Vector2d(0.0, 1.6))).norm() < 1e-3);
    }
}

}  // namespace

TEST_CASE("layout read: DXF in millimetres, turned, closed polylines, ids as texts", "[io]") {
    const TempFolder folder;
    const auto imported = import(folder, dxf(folder), dxf_options());
    check_is_plan(imported);
    REQUIRE(imported.fit);
    CHECK(imported.fit->scale == Approx(0.001).epsilon(1e-6));
    CHECK(imported.fit->turn_rad == Approx(-kTurn).epsilon(1e-6));
    for (const double residual : imported.fit->residuals_m) {
        CHECK(residual < 1e-3);
    }
    CHECK(imported.labels_left_over == 0);
}

TEST_CASE("layout read: what points disagree by is told point by point", "[io]") {
    const TempFolder folder;
    ImportOptions options = dxf_options();
    options.points.back() = pair_at({3.0, 3.0}, {0.02, 0.0});
    const auto imported = import(folder, dxf(folder), options);
    REQUIRE(imported.fit);
    REQUIRE(imported.fit->residuals_m.size() == 3);
    for (const double residual : imported.fit->residuals_m) {
        CHECK(residual > 0.001);
        CHECK(residual < 0.02);
    }
}

TEST_CASE("layout read: the points of a fit that cannot be", "[io]") {
    const TempFolder folder;
    const auto file = dxf(folder);
    ImportOptions options = dxf_options();
    options.points = {pair_at({0.0, 0.0})};
    CHECK_THAT(import_message(folder, file, options), Contains("usage: ") && Contains("one point fits"));
    options.points = {pair_at({0.0, 0.0}), pair_at({3.0, 0.0}), pair_at({3.0, 3.0}, {4.0, 0.0})};
    CHECK_THAT(import_message(folder, file, options), Contains("point 2 is") && Contains("m off"));
    // East and north changed on site.
    options.points = {pair_at({0.0, 0.0}), pair_at({3.0, 0.0}), pair_at({3.0, 30.0})};
    for (PointPair& pair : options.points) {
        std::swap(pair.in_drawing.x(), pair.in_drawing.y());
    }
    CHECK_THAT(import_message(folder, file, options), Contains("mirrored"));
    options.points = {pair_at({0.0, 0.0}), {in_drawing({3.0, 0.0}), geographic({2.5, 0.0})}};
    CHECK_THAT(import_message(folder, file, options), Contains("no m, cm, mm, foot or inch"));
    options.points = {pair_at({0.0, 0.0}), pair_at({3.0, 0.0})};
    options.unit_m = 0.01;
    CHECK_THAT(import_message(folder, file, options), Contains("not the 0.01 m of --units"));
    options.points.clear();
    CHECK_THAT(import_message(folder, file, options), Contains("does not say where it lies") && Contains("--fit"));
}

TEST_CASE("layout read: bad drawings are refused with the entity named", "[io]") {
    const TempFolder folder;
    const ImportOptions options = dxf_options();
    const DrawingChoice pv{{"PV"}, {}};
    SECTION("an open line in a layer that was asked for") {
        const auto file = dxf(folder, [](OGRLayer& layer) {
            add(layer, line_of(drawn({{9.0, 0.0}, {10.0, 0.0}, {10.0, 1.6}, {9.0, 1.6}}), false), {{"Layer", "PV"}});
        });
        CHECK_THAT(
            import_message(folder, file, options, pv),
            Contains("layer \"PV\", handle ") && Contains("the line is not closed, near (") && Contains("Close it"));
        // Not asked for: left out and counted.
        CHECK_THAT(read_drawing(file, {}).left_out.at(0),
                   Contains("1 of layer \"PV\" left out: the line is not closed"));
    }
    SECTION("five corners") {
        const auto file = dxf(folder, [](OGRLayer& layer) {
            add(layer, line_of(drawn({{9, 0}, {10, 0}, {10, 1}, {9.5, 1.6}, {9, 1}})), {{"Layer", "PV"}});
        });
        CHECK_THAT(import_message(folder, file, options, pv), Contains("handle ") && Contains("has 5 corners, not 4"));
    }
    SECTION("a corner too many on a straight side is none") {
        const auto file = dxf(folder, [](OGRLayer& layer) {
            add(layer, line_of(drawn({{9, 0}, {9.5, 0}, {10, 0}, {10, 1.6}, {9, 1.6}, {9, 0.8}})), {{"Layer", "PV"}});
        });
        CHECK(read_drawing(file, {}).outlines.back().ring.size() == 4);
    }
    SECTION("outlines in several layers") {
        const auto file = dxf(folder, [](OGRLayer& layer) {
            add(layer, line_of(drawn({{9, 0}, {10, 0}, {10, 1.6}, {9, 1.6}})), {{"Layer", "FRAME"}});
        });
        CHECK_THAT(import_message(folder, file, options),
                   Contains("\"FRAME\" (1), \"PV\" (6)") && Contains("--layer NAME"));
        CHECK(import(folder, file, options, pv).modules.size() == 6);
        CHECK_THAT(import_message(folder, file, options, {{"PVX"}, {}}), Contains("no layer \"PVX\""));
    }
    SECTION("no text") {
        CHECK_THAT(import_message(folder,
                                  dxf(
                                      folder, [](OGRLayer&) {}, 5),
                                  options),
                   Contains("layer \"PV\", handle ") && Contains("no text lies in it or near it, at ("));
    }
    SECTION("two texts") {
        const auto file = dxf(folder, [](OGRLayer& layer) {
            const Eigen::Vector2d at = in_drawing({0.5, 0.5});
            add(layer, OGRPoint(at.x(), at.y()), {{"Layer", "NOTES"}}, "LABEL(t:\"see detail\",s:100g)");
        });
        CHECK_THAT(import_message(folder, file, options),
                   Contains("handle ") && Contains("see detail") && Contains("--labels LAYER"));
        check_is_plan(import(folder, file, options, {{}, {"IDS"}}));
    }
    SECTION("the same text twice") {
        const auto file = dxf(
            folder,
            [](OGRLayer& layer) {
                const Eigen::Vector2d at = in_drawing(plan_modules()[5].low + Eigen::Vector2d(0.2, 0.5));
                add(layer, OGRPoint(at.x(), at.y()), {{"Layer", "IDS"}}, "LABEL(t:\"r1c1\",s:100g)");
            },
            5);
        CHECK_THAT(import_message(folder, file, options), Contains("its id \"r1c1\" is that of layer \"PV\", handle "));
    }
    SECTION("drawn twice") {
        const auto file = dxf(folder, [](OGRLayer& layer) {
            add(layer, line_of(drawn(ring_of(plan_modules()[2]))), {{"Layer", "PV"}});
            const Eigen::Vector2d at = in_drawing({3.3, 0.5});
            add(layer, OGRPoint(at.x(), at.y()), {{"Layer", "IDS"}}, "LABEL(t:\"copy\",s:100g)");
        });
        const std::string message = import_message(folder, file, options);
        CHECK_THAT(message, Contains("handle "));
        CHECK_THAT(message, Contains("lies on module") || Contains("would serve for"));
    }
    SECTION("of another size than its type") {
        const auto file = dxf(folder, [](OGRLayer& layer) {
            add(layer, line_of(drawn({{9, 0}, {10.4, 0}, {10.4, 1.6}, {9, 1.6}})), {{"Layer", "PV"}});
            const Eigen::Vector2d at = in_drawing({9.5, 0.5});
            add(layer, OGRPoint(at.x(), at.y()), {{"Layer", "IDS"}}, "LABEL(t:\"wide\",s:100g)");
        });
        CHECK_THAT(import_message(folder, file, options),
                   Contains("handle ") && Contains("1.400 m wide and 1.600 m high") && Contains("at ("));
    }
    SECTION("something unsaid") {
        ImportOptions silent = options;
        silent.values.erase("azimuth");
        CHECK_THAT(import_message(folder, dxf(folder), silent),
                   Contains("nothing says its 'azimuth'") && Contains("--set azimuth=VALUE"));
        silent = options;
        silent.fields = {{"string", "STR"}};
        CHECK_THAT(import_message(folder, dxf(folder), silent),
                   Contains("no outline has a field 'STR'") && Contains("EntityHandle"));
    }
    SECTION("DWG") {
        CHECK_THAT(import_message(folder, folder.write("plan.dwg", "AC1015"), options), Contains("Save it as DXF"));
    }
}

TEST_CASE("layout read: Shapefile in UTM with fields of its own", "[io]") {
    const TempFolder folder;
    const auto path = folder.path() / "modules.shp";
    {
        DrawnFile file(path, "ESRI Shapefile", 25832);
        OGRLayer& layer =
            file.layer("modules", {{"MOD_ID", OFTString}, {"STR", OFTString}, {"POS", OFTInteger}}, wkbPolygon);
        OGRSpatialReference from;
        from.SetWellKnownGeogCS("WGS84");
        from.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
        OGRSpatialReference to;
        to.importFromEPSG(25832);
        to.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
        const std::unique_ptr<OGRCoordinateTransformation> transformation(
            OGRCreateCoordinateTransformation(&from, &to));
        int position = 0;
        for (const PlanModule& module : plan_modules()) {
            std::vector<Eigen::Vector2d> ring;
            for (const Eigen::Vector2d& point : ring_of(module)) {
                Eigen::Vector2d place = geographic(point);
                REQUIRE(transformation->Transform(1, &place.x(), &place.y()) != 0);
                ring.push_back(place);
            }
            add(layer, polygon_of(ring), {{"MOD_ID", module.id}, {"STR", "S7"}, {"POS", std::to_string(++position)}});
        }
        file.close();
    }
    ImportOptions options;
    options.fields = {{"module", "MOD_ID"}, {"string", "STR"}, {"position", "POS"}};
    options.values = {{"type", "plain"}, {"tilt", "0"}, {"azimuth", "180"}, {"combiner", "CB1"}};
    const auto imported = import(folder, path, options);
    check_is_plan(imported);
    CHECK(imported.modules[4].string == "S7");
    CHECK(imported.modules[4].position == 5);
    CHECK(imported.modules[4].home.combiner == "CB1");
    // What was written is what analyse reads.
    const auto out = folder.write("layout.geojson", layout_geojson(imported.modules, imported.origin));
    const Layout layout = read_layout(out, ModuleTypeCatalogue({folder.path() / "types"}), std::nullopt);
    CHECK(layout.strings.at(0).modules.size() == 6);
}

TEST_CASE("layout read: KML by layers, each with values of its own", "[io]") {
    const TempFolder folder;
    const auto path = folder.path() / "roof.kml";
    {
        DrawnFile file(path, "KML");
        const auto modules = plan_modules();
        for (const char* name : {"East", "West"}) {
            OGRLayer& layer = file.layer(name, {{"Name", OFTString}});
            for (std::size_t i = std::string(name) == "East" ? 0 : 3; i < (std::string(name) == "East" ? 3U : 6U);
                 ++i) {
                std::vector<Eigen::Vector2d> ring;
                for (const Eigen::Vector2d& point : ring_of(modules[i])) {
                    ring.push_back(geographic(point));
                }
                add(layer, polygon_of(ring), {{"Name", modules[i].id}});
            }
        }
        file.close();
    }
    ImportOptions options;
    options.fields = {{"module", "Name"}};
    options.values = {{"type", "plain"}, {"tilt", "0"}};
    options.layer_values = {{"East", {{"azimuth", "180"}, {"table", "E"}}},
                            {"West", {{"azimuth", "0"}, {"top", "down"}}}};
    const auto imported = import(folder, path, options);
    REQUIRE(imported.modules.size() == 6);
    CHECK(imported.modules[0].azimuth_deg == 180.0);
    CHECK(imported.modules[0].table == "E");
    CHECK(imported.modules[5].azimuth_deg == 0.0);
    CHECK(imported.modules[5].top == TopEdge::down);
    CHECK(imported.modules[5].table.empty());
}

TEST_CASE("layout read: tables drawn as one outline are filled", "[io]") {
    const TempFolder folder;
    // Two tiers of three, gaps of 2 cm, tilted 30 deg: drawn from above.
    const double depth = (2 * 1.6 + 0.02) * std::cos(30.0 * 3.14159265358979323846 / 180.0);
    const auto csv = folder.write("tables.csv",
                                  fmt::format("NAME;x1;y1;x2;y2;x3;y3;x4;y4\nT1;{0};{1};{2};{1};{2};{3};{0};{3}\n",
                                              691000.0,
                                              5330000.0,
                                              691003.04,
                                              5330000.0 + depth));
    ImportOptions options;
    options.crs = "EPSG:25832";
    options.fields = {{"table", "NAME"}};
    // The grid's north is not true north there; the outline keeps its own directions.
    options.values = {{"type", "plain"}, {"tilt", "30"}, {"azimuth", "182"}};
    const std::vector<std::string_view> places{"table_id", "tier", "column", "n"};
    options.tables = TableFilling{{3, 2}, {true, false}, *IdPattern::parse("{table_id}/{tier}.{column}", places)};
    const auto imported = import(folder, csv, options);
    REQUIRE(imported.modules.size() == 6);
    CHECK(imported.modules[0].id == "T1/1.1");
    CHECK(imported.modules[0].table == "T1");
    const auto& c = imported.modules[0].corners_in_site;
    CHECK((c[1] - c[0]).norm() == Approx(1.0).epsilon(1e-3));
    CHECK((c[3] - c[0]).norm() == Approx(1.6).epsilon(1e-3));
    // Counted from the right: the second column lies west of the first.
    CHECK(imported.modules[1].corners_in_site[0].x() < c[0].x() - 1.0);
    CHECK(imported.modules[3].id == "T1/2.1");
    CHECK(imported.modules[3].corners_in_site[0].z() == Approx(c[0].z() + 0.5 * 1.62).epsilon(2e-3));
    options.tables->grid = {4, 2};
    CHECK_THAT(import_message(folder, csv, options),
               Contains("line 2") && Contains("m along the row, 4 modules of 1.000 m take 4.000 m"));
    options.tables->grid = {0, 0};
    CHECK_THAT(import_message(folder, csv, options), Contains("nothing says how many modules"));
}

TEST_CASE("layout read: CSV of centres, with decimal commas", "[io]") {
    const TempFolder folder;
    std::string text = "module;longitude;latitude;type;tilt;azimuth\n";
    for (const PlanModule& module : plan_modules()) {
        const Eigen::Vector2d place = geographic(module.low + Eigen::Vector2d(0.5, 0.8));
        std::string row = fmt::format("{};{:.10f};{:.10f};plain;0;180,0\n", module.id, place.x(), place.y());
        std::replace(row.begin(), row.end(), '.', ',');
        text += row;
    }
    const auto csv = folder.write("centres.csv", text);
    check_is_plan(import(folder, csv, {}));
    CHECK_THAT(import_message(folder, folder.write("bad.csv", "module,east\nA,1\n"), {}),
               Contains("module, east") && Contains("x1, y1"));
    CHECK_THAT(import_message(folder, folder.write("worse.csv", "module,x,y\nA,1,north\n"), {}),
               Contains("line 2, field y") && Contains("'north'"));
}
