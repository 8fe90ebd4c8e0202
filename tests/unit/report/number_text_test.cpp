#include "heatrow/report/number_text.hpp"

#include <catch2/catch.hpp>

#include <limits>

using namespace heatrow;

TEST_CASE("number text: fixed and short forms", "[report]") {
    CHECK(fixed_text(1.25, 2) == "1.25");
    CHECK(fixed_text(1e20, 0) == "100000000000000000000");
    CHECK(fixed_text(-0.04, 1) == "0.0");
    CHECK(fixed_text(kNaN, 1).empty());
    CHECK(fixed_text(std::numeric_limits<double>::infinity(), 1).empty());
    CHECK(short_text(12.50, 3) == "12.5");
    CHECK(short_text(12.0, 3) == "12");
    CHECK(short_text(100.0, 0) == "100");
    CHECK(short_text(-0.001, 2) == "0");
}

TEST_CASE("number text: differences carry their sign and interval", "[report]") {
    CHECK(signed_text(3.21, 1) == "+3.2");
    CHECK(signed_text(-3.21, 1) == "−3.2");
    CHECK(signed_text(0.01, 1) == "0.0");
    CHECK(signed_text(kNaN, 1) == "–");
    CHECK(with_u95_text({KelvinDelta(10.0), 0.5}, 1) == "+10.0 ± 1.0");
    CHECK(with_u95_text({KelvinDelta(10.0), kNaN}, 1) == "+10.0");
}
