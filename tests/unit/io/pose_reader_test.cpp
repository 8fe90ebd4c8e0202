#include "heatrow/io/pose_reader.hpp"

#include "heatrow/camera/posed_camera.hpp"
#include "support/check_error.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::message_of;

namespace {

const SiteProjection& projection() {
    static const SiteProjection site({-3.65, 40.12, Metres(600.0)});
    return site;
}

PoseTable parse(const std::string& text,
                const PoseRules& rules = {},
                const std::map<std::string, std::string>& columns = {}) {
    Clock clock;
    clock.scale = Clock::FixedOffset{std::chrono::hours(2)};
    return make_poses(parse_pose_rows(text, "poses.csv", clock, rules, columns), PoseMaker(rules, projection()));
}

const std::string kHeader = "frame,time,longitude,latitude,altitude,yaw,pitch,roll,note\n";

// Two modules side by side.
Layout two_modules() {
    Layout layout;
    for (int i = 0; i < 2; ++i) {
        Module module;
        module.id = i == 0 ? "A1" : "A2";
        const double left = 1.02 * i;
        module.corners_in_site = {
            Eigen::Vector3d(left, 1.6, 0.0), {left + 1.0, 1.6, 0.0}, {left + 1.0, 0.0, 0.0}, {left, 0.0, 0.0}};
        layout.modules.push_back(module);
    }
    return layout;
}

}  // namespace

TEST_CASE("poses: rows become site poses and UTC times") {
    const PoseTable poses = parse(kHeader +
                                  "a.tif,2026-06-17T11:02:03.250,-3.65,40.12,31.5,90,10,-1,x\nb.tif,2026-06-17T09:02:"
                                  "04Z,-3.65,40.12,30,0,0,0,\n");
    REQUIRE(poses.rows.size() == 2);
    const PoseRow& row = poses.rows[0];
    CHECK(row.where == "poses.csv, line 2");
    CHECK(to_iso8601(*row.time) == "2026-06-17T09:02:03.250Z");
    CHECK(to_iso8601(*poses.rows[1].time) == "2026-06-17T09:02:04Z");
    REQUIRE(row.pose);
    CHECK(row.pose->position_in_site.norm() == Approx(31.5));
    CHECK(in_degrees(row.pose->yaw) == Approx(90.0));
    CHECK(in_degrees(row.pose->pitch) == Approx(10.0));
    PoseRules ellipsoid;
    ellipsoid.altitude = PoseRules::Altitude::ellipsoid;
    const PoseTable high = parse(kHeader + "a.tif,2026-06-17T11:02:03,-3.65,40.12,631.5,0,0,0,\n", ellipsoid);
    CHECK(high.rows[0].pose->position_in_site.z() == Approx(31.5));
}

TEST_CASE("poses: columns in any order, semicolons and decimal commas are read") {
    const PoseTable poses = parse(
        "time;yaw;pitch;roll;altitude;latitude;longitude;frame\n2026-06-17 11:02:03;0;0;0;20,5;40,12;-3,65;a.tif\n");
    REQUIRE(poses.rows.size() == 1);
    CHECK(poses.rows[0].frame == "a.tif");
    CHECK(poses.rows[0].pose->position_in_site.z() == Approx(20.5));
}

TEST_CASE("poses: frames without row, position or time take no part and are named") {
    const PoseTable poses = parse(kHeader +
                                  "a.tif,2026-06-17T11:02:03,-3.65,40.12,30,0,0,0,\n"
                                  "b.tif,2026-06-17T11:02:04,0,0,30,0,0,0,\n"
                                  "c.tif,2026-06-17T11:02:05,,,,,,,\n"
                                  "d.tif,,-3.65,40.12,30,0,0,0,\n"
                                  "z.tif,2026-06-17T11:02:09,-3.65,40.12,30,0,0,0,\n");
    const std::vector<FrameFile> files{{"a.tif", ""}, {"b.tif", ""}, {"c.tif", ""}, {"d.tif", ""}, {"e.tif", ""}};
    const FramePriors frames = make_frame_priors(files, poses, {}, FrameSettings::Placement::poses);
    REQUIRE(frames.priors.size() == 5);
    CHECK_FALSE(frames.rejections[0]);
    CHECK(frames.priors[0].pose);
    for (const std::size_t i : {1U, 2U, 4U}) {
        INFO(files[i].name);
        REQUIRE(frames.rejections[i]);
        CHECK(frames.rejections[i]->reason == RejectReason::no_pose);
        CHECK_THAT(frames.rejections[i]->detail, Contains(files[i].name));
    }
    CHECK_THAT(frames.rejections[1]->detail, Contains("0, 0") && Contains("line 3"));
    CHECK_THAT(frames.rejections[2]->detail, Contains("longitude is empty"));
    REQUIRE(frames.rejections[3]);
    CHECK(frames.rejections[3]->reason == RejectReason::no_time);
    CHECK(frames.rows_without_frame == std::vector<std::string>{"z.tif"});
    CHECK(frames.priors[4].frame == 4);
}

