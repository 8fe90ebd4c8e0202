#include "heatrow/radiometry/count_table.hpp"

#include "heatrow/core/error.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

using namespace heatrow;
using Catch::Matchers::Contains;
using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;

namespace {

const BandRadiance& band() {
    static const BandRadiance table(Band{7.5, 14.0});
    return table;
}

TemperatureEncoding hundredths_of_kelvin() {
    TemperatureEncoding encoding;
    encoding.scale = 0.01;
    encoding.kelvin = true;
    return encoding;
}

const ObjectConditions kGlass{0.85, Celsius(-20.0), 0.98, Celsius(25.0)};

}  // namespace

TEST_CASE("count table: agrees with the direct solution at every count", "[radiometry]") {
    for (const double export_emissivity : {1.0, 0.9}) {
        TemperatureEncoding encoding = hundredths_of_kelvin();
        encoding.export_emissivity = export_emissivity;
        encoding.export_reflected = Celsius(15.0);
        const CountTable table(encoding, kGlass, band());
        double worst = 0.0;
        for (int count = 18000; count < 60000; ++count) {
            const double direct = object_temperature(count, encoding, kGlass, band()).value();
            const double got = table.temperature(count).value();
            REQUIRE(std::isnan(direct) == std::isnan(got));
            if (!std::isnan(direct)) {
                worst = std::max(worst, std::abs(direct - got));
            }
        }
        INFO("worst " << worst << " K");
        CHECK(worst < 1e-5);
    }
}

TEST_CASE("count table: reproduces the published-form case", "[radiometry]") {
    const CountTable table(hundredths_of_kelvin(), kGlass, band());
    CHECK_THAT(table.temperature((50.720 + 273.15) * 100.0).value(), WithinAbs(60.0, 1e-3));
}

TEST_CASE("count table: rises with the count, and its slope is the derivative", "[radiometry]") {
    const CountTable table(hundredths_of_kelvin(), kGlass, band());
    double before = -300.0;
    for (int count = 24000; count < 50000; ++count) {
        const double now = table.temperature(count).value();
        if (std::isnan(now)) {
            CHECK(before == -300.0);  // NaN only below every temperature
            continue;
        }
        REQUIRE(now > before);
        before = now;
    }
    for (int count = 25500; count < 50000; count += 97) {
        const double slope = (table.temperature(count + 1.0) - table.temperature(count - 1.0)).value() / 2.0;
        CHECK_THAT(table.slope_k_per_count(count), WithinRel(slope, 1e-5));
    }
}

TEST_CASE("count table: a falling scale falls", "[radiometry]") {
    TemperatureEncoding encoding;
    encoding.scale = -0.01;
    encoding.offset = 100.0;
    const CountTable table(encoding, kGlass, band());
    CHECK(table.temperature(4000.0) > table.temperature(5000.0));
    CHECK(table.slope_k_per_count(4000.0) < 0.0);
}

TEST_CASE("count table: no data and impossible counts are NaN", "[radiometry]") {
    TemperatureEncoding encoding = hundredths_of_kelvin();
    encoding.nodata = 0.0;
    const CountTable table(encoding, kGlass, band());
    CHECK(std::isnan(table.temperature(0.0).value()));
    CHECK(std::isnan(table.slope_k_per_count(0.0)));
    CHECK(std::isnan(table.temperature(kNaN).value()));
    CHECK(std::isnan(table.temperature(1e9).value()));
    // apparent -60 degC with 15 % of a -20 degC sky: less than the reflection alone
    const ObjectConditions mirror{0.2, Celsius(20.0), 1.0, Celsius(kNaN)};
    const CountTable dull(encoding, mirror, band());
    CHECK(std::isnan(dull.temperature(25000.0).value()));
    CHECK(dull.temperature(29400.0).is_known());
}

TEST_CASE("count table: beyond its nodes values are solved directly", "[radiometry]") {
    const TemperatureEncoding encoding = hundredths_of_kelvin();
    const CountTable table(encoding, kGlass, band());
    const double count = (450.0 + 273.15) * 100.0;
    CHECK_THAT(table.temperature(count).value(),
               WithinAbs(object_temperature(count, encoding, kGlass, band()).value(), 1e-9));
}

TEST_CASE("count table: settings that cannot be are refused", "[radiometry]") {
    CHECK_THROWS_WITH(CountTable(hundredths_of_kelvin(), ObjectConditions{0.0}, band()), Contains("emissivity"));
    TemperatureEncoding encoding;
    encoding.scale = 0.0;
    CHECK_THROWS_WITH(CountTable(encoding, kGlass, band()), Contains("scale"));
}

TEST_CASE("count table: a table of a few kelvin gives the same, inside and outside of it", "[radiometry]") {
    const TemperatureEncoding encoding = hundredths_of_kelvin();
    const CountTable part(encoding, kGlass, band(), Celsius(31.3), Celsius(47.9));
    for (int count = 29000; count < 34000; ++count) {
        const double direct = object_temperature(count, encoding, kGlass, band()).value();
        REQUIRE_THAT(part.temperature(count).value(), WithinAbs(direct, 1e-5));
    }
    // nothing to span: every value is solved by itself
    const CountTable none(encoding, kGlass, band(), Celsius(HUGE_VAL), Celsius(-HUGE_VAL));
    CHECK_THAT(none.temperature(32434).value(), WithinAbs(part.temperature(32434).value(), 1e-5));
    const CountTable point(encoding, kGlass, band(), Celsius(40.0), Celsius(40.0));
    CHECK_THAT(point.temperature(31315).value(), WithinAbs(part.temperature(31315).value(), 1e-5));
}
