#include "heatrow/io/site_conditions.hpp"

#include "support/check_error.hpp"
#include "support/temp_folder.hpp"

#include <catch2/catch.hpp>

#include <algorithm>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::message_of;
using heatrow::testing::TempFolder;

namespace {

// Three modules to the south, two to the east, one nearly to the south; a string each way.
Layout two_roofs() {
    Layout layout;
    layout.origin = {-3.7, 40.0, Metres(600.0)};
    const auto add = [&](double tilt, double azimuth, int string) {
        Module module;
        module.tilt = degrees(tilt);
        module.azimuth = degrees(azimuth);
        module.string = string;
        layout.modules.push_back(module);
    };
    add(10.0, 90.0, 1);
    add(30.0, 180.0, 0);
    add(30.0, 180.0, 0);
    add(10.0, 90.0, 1);
    add(30.0, 180.0, 0);
    add(31.0, 181.0, 0);
    layout.strings = {{"S1", {1, 2, 4, 5}}, {"S2", {0, 3}}};
    return layout;
}

// A morning in June: the sun stands in the east, 47 deg high, at 09:00 UTC.
SiteConditions read(const std::string& log, const std::function<void(ConditionsSettings&)>& change = {}) {
    const TempFolder folder;
    ConditionsSettings settings;
    settings.log = folder.write("log.csv", log);
    if (change) {
        change(settings);
    }
    return read_site_conditions(settings, two_roofs());
}

std::string finding(const SiteConditions& site, const std::string& kind) {
    const auto& all = site.log.findings;
    const auto found = std::find_if(all.begin(), all.end(), [&](const LogFinding& f) { return f.kind == kind; });
    return found == all.end() ? std::string() : found->text;
}

const std::string kPlaneOnly =
    "time,poa_global\n2026-06-17T09:00:00,700\n2026-06-17T09:01:00,702\n2026-06-17T09:02:00,703\n";
const std::string kWithHorizontal =
    "time,poa_global,ghi,dhi\n2026-06-17T09:00:00,700,720,110\n2026-06-17T09:01:00,702,722,110\n"
    "2026-06-17T09:02:00,703,724,110\n";

Uncertain<WattsPerSquareMetre> at_nine(const ConditionsSeries& series) {
    const auto at = series.at(series.rows()[1].time, ConditionsLimits{});
    REQUIRE(at);
    return at->irradiance;
}

}  // namespace

TEST_CASE("site conditions: each module belongs to the plane that it faces", "[io]") {
    const SiteConditions site = read(kPlaneOnly);
    REQUIRE(site.planes.size() == 2);
    CHECK(site.planes[0].modules == 4);
    CHECK(in_degrees(site.planes[0].plane.azimuth) == Approx(180.0));
    CHECK(in_degrees(site.planes[1].plane.azimuth) == Approx(90.0));
    CHECK(site.plane_of_module == std::vector<int>{1, 0, 0, 1, 0, 0});
}

TEST_CASE("site conditions: a sensor in one plane is carried to the other, marked, and less sure there", "[io]") {
    const SiteConditions site = read(kPlaneOnly);
    CHECK(site.planes[0].source == PlaneSource::measured);
    CHECK(site.planes[1].source == PlaneSource::other_plane);
    const auto south = at_nine(site.planes[0].series);
    const auto east = at_nine(site.planes[1].series);
    CHECK(south.value.value() == Approx(702.0));
    CHECK(east.value.value() > 702.0 + 30.0);  // it faces the morning sun
    CHECK(east.u / east.value.value() > 1.2 * south.u / south.value.value());
    CHECK_FALSE(site.planes[0].series.logger().irradiance_is_modelled);
    CHECK(site.planes[1].series.logger().irradiance_is_modelled);
    CHECK_THAT(finding(site, "several_planes"),
               Contains("2 of 6 modules") &&
                   Contains("azimuth 90 deg (2 modules): modelled from a sensor in another plane") &&
                   Contains("declare sensor_tilt"));
    CHECK(finding(site, "irradiance_is_modelled").empty());
}

TEST_CASE("site conditions: horizontal irradiance with its diffuse part goes before a model of it", "[io]") {
    const SiteConditions site = read(kWithHorizontal);
    CHECK(site.planes[0].source == PlaneSource::measured);
    CHECK(site.planes[1].source == PlaneSource::split);
    CHECK_THAT(finding(site, "several_planes"), Contains("measured diffuse or direct part"));
}

TEST_CASE("site conditions: a sensor declared in the plane of the few is measured there", "[io]") {
    const SiteConditions site = read(kPlaneOnly, [](ConditionsSettings& settings) {
        settings.options.logger.sensor_plane = PlaneOrientation{degrees(10.0), degrees(90.0)};
    });
    CHECK(site.planes[0].source == PlaneSource::other_plane);
    CHECK(site.planes[1].source == PlaneSource::measured);
    CHECK(at_nine(site.planes[1].series).value.value() == Approx(702.0));
    CHECK_THAT(finding(site, "irradiance_is_modelled"), Contains("from a sensor in another plane, u = "));
    CHECK_THAT(finding(site, "several_planes"), !Contains("declare sensor_tilt"));
}

TEST_CASE("site conditions: one plane has no other", "[io]") {
    Layout layout = two_roofs();
    layout.modules.resize(1);
    const TempFolder folder;
    ConditionsSettings settings;
    settings.log = folder.write("log.csv", kPlaneOnly);
    const SiteConditions site = read_site_conditions(settings, layout);
    CHECK(site.planes.size() == 1);
    CHECK(finding(site, "several_planes").empty());
}

TEST_CASE("site conditions: a tag mapped to a string that the layout lacks is refused with the nearest one", "[io]") {
    SurveySettings settings;
    settings.file = "survey.toml";
    settings.electrical = ElectricalSettings{};
    settings.electrical->options.strings = {{"A1", "S3"}};
    CHECK_THAT(message_of([&] { read_survey_electrical(settings, two_roofs()); }),
               Contains("survey.toml, electrical.strings") && Contains("'A1' is mapped to 'S3'"));
}