TEST_CASE("poses: a frame that lacks nothing but its position keeps its attitude") {
    const PoseTable poses = parse(kHeader +
                                  "a.tif,2026-06-17T11:02:03,0,0,30,12,1,-2,\n"
                                  "b.tif,2026-06-17T11:02:04,,,,12,1,-2,\n"
                                  "c.tif,2026-06-17T11:02:05,,,,12,,-2,\n"
                                  "d.tif,,,,,12,1,-2,\n"
                                  "e.tif,2026-06-17T11:02:07,-3.65,40.12,30,12,1,-2,\n");
    const std::vector<FrameFile> files{{"a.tif", ""}, {"b.tif", ""}, {"c.tif", ""}, {"d.tif", ""}, {"e.tif", ""}};
    const FramePriors frames = make_frame_priors(files, poses, {}, FrameSettings::Placement::poses);
    REQUIRE(frames.attitudes.size() == 5);
    for (const std::size_t i : {0U, 1U}) {
        REQUIRE(frames.attitudes[i]);
        CHECK(frames.attitudes[i]->position_in_site.norm() == 0.0);
        CHECK(in_degrees(frames.attitudes[i]->yaw) == Approx(12.0));
        CHECK(in_degrees(frames.attitudes[i]->roll) == Approx(-2.0));
        CHECK(frames.rejections[i]);
    }
    for (const std::size_t i : {2U, 3U, 4U}) {  // no pitch; no time; nothing missing
        CHECK_FALSE(frames.attitudes[i]);
    }
}

TEST_CASE("poses: bad rows are refused by line, field and value") {
    const auto complaint = [](const std::string& rows) { return message_of([&] { parse(kHeader + rows); }); };
    CHECK_THAT(complaint("a.tif,2026-06-17T11:02:03,-3.65,94.2,30,0,0,0,\n"),
               Contains("poses.csv, line 2, field latitude") && Contains("94.2"));
    CHECK_THAT(complaint("a.tif,2026-06-17T11:02:03,-3.65,4o.12,30,0,0,0,\n"), Contains("'4o.12' is no number"));
    CHECK_THAT(complaint("a.tif,17.06.2026 11:02,-3.65,40.12,30,0,0,0,\n"),
               Contains("field time") && Contains("17.06.2026"));
    CHECK_THAT(complaint("a.tif,,,,,,,,\na.tif,,,,,,,,\n"), Contains("line 3") && Contains("already in line 2"));
    CHECK_THAT(message_of([] { parse("file,time\na.tif,\n"); }),
               Contains("no column 'frame'") && Contains("file, time"));
}

TEST_CASE("poses: a flight that counts pitch from the horizon is taken as such, one frame that does is not") {
    const std::string level = "a.tif,2026-06-17T11:02:03,-3.65,40.12,30,90,-89.2,0,\n";
    const PoseTable whole = parse(kHeader + level);
    REQUIRE(whole.rows[0].pose);
    CHECK(in_degrees(whole.rows[0].pose->pitch) == Approx(0.8));
    REQUIRE(whole.notes.size() == 1);
    CHECK_THAT(whole.notes[0], Contains("-90 degrees") && Contains("add_deg"));

    const PoseTable mixed = parse(kHeader + level + "b.tif,2026-06-17T11:02:04,-3.65,40.12,30,90,1,0,\n");
    CHECK(mixed.notes.empty());
    CHECK(in_degrees(mixed.rows[0].pose->pitch) == Approx(-89.2));
    CHECK(parse(kHeader + "a.tif,2026-06-17T11:02:03,-3.65,40.12,30,90,88,0,\n").notes.empty());  // a facade

    PoseRules declared;
    declared.add_deg = {180.0, 90.0, 0.0};
    const PoseTable stated = parse(kHeader + level, declared);
    CHECK(stated.notes.empty());
    CHECK(in_degrees(stated.rows[0].pose->pitch) == Approx(0.8));
    CHECK(in_degrees(stated.rows[0].pose->yaw) == Approx(270.0));
}

