#include "heatrow/vision/board.hpp"

#include "rendered_board.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <limits>
#include <utility>

using namespace heatrow;
using namespace heatrow::testing;

namespace {

BoardScene scene_of(BoardPattern pattern) {
    BoardScene scene;
    scene.lens = wide_lens();
    scene.shape.pattern = pattern;
    return scene;
}

// Root mean square distance to the true points, counted from whichever end the finder began.
double rms_px(const std::vector<Eigen::Vector2d>& found, const std::vector<Eigen::Vector2d>& truth) {
    double forward = 0.0;
    double backward = 0.0;
    for (std::size_t i = 0; i < truth.size(); ++i) {
        forward += (found[i] - truth[i]).squaredNorm();
        backward += (found[truth.size() - 1 - i] - truth[i]).squaredNorm();
    }
    return std::sqrt(std::min(forward, backward) / static_cast<double>(truth.size()));
}

}  // namespace

TEST_CASE("board: corners are found to 0.15 px in both polarities", "[vision]") {
    for (const bool dark_warm : {true, false}) {
        BoardScene scene = scene_of(BoardPattern::corners);
        scene.dark_fields_warm = dark_warm;
        const BoardPose pose = pose_of(scene, 20, -15, 1.4, 0.1, 0.1);
        const Image<float> picture = render(scene, pose, 1);
        const auto view = find_board(picture.view(), scene.shape);
        REQUIRE(view);
        CHECK(rms_px(view->points_px, true_points(scene, pose)) < 0.15);
    }
}

TEST_CASE("board: centres of discs are found in both polarities", "[vision]") {
    for (const bool dark_warm : {true, false}) {
        BoardScene scene = scene_of(BoardPattern::circles);
        scene.dark_fields_warm = dark_warm;
        const BoardPose pose = pose_of(scene, 15, -10, 1.4, 0.0, 0.0);
        const Image<float> picture = render(scene, pose, 2);
        const auto view = find_board(picture.view(), scene.shape);
        REQUIRE(view);
        CHECK(rms_px(view->points_px, true_points(scene, pose)) < 0.25);
        CHECK(view->inverted == dark_warm);  // the warm discs of a heated board are bright
    }
}

TEST_CASE("board: what shows no whole board gives nothing", "[vision]") {
    const BoardScene scene = scene_of(BoardPattern::corners);
    const Image<float> even(320, 256, 30000.0F);
    const Image<float> missing(320, 256, std::numeric_limits<float>::quiet_NaN());
    CHECK_FALSE(find_board(even.view(), scene.shape));
    CHECK_FALSE(find_board(missing.view(), scene.shape));
    const Image<float> cut = render(scene, pose_of(scene, 0, 0, 1.4, 0.9, 0.0), 3);
    CHECK_FALSE(find_board(cut.view(), scene.shape));
}

TEST_CASE("board: missing pixels do not stop the finder", "[vision]") {
    const BoardScene scene = scene_of(BoardPattern::corners);
    Image<float> picture = render(scene, pose_of(scene, 10, 10, 1.4, 0.0, 0.0), 4);
    for (int x = 0; x < 20; ++x) {
        picture.view()(x, 5) = std::numeric_limits<float>::quiet_NaN();
    }
    CHECK(find_board(std::as_const(picture).view(), scene.shape));
}

TEST_CASE("board: a shape that cannot be is refused in words", "[vision]") {
    CHECK(problem_of({6, 5, Metres(0.1)}).empty());
    CHECK_THAT(problem_of({2, 5, Metres(0.1)}), Catch::Matchers::Contains("at least 3"));
    CHECK_THAT(problem_of({6, 5, Metres(0.0)}), Catch::Matchers::Contains("above 0"));
    CHECK_THAT(problem_of({6, 5, Metres(kNaN)}), Catch::Matchers::Contains("above 0"));
}
