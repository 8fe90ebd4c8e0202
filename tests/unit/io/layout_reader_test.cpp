#include "heatrow/io/layout_reader.hpp"

#include "heatrow/io/site_projection.hpp"
#include "support/check_error.hpp"
#include "support/plain_type.hpp"
#include "support/temp_folder.hpp"

#include <catch2/catch.hpp>
#include <fmt/format.h>

#include <cmath>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::kPlainType;
using heatrow::testing::message_of;
using heatrow::testing::TempFolder;

namespace {

constexpr SiteOrigin kOrigin{-3.65, 40.12, Metres(0.0)};

// A module as a GeoJSON feature: a plan rectangle around a centre, `across` the azimuth and `along` it.
struct Rectangle {
    double east = 5.0;
    double north = 5.0;
    double across = 1.0;
    double along = 1.6;
    double azimuth_deg = 180.0;
    int first_corner = 0;
    bool backwards = false;
};

std::string feature(const std::string& properties, const Rectangle& box) {
    const SiteProjection projection(kOrigin);
    const double azimuth = box.azimuth_deg * 3.14159265358979323846 / 180.0;
    const Eigen::Vector2d down(std::sin(azimuth), std::cos(azimuth));
    const Eigen::Vector2d right(-down.y(), down.x());
    std::string ring;
    for (int i = 0; i <= 4; ++i) {
        const int corner = (box.first_corner + (box.backwards ? 4 - i : i)) % 4;
        const double x = (corner == 0 || corner == 3 ? -0.5 : 0.5) * box.across;
        const double y = (corner < 2 ? -0.5 : 0.5) * box.along;
        const Eigen::Vector2d plan = Eigen::Vector2d(box.east, box.north) + right * x + down * y;
        const auto place = projection.to_geographic({plan.x(), plan.y(), 0.0});
        ring += fmt::format("{}[{:.12f}, {:.12f}]", ring.empty() ? "" : ", ", place.longitude_deg, place.latitude_deg);
    }
    return fmt::format(
        R"({{"type": "Feature", "properties": {{{}}}, "geometry": {{"type": "Polygon", "coordinates": [[{}]]}}}})",
        properties,
        ring);
}

std::string collection(const std::vector<std::string>& features) {
    return fmt::format(R"({{"type": "FeatureCollection", "features": [{}]}})", fmt::join(features, ",\n"));
}

const std::string kProperties =
    R"("module": "M1", "type": "plain", "string": "S1", "position": 1, "table": "T1", "tilt": 30.0, "azimuth": 180.0, "height": 2.0)";

std::string renamed(std::string properties, const std::string& from, const std::string& to) {
    const auto at = properties.find(from);
    REQUIRE(at != std::string::npos);
    return properties.replace(at, from.size(), to);
}

Layout read(const TempFolder& folder, const std::vector<std::string>& features) {
    folder.write("types/plain.toml", kPlainType);
    const auto file = folder.write("layout.geojson", collection(features));
    return read_layout(file, ModuleTypeCatalogue({folder.path() / "types"}), kOrigin);
}

std::string complaint(const std::vector<std::string>& features) {
    const TempFolder folder;
    return message_of([&] { read(folder, features); });
}

Rectangle tilted() {
    Rectangle box;
    box.along = 1.6 * std::cos(30.0 * 3.14159265358979323846 / 180.0);
    return box;
}

void check_near(const Eigen::Vector3d& point, double east, double north, double up) {
    CHECK(point.x() == Approx(east).margin(1e-4));
    CHECK(point.y() == Approx(north).margin(1e-4));
    CHECK(point.z() == Approx(up).margin(1e-4));
}

}  // namespace