TEST_CASE("poses: what no survey flies at has no pose, and the reason names the values") {
    const auto missing = [](const std::string& numbers) {
        const PoseTable poses = parse(kHeader + "a.tif,2026-06-17T11:02:03," + numbers + ",\nb.tif,,,,,,1,,\n");
        CHECK_FALSE(poses.rows[0].pose);
        return poses.rows[0].missing;
    };
    CHECK_THAT(missing("-3.65,40.12,30,90,2,180"), Contains("above the horizon") && Contains("roll 180"));
    CHECK_THAT(missing("-3.65,40.12,30,90,120,0"), Contains("above the horizon"));
    CHECK_THAT(missing("-3.65,40.12,65535,90,2,0"), Contains("65535 m"));
    CHECK_THAT(missing("-3.65,40.12,30,,2,0"), Contains("yaw is empty"));
    CHECK_THAT(missing("0,0,30,90,2,0"), Contains("no fix"));
}

TEST_CASE("poses: columns are mapped by name") {
    const PoseTable poses = parse(
        "image,time,lon,latitude,altitude,yaw,gimbal_yaw,pitch,roll\na.tif,2026-06-17T11:02:03,-3.65,40.12,30,10,200,0,"
        "0\n",
        {},
        {{"frame", "image"}, {"longitude", "lon"}, {"yaw", "gimbal_yaw"}});
    REQUIRE(poses.rows[0].pose);
    CHECK(poses.rows[0].frame == "a.tif");
    CHECK(in_degrees(poses.rows[0].pose->yaw) == Approx(200.0));
    CHECK_THAT(message_of([] {
                   parse(kHeader, {}, {{"yaw", "heading"}});
               }),
               Contains("no column 'heading'") && Contains("poses.columns.yaw"));
}

TEST_CASE("poses: adjusted ones in a projected CRS, rotation as photogrammetry writes it") {
    PoseRules rules;
    rules.crs = "EPSG:25830";
    rules.angles = PoseRules::Angles::omega_phi_kappa;
    rules.altitude = PoseRules::Altitude::ellipsoid;
    // The site origin -3.65, 40.12 in UTM zone 30 by GDAL's osr: 444613.24, 4441278.64; grid north there lies 0.4189
    // degrees west of true north: (longitude + 3) sin(latitude), first term of the series for the convergence (EPSG
    // guidance note 7-2, transverse Mercator).
    const std::string header = "frame,time,easting,northing,altitude,omega,phi,kappa\n";
    const std::string at = "a.tif,2026-06-17T11:02:03,444613.24,4441278.64,630,";
    const auto pose_of = [&](const std::string& angles) {
        const PoseTable poses = parse(header + at + angles + "\n", rules);
        REQUIRE(poses.rows[0].pose);
        return *poses.rows[0].pose;
    };
    const FramePose level = pose_of("0,0,0");
    CHECK(level.position_in_site.head<2>().norm() < 0.02);
    CHECK(level.position_in_site.z() == Approx(30.0));
    CHECK(in_degrees(level.yaw) == Approx(-0.4189).margin(0.001));
    CHECK(in_degrees(level.pitch) == Approx(0.0).margin(1e-9));
    // kappa turns the image to the left, omega tips the line of sight towards the image top, phi to the left of it.
    CHECK(in_degrees(pose_of("0,0,30").yaw) == Approx(-30.4189).margin(0.001));
    CHECK(in_degrees(pose_of("10,0,0").pitch) == Approx(10.0).margin(0.01));
    CHECK(in_degrees(pose_of("0,10,0").roll) == Approx(10.0).margin(0.01));

    rules.crs = "EPSG:99999999";
    CHECK_THAT(message_of([&] { parse(header, rules); }), Contains("poses.crs") && Contains("EPSG:99999999"));
}

