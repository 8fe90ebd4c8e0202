#include "heatrow/io/control_reader.hpp"

#include "support/check_error.hpp"

#include <catch2/catch.hpp>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::message_of;

namespace {

// One module at the origin of a site in UTM zone 30: 444613.24, 4441278.64 by GDAL's osr (pose_reader_test.cpp).
Layout one_module() {
    Layout layout;
    layout.origin = {-3.65, 40.12, Metres(600.0)};
    Module module;
    module.id = "A1";
    module.corners_in_site = {Eigen::Vector3d(0.0, 1.0, 1.0),
                              Eigen::Vector3d(1.0, 1.0, 1.0),
                              Eigen::Vector3d(1.0, 0.0, 1.0),
                              Eigen::Vector3d(0.0, 0.0, 1.0)};
    layout.modules.push_back(module);
    return layout;
}

ControlSettings settings() {
    ControlSettings control;
    control.points = "points.csv";
    control.marks = "marks.csv";
    control.crs = "EPSG:25830";
    return control;
}

ControlPoints parse(const std::string& points, const std::string& marks, const ControlSettings& control = settings()) {
    CameraSettings camera;
    camera.width_px = 640;
    camera.height_px = 512;
    return parse_control_points(points, marks, control, camera, {{"f1.tif", ""}, {"f2.tif", ""}}, one_module());
}

const std::string kPoints =
    "point,easting,northing,height\nP1,444613.24,4441278.64,601.5\nP2,444623.24,4441278.64,600\n";
const std::string kMarks = "point,frame,x,y\nP1,f2.tif,10.5,20\nP2,f1.tif,639,511\n";

std::string complaint(const std::string& points,
                      const std::string& marks,
                      const ControlSettings& control = settings()) {
    return message_of([&] { (void)parse(points, marks, control); });
}

}  // namespace

TEST_CASE("control points: a table of points and one of marks, in a projected CRS") {
    const ControlPoints control = parse(kPoints, kMarks);
    REQUIRE(control.marks.size() == 2);
    const ControlMark& first = control.marks[0];
    CHECK(first.name == "P1");
    CHECK(first.frame == 1);
    CHECK(first.module == -1);
    CHECK(first.pixel == Eigen::Vector2d(10.5, 20.0));
    CHECK(first.point_in_site.head<2>().norm() < 0.02);
    CHECK(first.point_in_site.z() == Approx(1.5));
    CHECK_FALSE(first.held);
    CHECK_THAT(first.where, Contains("marks.csv, line 2"));
    // Ten metres east of the grid lie 0.42 degrees off true east there.
    CHECK((control.marks[1].point_in_site.head<2>() - first.point_in_site.head<2>()).norm() ==
          Approx(10.0).epsilon(1e-3));
    CHECK(control.corners.empty());
}

TEST_CASE("control points: heights by their reference and unit, or none") {
    ControlSettings control = settings();
    const std::string points = "point,easting,northing,height\nP1,444613.24,4441278.64,10\nP2,444623.24,4441278.64,0\n";
    control.heights = ControlSettings::Heights::site;
    control.metres_per_unit = 0.3048;
    CHECK(parse(points, kMarks, control).marks[0].point_in_site.z() == Approx(3.048));
    control.heights = ControlSettings::Heights::none;
    CHECK(parse(points, kMarks, control).marks[0].point_in_site.z() == Approx(0.0).margin(1e-9));
    CHECK_THAT(complaint("point,easting,northing,height\nP1,444613.24,4441278.64,55\n", kMarks),
               Contains("input: ") && Contains("points.csv, line 2") && Contains("-545.0 m above the site origin") &&
                   Contains("control.heights"));
}

TEST_CASE("control points: surveyed corners stand in the same table of marks") {
    ControlSettings control = settings();
    control.columns = {{"point", "Nr"}, {"easting", "Y"}, {"northing", "X"}, {"height", "H"}};
    control.hold = {"P2", "f2.tif"};
    const ControlPoints read =
        parse("Nr;Y;X;H\nP1;444613,24;4441278,64;601,5\nP2;444623,24;4441278,64;600\n",
              "Nr,frame,x,y,module,corner\nP1,,,,A1,bottom_left\nP2,f1.tif,3,4,,\nP1,f2.tif,5,6,,\n",
              control);
    REQUIRE(read.corners.size() == 1);
    CHECK(read.corners[0].module == 0);
    CHECK(read.corners[0].corner == 3);
    CHECK_FALSE(read.corners[0].held);
    CHECK(read.corners[0].point_in_site.z() == Approx(1.5));
    REQUIRE(read.marks.size() == 2);
    CHECK(read.marks[0].held);  // by its point
    CHECK(read.marks[1].held);  // by its frame
}

TEST_CASE("control points: swapped easting and northing, and points of another place, are named") {
    CHECK_THAT(
        complaint("point,easting,northing,height\nP1,4441278.64,444613.24,601\n", "point,frame,x,y\nP1,f1.tif,1,2\n"),
        Contains("points.csv, line 2") && Contains("swapped"));
    CHECK_THAT(
        complaint("point,easting,northing,height\nP1,454613.24,4441278.64,601\n", "point,frame,x,y\nP1,f1.tif,1,2\n"),
        Contains("10 km from the layout") && Contains("CRS") && !Contains("swapped"));
}

TEST_CASE("control points: what a table lacks or has twice is refused with its place and a remedy") {
    CHECK_THAT(complaint("point,eastings,northing,height\nP1,1,2,3\n", kMarks),
               Contains("no column 'easting'") && Contains("control.columns"));
    CHECK_THAT(complaint(kPoints + "P1,444613.24,4441278.64,601\n", kMarks), Contains("already in points.csv, line 2"));
    CHECK_THAT(complaint("point,easting,northing,height\nP1,x,2,3\n", kMarks), Contains("'x' is no number"));
    CHECK_THAT(complaint(kPoints, kMarks + "P1,f2.tif,1,2\n"), Contains("marked twice"));
    CHECK_THAT(complaint(kPoints, kMarks + "P12,f2.tif,1,2\n"), Contains("no 'P12'"));
    CHECK_THAT(complaint(kPoints, kMarks + "P2,f3.tif,1,2\n"),
               Contains("no frame 'f3.tif'") && Contains("Did you mean"));
    CHECK_THAT(complaint(kPoints, kMarks + "P2,f2.tif,640,2\n"), Contains("outside the picture") && Contains("line 4"));
    CHECK_THAT(complaint(kPoints, "point,frame,x,y,module,corner\nP1,f1.tif,1,2,A1,top_left\n"),
               Contains("a frame and a module"));
    CHECK_THAT(complaint(kPoints, "point,module,corner\nP1,A2,top_left\n"), Contains("no module 'A2'"));
    CHECK_THAT(complaint(kPoints, "point,module,corner\nP1,A1,topleft\n"), Contains("top_left"));
    ControlSettings control = settings();
    control.hold = {"P7"};
    CHECK_THAT(complaint(kPoints, kMarks, control), Contains("usage: ") && Contains("control.hold") && Contains("P7"));
    control = settings();
    control.crs = "EPSG:99999999";
    CHECK_THAT(complaint(kPoints, kMarks, control), Contains("control.crs"));
}