TEST_CASE("layout: corners run from the top left, seen from the front, whatever the order of the polygon") {
    for (const bool backwards : {false, true}) {
        for (int first = 0; first < 4; ++first) {
            Rectangle box = tilted();
            box.first_corner = first;
            box.backwards = backwards;
            const TempFolder folder;
            const Layout layout = read(folder, {feature(kProperties, box)});
            const auto& corners = layout.modules.at(0).corners_in_site;
            const double half = 0.5 * box.along;
            // Facing south: the top edge lies north and 0.8 m x sin 30 above the centre, left is west.
            check_near(corners[0], 4.5, 5.0 + half, 2.4);
            check_near(corners[1], 5.5, 5.0 + half, 2.4);
            check_near(corners[2], 5.5, 5.0 - half, 1.6);
            check_near(corners[3], 4.5, 5.0 - half, 1.6);
            CHECK((corners[3] - corners[0]).norm() == Approx(1.6).margin(1e-4));
            const Eigen::Vector3d normal = layout.modules[0].normal_in_site();
            CHECK(normal.z() == Approx(std::cos(30.0 * 3.14159265358979323846 / 180.0)).margin(1e-4));
            CHECK(normal.y() == Approx(-0.5).margin(1e-4));
        }
    }
}

TEST_CASE("layout: `top` turns the module in its plane") {
    const Rectangle upright = tilted();
    Rectangle lying;
    lying.across = 1.6;
    lying.along = 1.0 * std::cos(30.0 * 3.14159265358979323846 / 180.0);
    const TempFolder folder;
    const auto corners_with = [&](const char* top, const Rectangle& box) {
        return read(folder, {feature(kProperties + fmt::format(R"(, "top": "{}")", top), box)})
            .modules.at(0)
            .corners_in_site;
    };
    const double half = 0.5 * upright.along;
    check_near(corners_with("down", upright)[0], 5.5, 5.0 - half, 1.6);
    check_near(corners_with("down", upright)[1], 4.5, 5.0 - half, 1.6);
    // Top to the left (west): the top left corner, seen with top up, is the lower one.
    check_near(corners_with("left", lying)[0], 4.2, 5.0 - 0.5 * lying.along, 1.75);
    check_near(corners_with("left", lying)[1], 4.2, 5.0 + 0.5 * lying.along, 2.25);
    check_near(corners_with("right", lying)[0], 5.8, 5.0 + 0.5 * lying.along, 2.25);
    check_near(corners_with("right", lying)[1], 5.8, 5.0 - 0.5 * lying.along, 1.75);
}

TEST_CASE("layout: a flat module's `up` points against its azimuth") {
    Rectangle box;
    box.azimuth_deg = 90.0;
    const TempFolder folder;
    std::string properties = renamed(kProperties, "\"tilt\": 30.0", "\"tilt\": 0.0");
    properties = renamed(properties, "\"azimuth\": 180.0", "\"azimuth\": 90.0");
    const auto corners = read(folder, {feature(properties, box)}).modules.at(0).corners_in_site;
    check_near(corners[0], 4.2, 4.5, 2.0);  // facing east, top is west, left is south
    check_near(corners[1], 4.2, 5.5, 2.0);
}

TEST_CASE("layout: strings follow positions, ids sort naturally, the origin defaults to the south-west corner") {
    const TempFolder folder;
    std::vector<std::string> features;
    for (int i = 1; i <= 11; ++i) {
        Rectangle box = tilted();
        box.east = 5.0 + 1.02 * i;
        std::string properties = renamed(kProperties, "\"M1\"", fmt::format("\"M{}\"", i));
        properties = renamed(properties, "\"position\": 1", fmt::format("\"position\": {}", 12 - i));
        features.insert(features.begin(), feature(properties, box));
    }
    folder.write("types/plain.toml", kPlainType);
    const auto file = folder.write("layout.geojson", collection(features));
    const Layout layout = read_layout(file, ModuleTypeCatalogue({folder.path() / "types"}), std::nullopt);
    REQUIRE(layout.modules.size() == 11);
    CHECK(layout.modules[1].id == "M2");
    CHECK(layout.modules[10].id == "M11");
    REQUIRE(layout.strings.size() == 1);
    CHECK(layout.strings[0].modules.front() == 10);
    CHECK(layout.strings[0].modules.back() == 0);
    CHECK(layout.tables.at(0).modules.size() == 11);
    CHECK(layout.types.size() == 1);
    double west = 1e9;
    double south = 1e9;
    for (const Module& module : layout.modules) {
        for (const auto& corner : module.corners_in_site) {
            west = std::min(west, corner.x());
            south = std::min(south, corner.y());
        }
    }
    CHECK(west == Approx(0.0).margin(1e-6));
    CHECK(south == Approx(0.0).margin(1e-4));
}