TEST_CASE("poses: omega, phi, kappa of any attitude give its yaw, pitch and roll") {
    PoseRules rules;
    rules.angles = PoseRules::Angles::omega_phi_kappa;
    rules.altitude = PoseRules::Altitude::ellipsoid;
    const PoseMaker maker(rules, projection());
    const auto in_deg = [](double angle) { return in_degrees(Radians(angle)); };
    for (const double yaw : {-170.0, -35.0, 0.0, 90.0, 144.0}) {
        for (const double pitch : {-20.0, 0.0, 35.0, 70.0}) {
            for (const double roll : {-25.0, 0.0, 8.0}) {
                FramePose pose;
                pose.yaw = degrees(yaw);
                pose.pitch = degrees(pitch);
                pose.roll = degrees(roll);
                // Image y points up and z back, the camera's y down and z ahead.
                const Eigen::Matrix3d m =
                    site_from_camera(pose) * Eigen::Vector3d(1.0, -1.0, -1.0).asDiagonal().toDenseMatrix();
                // Rx(omega) Ry(phi) Rz(kappa), solved for its angles.
                WrittenPose written;
                written.values = {-3.65,
                                  40.12,
                                  630.0,
                                  in_deg(std::atan2(-m(1, 2), m(2, 2))),
                                  in_deg(std::asin(m(0, 2))),
                                  in_deg(std::atan2(-m(0, 1), m(0, 0)))};
                const auto made = maker.make(written, "here");
                REQUIRE(made);
                CHECK((site_from_camera(*made) - site_from_camera(pose)).norm() < 1e-9);
                CHECK(made->position_in_site.z() == Approx(30.0));
            }
        }
    }
}

TEST_CASE("corner points: they take the module's corners in space") {
    const std::string text =
        "frame,x,y,module,corner\nh1.tif,10,20,A1,top_left\nh1.tif,110,22,A1,top_right\nh1.tif,108,180,A1,bottom_"
        "right\n"
        "h1.tif,12,178,A1,bottom_left\n";
    const CornerTable corners = parse_corner_points(text, "corners.csv", two_modules());
    REQUIRE(corners.at("h1.tif").size() == 4);
    CHECK(corners.at("h1.tif")[1].pixel.x() == 110.0);
    CHECK(corners.at("h1.tif")[1].point_in_site.x() == 1.0);
    CHECK(corners.at("h1.tif")[2].point_in_site.y() == 0.0);

    const PoseTable poses = parse("frame,time\nh1.tif,2026-06-17T11:02:03\nh2.tif,2026-06-17T11:02:05\n");
    const FramePriors frames =
        make_frame_priors({{"h1.tif", ""}, {"h2.tif", ""}}, poses, corners, FrameSettings::Placement::corner_points);
    CHECK_FALSE(frames.rejections[0]);
    CHECK(frames.priors[0].corner_points.size() == 4);
    REQUIRE(frames.rejections[1]);
    CHECK_THAT(frames.rejections[1]->detail, Contains("no corner points"));
}

TEST_CASE("corner points: a pixel inside names a module by its middle, alone in its frame") {
    const CornerTable table =
        parse_corner_points("frame,x,y,module,corner\nh1.tif,10,20,A1,inside\n", "corners.csv", two_modules());
    REQUIRE(table.at("h1.tif").size() == 1);
    CHECK(table.at("h1.tif")[0].point_in_site == two_modules().modules[0].centre_in_site());
    const std::string message = message_of([] {
        parse_corner_points("frame,x,y,module,corner\nh1.tif,10,20,A1,inside\nh1.tif,12,20,A1,top_left\n",
                            "corners.csv",
                            two_modules());
    });
    CHECK_THAT(message, Contains("h1.tif") && Contains("only pixels inside"));
}

TEST_CASE("corner points: too few, on a line, unknown or doubled ones are refused") {
    const auto complaint = [](const std::string& rows) {
        return message_of(
            [&] { parse_corner_points("frame,x,y,module,corner\n" + rows, "corners.csv", two_modules()); });
    };
    CHECK_THAT(complaint("f,1,1,A1,top_left\nf,2,1,A1,top_right\nf,2,2,A1,bottom_right\n"),
               Contains("3 corner points"));
    CHECK_THAT(complaint("f,0,0,A1,top_left\nf,100,0,A1,top_right\nf,102,0,A2,top_left\nf,0,90,A1,bottom_left\n"),
               Contains("on a line"));
    CHECK_THAT(complaint("f,0,0,A3,top_left\n"), Contains("line 2, field module") && Contains("'A3'"));
    CHECK_THAT(complaint("f,0,0,A1,topleft\n"), Contains("Did you mean 'top_left'?"));
    CHECK_THAT(complaint("f,0,0,A1,top_left\nf,1,0,A1,top_left\n"), Contains("two points"));
    CHECK_THAT(complaint("f,inf,0,A1,top_left\n"), Contains("field x"));
    // Eight corners of two neighbours: many lie on lines, the frame is placed well.
    CHECK(
        complaint(
            "f,0,0,A1,top_left\nf,100,0,A1,top_right\nf,102,0,A2,top_left\nf,202,0,A2,top_right\n"
            "f,0,160,A1,bottom_left\nf,100,160,A1,bottom_right\nf,102,160,A2,bottom_left\nf,202,160,A2,bottom_right\n")
            .empty());
}
