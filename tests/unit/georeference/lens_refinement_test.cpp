#include "heatrow/georeference/lens_refinement.hpp"

#include "support/module_field.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using namespace heatrow::test;
using Catch::Contains;

namespace {

// Pictures of a field by the true lens, and the poses at which they lock with the one that was stated.
class Survey {
  public:
    Survey(double tilt_deg, const Lens& truth) : layout_(make_field(field(tilt_deg))), site_(layout_) {
        for (int i = 0; i < 8; ++i) {
            FramePose pose = looking_down(2.0 + 1.2 * (i % 4), 2.0 + 3.0 * (i / 4), 17.0);
            pose.yaw = degrees(i % 2 == 0 ? 2.0 : 181.0);
            PaintOptions options;
            options.noise = 20.0;
            options.seed = static_cast<std::uint64_t>(i) + 1;
            pictures_.push_back(paint(layout_, PosedCamera(truth, pose), options));
            poses_.push_back(pose);
        }
    }

    [[nodiscard]] tl::expected<LensRefinement, std::string> solve(const Lens& stated,
                                                                  const LensRefinementOptions& options = {}) const {
        std::vector<LensFrame> frames;
        for (std::size_t i = 0; i < poses_.size(); ++i) {
            LockOptions lock;
            lock.blur_sigma_px = PaintOptions{}.blur_sigma_px;
            // with a longer focal length the height that fits is greater by the same share
            FramePose start = poses_[i];
            start.position_in_site.z() *= stated.focal_px / small_lens().focal_px;
            Matrix6d covariance = Matrix6d::Identity() * 1e-4;
            covariance.topLeftCorner<3, 3>() *= 1e3;
            const auto locked = polish_pose(site_, stated, start, covariance, pictures_[i].view(), lock);
            if (locked) {
                frames.push_back({&site_, pictures_[i].view(), locked->pose, lock});
            }
        }
        return refine_lens(stated, frames, options);
    }

  private:
    static FieldOptions field(double tilt_deg) {
        FieldOptions options;
        options.rows = 3;
        options.modules_up = 2;
        options.tilt_deg = tilt_deg;
        return options;
    }

    Layout layout_;
    LayoutIndex site_;
    std::vector<FramePose> poses_;
    std::vector<Image<float>> pictures_;
};

}  // namespace

TEST_CASE("lens refinement: a focal length 1.5 % off and k1 are found where modules stand up", "[georeference]") {
    const Lens truth = small_lens();
    const Survey survey(30.0, truth);
    Lens stated = truth;
    stated.focal_px *= 1.015;
    const auto refined = survey.solve(stated);
    INFO((refined ? std::string() : refined.error()));
    REQUIRE(refined);
    INFO("focal " << refined->lens.focal_px << " +- " << refined->focal_u_px << ", true " << truth.focal_px << "; k1 "
                  << refined->lens.k1 << " +- " << refined->k1_u);
    CHECK(std::abs(refined->lens.focal_px / truth.focal_px - 1.0) < 0.004);
    CHECK(std::abs(refined->lens.focal_px - truth.focal_px) < 3.0 * refined->focal_u_px);
    CHECK(std::abs(refined->lens.k1 - truth.k1) < 3.0 * refined->k1_u + 0.01);
    CHECK(refined->frames == 8);
}

TEST_CASE("lens refinement: over flat modules the focal length is one with the height, and is refused",
          "[georeference]") {
    const Survey survey(0.0, small_lens());
    const auto refined = survey.solve(small_lens());
    REQUIRE_FALSE(refined);
    CHECK_THAT(refined.error(), Contains("not observable"));
}

TEST_CASE("lens refinement: too few frames are refused", "[georeference]") {
    const Survey survey(30.0, small_lens());
    LensRefinementOptions options;
    options.fewest_frames = 9;
    const auto refined = survey.solve(small_lens(), options);
    REQUIRE_FALSE(refined);
    CHECK_THAT(refined.error(), Contains("9 are needed"));
}
