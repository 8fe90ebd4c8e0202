#include "heatrow/georeference/side_evidence.hpp"

#include "support/module_field.hpp"

#include <catch2/catch.hpp>

#include <vector>

using namespace heatrow;
using namespace heatrow::test;

TEST_CASE("side evidence: a module shows its sides, a hole where one is drawn does not", "[georeference]") {
    FieldOptions field;
    field.rows = 1;
    field.modules_up = 2;
    field.modules_along = 6;
    const Layout drawn = make_field(field);
    const LayoutIndex site(drawn);
    Layout standing = drawn;  // the last one of the lower tier is not there
    std::size_t last = 0;
    for (std::size_t i = 0; i < standing.modules.size(); ++i) {
        const Eigen::Vector3d here = standing.modules[i].centre_in_site();
        const Eigen::Vector3d there = standing.modules[last].centre_in_site();
        last = here.x() - here.y() > there.x() - there.y() ? i : last;
    }
    const int missing = static_cast<int>(last);
    standing.modules.erase(standing.modules.begin() + missing);
    // The border cuts the last column.
    const PosedCamera camera(small_lens(), looking_down(0.9, 1.5, 18.0));
    PaintOptions paint_options;
    paint_options.noise = 20.0;
    std::vector<int> modules;
    for (int module = 0; module < static_cast<int>(drawn.modules.size()); ++module) {
        modules.push_back(module);
    }
    for (const bool all_there : {true, false}) {
        const Image<float> picture = paint(all_there ? drawn : standing, camera, paint_options);
        const auto evidence =
            evidence_of_sides(site, small_lens(), looking_down(0.9, 1.5, 18.0), picture.view(), {}, modules);
        REQUIRE(evidence.size() == modules.size());
        for (const int module : modules) {
            const SideEvidence& sides = evidence[static_cast<std::size_t>(module)];
            INFO("module " << module << ": " << sides.shown << " of " << sides.probed);
            CHECK(sides.probed > 0);
            CHECK((2 * sides.shown >= sides.probed) == (all_there || module != missing));
        }
    }
}
