#include "lattice_votes.hpp"

#include "support/module_field.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <utility>

using namespace heatrow;
using namespace heatrow::test;
using Eigen::Vector3d;
using heatrow::detail::LatticeVoter;

namespace {

FieldOptions long_row() {
    FieldOptions field;
    field.rows = 2;
    field.modules_along = 30;
    return field;
}

ProbeOptions with_levels() {
    ProbeOptions options;
    options.levels = true;
    options.blur_sigma_px = PaintOptions{}.blur_sigma_px;
    return options;
}

PaintOptions noisy() {
    PaintOptions options;
    options.noise = 20.0;
    return options;
}

// A picture of the field from a place, and the voter of a lock that may have slipped.
struct Look {
    Layout drawn;
    LayoutIndex site;
    Lens lens = small_lens();
    FramePose truth;
    Image<float> picture;
    BandProber prober;

    Look(const Layout& built, Layout as_drawn, double east)
        : drawn(std::move(as_drawn)),
          site(drawn),
          truth(looking_down(east, 3.0, 18.0)),
          picture(paint(built, PosedCamera(lens, truth), noisy())),
          prober(std::as_const(picture).view(), with_levels()) {}

    LatticeVoter locked(int slip) {
        FramePose pose = truth;
        pose.position_in_site += slip * site.pitch_along();
        return {site, lens, pose, prober, Vector3d::Zero()};
    }
};

double sum(const std::vector<PlaceVote>& votes) {
    double total = 0.0;
    for (const PlaceVote& vote : votes) {
        total += vote.log_likelihood;
    }
    return total;
}

}  // namespace

TEST_CASE("lattice votes: over a row end the right place beats its neighbours, from wherever one asks",
          "[georeference]") {
    const Layout field = make_field(long_row());
    Look look(field, field, 2.0);
    LatticeVoter right = look.locked(0);
    for (const int along : {-2, -1, 1, 2}) {
        CHECK(sum(right.vote(along, 0)) < -3.0);
    }
    for (const int slip : {-1, 1}) {
        LatticeVoter slipped = look.locked(slip);
        CHECK(sum(slipped.vote(-slip, 0)) > 2.0);
    }
    // Two rows end here: two witnesses, each capped, each a module that only one of the places has.
    const auto votes = right.vote(1, 0);
    CHECK(votes.size() >= 2);
    for (const PlaceVote& vote : votes) {
        CHECK(vote.along == 1);
        CHECK(vote.across == 0);
        CHECK(vote.witness >= 0);
        CHECK(std::abs(vote.log_likelihood) <= 5.0);
    }
}

TEST_CASE("lattice votes: in the middle of an even row nothing tells", "[georeference]") {
    const Layout field = make_field(long_row());
    Look look(field, field, 15.0);
    LatticeVoter voter = look.locked(0);
    for (const int along : {-3, -1, 1, 3}) {
        const auto votes = voter.vote(along, 0);
        REQUIRE(votes.size() == 1);
        CHECK(votes[0].witness == -1);
        CHECK(votes[0].log_likelihood == 0.0);
    }
    CHECK((voter.at(3, 0).position_in_site - voter.at(0, 0).position_in_site - 3.0 * look.site.pitch_along()).norm() <
          1e-12);
}

TEST_CASE("lattice votes: a hole in a row is a witness", "[georeference]") {
    const Layout drawn = make_field(long_row());
    Layout built = drawn;
    // The module nearest to the middle of the picture is missing on site and in the drawing.
    const LayoutIndex index(drawn);
    int hole = 0;
    for (int i = 0; i < static_cast<int>(drawn.modules.size()); ++i) {
        const auto off = [&](int module) {
            return (index.centre_in_site(module).head<2>() - Eigen::Vector2d(15.0, 1.0)).norm();
        };
        hole = off(i) < off(hole) ? i : hole;
    }
    built.modules.erase(built.modules.begin() + hole);
    for (Table& table : built.tables) {
        std::erase(table.modules, hole);
        for (int& module : table.modules) {
            module -= module > hole ? 1 : 0;
        }
    }
    built.strings.clear();
    for (Module& module : built.modules) {
        module.string = -1;
    }
    Look look(built, built, 15.0);
    LatticeVoter voter = look.locked(0);
    CHECK(sum(voter.vote(1, 0)) < -3.0);
    CHECK(sum(voter.vote(-1, 0)) < -3.0);
    LatticeVoter slipped = look.locked(1);
    CHECK(sum(slipped.vote(-1, 0)) > 3.0);
}

TEST_CASE("lattice votes: a table drawn elsewhere is contradicted, the other one is not", "[georeference]") {
    const Layout built = make_field(long_row());
    Look agreeing(built, built, 15.0);
    LatticeVoter fits = agreeing.locked(0);
    CHECK(fits.contradicted().empty());

    Layout drawn = built;
    const LayoutIndex index(built);
    // Half a module along alone would leave top and bottom edges where they are.
    const Vector3d off = 0.5 * index.pitch_along() + Vector3d(0.0, 0.45, 0.0);
    for (const int module : drawn.tables[1].modules) {
        for (Vector3d& corner : drawn.modules[static_cast<std::size_t>(module)].corners_in_site) {
            corner += off;
        }
    }
    Look look(built, drawn, 15.0);
    LatticeVoter voter = look.locked(0);
    const auto contradicted = voter.contradicted();
    REQUIRE_FALSE(contradicted.empty());
    for (const int module : contradicted) {
        CHECK(drawn.modules[static_cast<std::size_t>(module)].table == 1);
    }
    CHECK(contradicted.size() < voter.module_count());
    CHECK(std::is_sorted(contradicted.begin(), contradicted.end()));
}
