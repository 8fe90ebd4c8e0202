#include "displacement_votes.hpp"

#include "support/module_field.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using namespace heatrow::test;

TEST_CASE("displacement votes: steep rows count as wide as they look from each place", "[georeference]") {
    // Two rows of three are in view: they may be the next two just as well, and the frame must not prefer those because
    // rows look wider from the logged position than from there.
    constexpr double kDisplacement = -2.0;
    FieldOptions field;
    field.rows = 3;
    field.tilt_deg = 50.0;
    field.row_pitch_m = 5.0;
    const Layout layout = make_field(field);
    const LayoutIndex site(layout);
    const Lens lens = small_lens();
    const FramePose truth = looking_down(5.0, 3.0, 18.0);
    PaintOptions paint_options;
    paint_options.noise = 20.0;
    const Image<float> picture = paint(layout, PosedCamera(lens, truth), paint_options);
    FramePose logged = truth;
    logged.position_in_site.y() -= kDisplacement;
    FramePrior prior;
    prior.pose = logged;
    const ScoutFrame frame{&prior, picture.view()};
    detail::DisplacementGrid grid;
    grid.step_m = 0.25;
    grid.half = 24;

    const Eigen::ArrayXXf votes =
        detail::votes_for_displacements(site, lens, frame, logged, true, grid, 3.0 * grid.step_m, AlignmentOptions{});

    const auto vote_at = [&](double north) {
        const Eigen::Index place = grid.half + std::lround(north / grid.step_m);
        return votes.middleCols(place - 1, 3).maxCoeff();
    };
    CHECK(vote_at(kDisplacement) > votes.maxCoeff() - 0.5F);  // 3.7 below, looked at from the logged position alone
    CHECK(vote_at(kDisplacement + field.row_pitch_m) > votes.maxCoeff() - 0.5F);
    CHECK(vote_at(kDisplacement + 0.5 * field.row_pitch_m) < votes.maxCoeff() - 5.0F);
}
