#include "heatrow/fuse/fuse.hpp"

#include "heatrow/core/median.hpp"

#include <catch2/catch.hpp>

#include <cmath>
#include <random>

using namespace heatrow;

namespace {

Layout one_module(int rows, int columns) {
    Layout layout;
    ModuleType type;
    type.width = Metres(1.0);
    type.height = Metres(1.7);
    type.rows = rows;
    type.columns = columns;
    type.substring_of_cell.assign(static_cast<std::size_t>(rows * columns), 1);
    layout.types.push_back(type);
    layout.modules.emplace_back();
    return layout;
}

ModuleView view_of(int frame, const std::vector<double>& cells_c) {
    ModuleView view;
    view.frame = frame;
    view.cell_short_px = 5.0;
    for (const double cell : cells_c) {
        view.mean_c.push_back(static_cast<float>(cell));
        view.hottest_c.push_back(static_cast<float>(cell + 0.5));
        view.spread_k.push_back(0.2F);
        view.pixels.push_back(16.0F);
    }
    return view;
}

double value(const FusedModule& fused, std::size_t cell) {
    return fused.cells[cell].temperature.value.value();
}

constexpr FuseOptions kOptions{0.08, 0.15};

}  // namespace

TEST_CASE("fuse: drift between frames cancels in the differences", "[fuse]") {
    const auto layout = one_module(2, 2);
    std::vector<ModuleView> views;
    for (const double drift : {0.0, 3.0, -2.0, 0.5, 1.0}) {
        views.push_back(
            view_of(static_cast<int>(views.size()), {40.0 + drift, 41.0 + drift, 40.0 + drift, 55.0 + drift}));
    }
    const auto fused = fuse_module(layout, 0, views, kOptions);
    CHECK(value(fused, 3) - value(fused, 0) == Approx(15.0).margin(1e-4));
    CHECK(value(fused, 0) == Approx(40.5).margin(1e-4));  // the median frame's level
    CHECK(fused.cells[3].hottest.value() == Approx(56.0).margin(1e-4));
    CHECK(fused.cells[3].temperature.u < 0.05);
    CHECK(fused.level_u_k > 0.3);
    CHECK(fused.frames == std::vector<int>{0, 1, 2, 3, 4});
    CHECK(fused.cells[3].views == 5);
    CHECK(fused.flags.none());
}

TEST_CASE("fuse: one wild view in five does not move a cell", "[fuse]") {
    const auto layout = one_module(2, 2);
    std::vector<ModuleView> views(5, view_of(0, {40.0, 40.0, 40.0, 40.0}));
    for (std::size_t i = 0; i < views.size(); ++i) {
        views[i].frame = static_cast<int>(i);
    }
    views[2].mean_c[1] = 70.0F;
    const auto fused = fuse_module(layout, 0, views, kOptions);
    CHECK(value(fused, 1) == Approx(40.0).margin(1e-4));
}

TEST_CASE("fuse: a view that misses cells does not shift the others", "[fuse]") {
    const auto layout = one_module(1, 6);
    const std::vector<double> cells = {40.0, 40.0, 40.0, 50.0, 50.0, 50.0};
    std::vector<ModuleView> views;
    for (int i = 0; i < 5; ++i) {
        views.push_back(view_of(i, cells));
    }
    for (std::size_t c = 0; c < 3; ++c) {
        views[0].mean_c[c] = std::nanf("");
    }
    const auto fused = fuse_module(layout, 0, views, kOptions);
    for (std::size_t c = 0; c < cells.size(); ++c) {
        CHECK(value(fused, c) == Approx(cells[c]).margin(1e-4));
    }
    CHECK(fused.cells[0].views == 4);
    CHECK(fused.cells[3].views == 5);
}

TEST_CASE("fuse: a cell without data stays without, the rest is unmoved", "[fuse]") {
    const auto layout = one_module(2, 2);
    std::vector<ModuleView> views = {view_of(0, {40.0, 41.0, 42.0, kNaN}), view_of(1, {40.0, 41.0, 42.0, kNaN})};
    const auto fused = fuse_module(layout, 0, views, kOptions);
    CHECK_FALSE(fused.cells[3].temperature.is_known());
    CHECK(fused.cells[3].views == 0);
    CHECK(value(fused, 1) == Approx(41.0).margin(1e-4));
    const auto none = fuse_module(layout, 0, std::vector<ModuleView>{view_of(0, {kNaN, kNaN, kNaN, kNaN})}, kOptions);
    CHECK(none.frames.empty());
    CHECK_FALSE(none.cells[0].temperature.is_known());
    CHECK(fuse_module(layout, 0, {}, kOptions).frames.empty());
}

TEST_CASE("fuse: poor views are left out where better ones exist", "[fuse]") {
    const auto layout = one_module(1, 2);
    for (const auto flag : {Flag::too_few_pixels, Flag::angle_too_shallow, Flag::smeared, Flag::clipped}) {
        std::vector<ModuleView> views = {view_of(4, {40.0, 41.0}), view_of(1, {60.0, 80.0})};
        views[1].flags.set(flag);
        const auto fused = fuse_module(layout, 0, views, kOptions);
        CHECK(fused.frames == std::vector<int>{4});
        CHECK_FALSE(fused.flags.has(flag));
        CHECK(fused.flags.has(Flag::single_view));
        const auto only = fuse_module(layout, 0, std::span(views).subspan(1), kOptions);
        CHECK(only.frames == std::vector<int>{1});
        CHECK(only.flags.has(flag));
    }
}

