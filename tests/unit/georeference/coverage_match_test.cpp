#include "coverage_match.hpp"

#include <catch2/catch.hpp>

#include <utility>

using namespace heatrow;

TEST_CASE("coverage match: the blur does not see how warm an even picture is", "[georeference]") {
    // Counts of warm ground; what lies beyond the border has none.
    Image<float> even(160, 128);
    for (int y = 0; y < even.height(); ++y) {
        for (int x = 0; x < even.width(); ++x) {
            even.view()(x, y) = 30000.0F;
        }
    }
    const detail::BlockPicture blurred = detail::about_mean(detail::reduce(std::as_const(even).view(), 4, kNaN), 2.0);
    REQUIRE(blurred.means.size() > 0);
    CHECK(blurred.means.abs().maxCoeff() < 0.1F);
}
