#include "heatrow/sun/incidence.hpp"

#include <Eigen/Geometry>
#include <catch2/catch.hpp>

#include <cmath>
#include <numbers>

using namespace heatrow;
using Catch::Matchers::WithinAbs;

TEST_CASE("incidence: formula and vectors agree", "[sun]") {
    for (const double tilt : {0.0, 15.0, 40.0, 90.0}) {
        for (const double azimuth : {0.0, 95.0, 180.0, 300.0}) {
            const PlaneOrientation plane{degrees(tilt), degrees(azimuth)};
            const Eigen::Vector3d to_sun = normal_in_site({degrees(50.0), degrees(160.0)});
            CHECK_THAT(cos_incidence(plane, degrees(50.0), degrees(160.0)),
                       WithinAbs(normal_in_site(plane).dot(to_sun), 1e-12));
        }
    }
}

TEST_CASE("incidence: a plane that faces the sun is met straight", "[sun]") {
    CHECK_THAT(cos_incidence({degrees(35.0), degrees(170.0)}, degrees(35.0), degrees(170.0)), WithinAbs(1.0, 1e-12));
}

TEST_CASE("mirrored sun: flat water sends the sun to the other side at the same height", "[sun]") {
    const Eigen::Vector3d to_sun = normal_in_site({degrees(60.0), degrees(90.0)});
    const Eigen::Vector3d mirrored = mirrored_sun_direction({0.0, 0.0, 1.0}, to_sun);
    CHECK((mirrored - normal_in_site({degrees(60.0), degrees(270.0)})).norm() < 1e-12);
}

TEST_CASE("mirrored sun: a vertical plane facing the sun level sends it straight back", "[sun]") {
    const Eigen::Vector3d to_sun(0.0, -1.0, 0.0);
    CHECK((mirrored_sun_direction({0.0, -1.0, 0.0}, to_sun) - to_sun).norm() < 1e-12);
}

TEST_CASE("mirrored sun: it lies in the plane of normal and sun, at the same angle, and mirrors back", "[sun]") {
    const Eigen::Vector3d normal = normal_in_site({degrees(25.0), degrees(190.0)});
    const Eigen::Vector3d to_sun = normal_in_site({degrees(55.0), degrees(130.0)});
    const Eigen::Vector3d mirrored = mirrored_sun_direction(normal, to_sun);
    CHECK_THAT(mirrored.norm(), WithinAbs(1.0, 1e-12));
    CHECK_THAT(mirrored.dot(normal), WithinAbs(to_sun.dot(normal), 1e-12));
    CHECK_THAT(mirrored.dot(normal.cross(to_sun)), WithinAbs(0.0, 1e-12));
    CHECK((mirrored_sun_direction(normal, mirrored) - to_sun).norm() < 1e-12);
}

TEST_CASE("glint: nought towards the mirrored sun, the half turn where the sun is behind", "[sun]") {
    const Eigen::Vector3d normal = normal_in_site({degrees(25.0), degrees(190.0)});
    const Eigen::Vector3d to_sun = normal_in_site({degrees(55.0), degrees(130.0)});
    const Eigen::Vector3d mirrored = mirrored_sun_direction(normal, to_sun);
    CHECK_THAT(glint_angle(normal, to_sun, mirrored).value(), WithinAbs(0.0, 1e-9));
    const Eigen::Vector3d beside = Eigen::AngleAxisd(0.05, normal.cross(mirrored).normalized()) * mirrored;
    CHECK_THAT(glint_angle(normal, to_sun, beside).value(), WithinAbs(0.05, 1e-9));
    CHECK(glint_angle(normal, -to_sun, mirrored).value() == Approx(std::numbers::pi));
}