TEST_CASE("layout: a string's combiner, inverter and input are those its modules agree on") {
    const TempFolder folder;
    const auto wired = [](int position, const char* home) {
        Rectangle box = tilted();
        box.east += 1.1 * position;
        return feature(renamed(renamed(kProperties, "M1", fmt::format("M{}", position)),
                               "\"position\": 1",
                               fmt::format("\"position\": {}", position)) +
                           home,
                       box);
    };
    constexpr const char* kFirst = R"(, "combiner": "CB1", "inverter": "INV2", "input": "7")";
    const StringHome home = read(folder, {wired(1, kFirst), wired(2, kFirst)}).strings.at(0).home;
    CHECK(home.combiner == "CB1");
    CHECK(home.inverter == "INV2");
    CHECK(home.input == "7");
    constexpr const char* kOther = R"(, "combiner": "CB1", "inverter": "INV3")";
    const StringHome mixed = read(folder, {wired(1, kFirst), wired(2, kOther), wired(3, kFirst)}).strings.at(0).home;
    CHECK(mixed.combiner == "CB1");
    CHECK(mixed.inverter.empty());
    CHECK(mixed.input.empty());
    CHECK(read(folder, {wired(1, "")}).strings.at(0).home.combiner.empty());
}

TEST_CASE("layout: bad features are refused by file, module and value") {
    const Rectangle box = tilted();
    const std::string good = feature(kProperties, box);
    CHECK_THAT(complaint({good, good}), Contains("module \"M1\"") && Contains("used by two modules"));
    CHECK_THAT(complaint({feature(renamed(kProperties, "\"M1\"", "\"\""), box)}), Contains("field 'module'"));
    CHECK_THAT(complaint({feature(renamed(kProperties, "\"module\"", "\"modul\""), box)}),
               Contains("no field 'module'") && Contains("Is it 'modul'?"));
    CHECK_THAT(complaint({feature(renamed(kProperties, "\"tilt\": 30.0", "\"tilt\": \"steep\""), box)}),
               Contains("field 'tilt' = 'steep' is no number"));
    CHECK_THAT(complaint({feature(renamed(kProperties, "\"position\": 1", "\"position\": 1.5"), box)}),
               Contains("1.5"));
    CHECK_THAT(complaint({feature(renamed(kProperties, "\"position\": 1, ", ""), box)}), Contains("field 'position'"));
    CHECK_THAT(complaint({feature(renamed(kProperties, "\"plain\"", "\"plian\""), box)}),
               Contains("Did you mean \"plain\"?"));
    CHECK_THAT(complaint({good, feature(renamed(kProperties, "\"M1\"", "\"M2\""), box)}),
               Contains("module \"M2\"") && Contains("shares position 1 of string \"S1\" with module \"M1\""));
    CHECK_THAT(complaint({feature(kProperties + R"(, "top": "north")", box)}), Contains("'north' is no direction"));
    CHECK_THAT(complaint({feature(kProperties, Rectangle{})}), Contains("1.848 m high") && Contains("\"plain\""));
    Rectangle askew = box;
    askew.azimuth_deg = 225.0;
    CHECK_THAT(complaint({feature(kProperties, askew)}), Contains("askew") || Contains("wide"));
    std::string triangle = good;
    const auto last = triangle.rfind(", [");
    const auto third = triangle.rfind(", [", last - 1);
    triangle.erase(third, last - third);
    CHECK_THAT(complaint({triangle}), Contains("3 corners"));
    CHECK_THAT(complaint({}), Contains("layout.geojson"));
    CHECK_THAT(message_of([] { read_layout("/nowhere/layout.gpkg", ModuleTypeCatalogue({}), std::nullopt); }),
               Contains("input: ") && Contains("no such file"));
}

