#include "heatrow/radiometry/encoding.hpp"

#include "heatrow/radiometry/measurement.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;

TEST_CASE("encoding: counts in degC and in kelvin", "[radiometry]") {
    TemperatureEncoding encoding;
    encoding.scale = 0.01;
    encoding.offset = -273.15;
    CHECK_THAT(exported_temperature(31815.0, encoding).value(), WithinAbs(45.0, 1e-9));
    encoding.offset = 0.0;
    encoding.kelvin = true;
    CHECK_THAT(exported_temperature(31815.0, encoding).value(), WithinAbs(45.0, 1e-9));
    CHECK_THAT(count_of(Celsius(45.0), encoding), WithinAbs(31815.0, 1e-6));
}

TEST_CASE("encoding: the no-data count has no temperature", "[radiometry]") {
    TemperatureEncoding encoding;
    encoding.nodata = 0.0;
    CHECK(std::isnan(exported_temperature(0.0, encoding).value()));
    CHECK(exported_temperature(1.0, encoding).value() == 1.0);
    CHECK(std::isnan(exported_temperature(kNaN, encoding).value()));
    encoding.nodata.reset();
    CHECK(exported_temperature(0.0, encoding).value() == 0.0);
}

TEST_CASE("encoding: an export with emissivity is undone to the apparent temperature", "[radiometry]") {
    const BandRadiance band(Band{7.5, 14.0});
    // An object of 60 degC, emissivity 0.85 under -20 degC looks like 51.190 degC (check-values 3.5); a camera set to
    // 0.95 and 20 degC exports something else.
    const ObjectConditions at_export{0.95, Celsius(20.0), 1.0, Celsius(kNaN)};
    const Celsius exported = object_of_apparent(Celsius(51.190), at_export, band);
    TemperatureEncoding encoding;
    encoding.export_emissivity = 0.95;
    encoding.export_reflected = Celsius(20.0);
    CHECK(exported.value() > 52.0);
    CHECK_THAT(apparent_temperature(exported.value(), encoding, band).value(), WithinAbs(51.190, 1e-6));
    // redone with the right values
    const ObjectConditions right{0.85, Celsius(-20.0), 1.0, Celsius(kNaN)};
    CHECK_THAT(object_of_apparent(apparent_temperature(exported.value(), encoding, band), right, band).value(),
               WithinAbs(60.0, 2e-3));
}

TEST_CASE("encoding: problems are named", "[radiometry]") {
    TemperatureEncoding encoding;
    CHECK(problem_with(encoding).empty());
    encoding.scale = 0.0;
    CHECK_THAT(problem_with(encoding), Contains("scale"));
    encoding.scale = 0.01;
    encoding.export_emissivity = 0.95;
    CHECK_THAT(problem_with(encoding), Contains("reflected temperature used at export is missing"));
    encoding.export_reflected = Celsius(20.0);
    CHECK(problem_with(encoding).empty());
    encoding.export_emissivity = 1.2;
    CHECK_THAT(problem_with(encoding), Contains("above 0 and at most 1"));
    encoding.export_emissivity = 1.0;
    encoding.offset = kNaN;
    CHECK_THAT(problem_with(encoding), Contains("offset"));
}