TEST_CASE("fuse: order of the views does not matter", "[fuse]") {
    const auto layout = one_module(1, 3);
    std::vector<ModuleView> views = {
        view_of(3, {40.0, 41.0, 44.0}), view_of(1, {40.5, 41.7, 44.1}), view_of(2, {39.0, 40.1, 43.3})};
    const auto a = fuse_module(layout, 0, views, kOptions);
    std::swap(views[0], views[2]);
    const auto b = fuse_module(layout, 0, views, kOptions);
    CHECK(a.frames == std::vector<int>{1, 2, 3});
    for (std::size_t c = 0; c < 3; ++c) {
        CHECK(value(a, c) == value(b, c));
        CHECK(a.cells[c].temperature.u == b.cells[c].temperature.u);
    }
}

TEST_CASE("fuse: a single view takes the assumed scatter", "[fuse]") {
    const auto layout = one_module(1, 3);
    const auto fused = fuse_module(layout, 0, std::vector<ModuleView>{view_of(0, {40.0, 41.0, 42.0})}, kOptions);
    CHECK(fused.cells[0].temperature.u == Approx(0.15));
    CHECK(fused.level_u_k == 0.0);
}

TEST_CASE("fuse: small-sample factors make the deviation unbiased", "[fuse]") {
    std::mt19937_64 engine(5);
    std::normal_distribution<double> normal;
    for (const int n : {2, 3, 4, 5, 6, 7, 8, 9, 12, 20}) {
        double sum = 0.0;
        constexpr int kRuns = 20000;
        std::vector<double> values(static_cast<std::size_t>(n));
        for (int run = 0; run < kRuns; ++run) {
            for (double& each : values) {
                each = normal(engine);
            }
            const double centre = median_of(values);
            std::vector<double> deviations;
            for (const double each : values) {
                deviations.push_back(std::abs(each - centre));
            }
            sum += scatter_from_mad(median_of(deviations), n);
        }
        INFO(n);
        CHECK(sum / kRuns == Approx(1.0).margin(0.02));
    }
    CHECK(std::isnan(scatter_from_mad(1.0, 1)));
}

TEST_CASE("fuse: stated uncertainty holds the error", "[fuse]") {
    // 60 cells, scatter 0.2 K between views: share of cells within 1.96 u of the truth, levels taken out.
    const auto layout = one_module(10, 6);
    std::mt19937_64 engine(9);
    std::normal_distribution<double> normal;
    for (const int n : {2, 3, 5, 10}) {
        int inside = 0;
        int all = 0;
        for (int run = 0; run < 40; ++run) {
            std::vector<double> truth(60);
            for (double& cell : truth) {
                cell = 45.0 + 0.4 * normal(engine);
            }
            std::vector<ModuleView> views;
            for (int v = 0; v < n; ++v) {
                auto cells = truth;
                for (double& cell : cells) {
                    cell += 0.2 * normal(engine);
                }
                views.push_back(view_of(v, cells));
            }
            const auto fused = fuse_module(layout, 0, views, kOptions);
            std::vector<double> errors;
            for (std::size_t c = 0; c < truth.size(); ++c) {
                errors.push_back(value(fused, c) - truth[c]);
            }
            const double level = median_of(errors);
            for (std::size_t c = 0; c < truth.size(); ++c) {
                inside += std::abs(errors[c] - level) <= fused.cells[c].temperature.u95() ? 1 : 0;
                ++all;
            }
        }
        const double share = static_cast<double>(inside) / all;
        WARN(n << " views: 95 % interval holds the truth in " << 100.0 * share << " % of " << all << " cells");
        CHECK(share > 0.92);
        CHECK(share < 0.985);
    }
}

TEST_CASE("fuse: smeared views speak only where there is none without, and then the less smeared ones", "[fuse]") {
    const auto layout = one_module(1, 4);
    const auto smeared = [](int frame, double smear_px, double hot_c) {
        ModuleView view = view_of(frame, {40.0, 40.0, 40.0, hot_c});
        view.flags.set(Flag::smeared);
        view.smear_px = smear_px;
        return view;
    };
    ModuleView small = view_of(3, {40.0, 40.0, 40.0, 60.0});
    small.flags.set(Flag::too_few_pixels);
    std::vector<ModuleView> views = {smeared(0, 1.5, 55.0), smeared(1, 1.6, 54.0), smeared(2, 4.0, 46.0), small};
    auto fused = fuse_module(layout, 0, views, kOptions);
    CHECK(fused.frames == std::vector<int>{3});
    CHECK_FALSE(fused.flags.has(Flag::smeared));
    views.pop_back();
    fused = fuse_module(layout, 0, views, kOptions);
    CHECK(fused.frames == std::vector<int>{0, 1});
    CHECK(fused.flags.has(Flag::smeared));
    CHECK(fused.smear_px == Approx(1.55));
}