TEST_CASE("layout: heights count from the ground where an elevation model is given") {
    const TempFolder folder;
    folder.write("types/plain.toml", kPlainType);
    // 21 x 21 pixels of 0.0001 degrees about the origin: 700 m there, 0.3 m higher a pixel to the east (8.5 m), and one
    // pixel in the table that is 0.4 m off.
    std::string grid =
        "ncols 21\nnrows 21\nxllcorner -3.65105\nyllcorner 40.11895\ncellsize 0.0001\nNODATA_value -9999\n";
    for (int row = 0; row < 21; ++row) {
        for (int column = 0; column < 21; ++column) {
            const double bump = row == 10 && column == 11 ? 0.4 : 0.0;
            grid += fmt::format("{:.3f} ", column == 20 ? -9999.0 : 700.0 + 0.3 * (column - 10) + bump);
        }
        grid += "\n";
    }
    const auto model = folder.write("ground.asc", grid);
    folder.write("ground.prj",
                 R"(GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]],)"
                 R"(PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]])");
    const auto row_of_modules = [&](double first_east, const std::string& table) {
        std::vector<std::string> features;
        for (int i = 0; i < 40; ++i) {
            Rectangle box = tilted();
            box.east = first_east + 1.02 * i;
            box.north = 0.0;
            features.push_back(feature(renamed(renamed(renamed(kProperties, "M1", fmt::format("M{}", i + 1)),
                                                       "\"position\": 1",
                                                       fmt::format("\"position\": {}", i + 1)),
                                               "T1",
                                               table),
                                       box));
        }
        return folder.write("layout.geojson", collection(features));
    };
    const auto read_row = [&](double first_east) {
        return read_layout(
            row_of_modules(first_east, "T1"), ModuleTypeCatalogue({folder.path() / "types"}), kOrigin, model);
    };
    const Layout layout = read_row(-20.0);
    const double metres_per_pixel = SiteProjection(kOrigin).to_site(-3.6499, 40.12, Metres(0.0)).x();
    const double rise = 0.3 / metres_per_pixel;
    double worst = 0.0;
    for (std::size_t i = 0; i < layout.modules.size(); ++i) {
        const Eigen::Vector3d centre = layout.modules[i].centre_in_site();
        worst = std::max(worst, std::abs(centre.z() - (2.0 + rise * centre.x())));
    }
    CHECK(worst < 0.2);  // half the bump: it lies beside the middle and tips the line
    const auto z = [&](std::size_t i) { return layout.modules[i].centre_in_site().z(); };
    for (std::size_t i = 2; i < layout.modules.size(); ++i) {
        CHECK(z(i) - z(i - 1) == Approx(z(1) - z(0)).margin(1e-6));  // straight
    }
    CHECK_THAT(message_of([&] { read_row(60.0); }), Contains("no height") && Contains("module \"M"));
    CHECK_THAT(message_of([&] {
                   read_layout(row_of_modules(0.0, "T1"),
                               ModuleTypeCatalogue({folder.path() / "types"}),
                               kOrigin,
                               folder.path() / "none.tif");
               }),
               Contains("none.tif") && Contains("no such file"));
    CHECK_THAT(message_of([&] {
                   read_layout(row_of_modules(0.0, "T1"),
                               ModuleTypeCatalogue({folder.path() / "types"}),
                               kOrigin,
                               folder.path() / "layout.geojson");
               }),
               Contains("elevation model") && Contains("no raster"));
}
