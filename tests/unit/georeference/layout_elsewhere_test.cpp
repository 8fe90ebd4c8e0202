#include "heatrow/georeference/layout_elsewhere.hpp"

#include "support/module_field.hpp"

#include <catch2/catch.hpp>

#include <vector>

using namespace heatrow;
using namespace heatrow::test;
using Catch::Matchers::WithinAbs;
using Eigen::Vector2d;
using Eigen::Vector3d;

namespace {

// Frames over a field of two rows, of which the survey has the layout drawn off by `shift`, or only the tables `drawn`.
std::optional<LayoutElsewhere> search(const Layout& site, const Layout& drawn, const std::vector<Vector3d>& places) {
    const Lens lens = small_lens();
    std::vector<Image<float>> pictures;
    std::vector<FramePrior> priors(places.size());
    for (std::size_t i = 0; i < places.size(); ++i) {
        priors[i].pose = looking_down(places[i].x(), places[i].y(), places[i].z());
        PaintOptions paint_options;
        paint_options.noise = 20.0;
        paint_options.seed = i + 1;
        pictures.push_back(paint(site, PosedCamera(lens, *priors[i].pose), paint_options));
    }
    std::vector<ScoutFrame> frames;
    for (std::size_t i = 0; i < places.size(); ++i) {
        ScoutFrame frame;
        frame.prior = &priors[i];
        frame.counts = std::as_const(pictures[i]).view();
        frames.push_back(frame);
    }
    ElsewhereOptions options;
    options.alignment.search_vertical = Metres(10.0);  // keeps the test quick
    return find_layout_elsewhere(LayoutIndex(drawn), lens, frames, options);
}

Layout shifted(Layout layout, const Vector2d& by) {
    for (Module& module : layout.modules) {
        for (Vector3d& corner : module.corners_in_site) {
            corner.head<2>() += by;
        }
    }
    return layout;
}

const std::vector<Vector3d> kPlaces{{1.0, 2.0, 22.0}, {6.0, 3.0, 22.0}, {11.0, 2.5, 22.0}, {4.0, 4.0, 22.0}};

}  // namespace

TEST_CASE("layout elsewhere: says where a layout drawn off would fit", "[georeference]") {
    const Layout site = make_field(FieldOptions{});
    const Vector2d by(14.0, -9.0);
    const auto found = search(site, shifted(site, by), kPlaces);
    REQUIRE(found);
    CHECK_THAT(found->move_in_site.x(), WithinAbs(-by.x(), 1.6));
    CHECK_THAT(found->move_in_site.y(), WithinAbs(-by.y(), 1.6));
    CHECK(found->margin > 25.0);
}

TEST_CASE("layout elsewhere: a layout in its place is left there", "[georeference]") {
    const Layout site = make_field(FieldOptions{});
    CHECK_FALSE(search(site, site, kPlaces));
    CHECK_FALSE(search(site, shifted(site, {4.0, 2.0}), kPlaces));  // the search itself reaches that
}

TEST_CASE("layout elsewhere: one of several like blocks is left where it is", "[georeference]") {
    FieldOptions both;
    both.tables_in_row = 2;
    both.table_gap_m = 6.0;
    const Layout site = make_field(both);
    const Layout drawn = make_field(FieldOptions{});  // the western tables alone
    // More frames over the eastern tables, which look like those drawn, than over the western ones.
    std::vector<Vector3d> places = kPlaces;
    for (const double east : {17.0, 19.0, 21.0, 23.0, 25.0, 27.0}) {
        places.emplace_back(east, 3.0, 22.0);
    }
    CHECK_FALSE(search(site, drawn, places));
}

TEST_CASE("layout elsewhere: nothing without frames", "[georeference]") {
    CHECK_FALSE(find_layout_elsewhere(LayoutIndex(make_field(FieldOptions{})), small_lens(), {}));
}
