#include "heatrow/fuse/view_levels.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <random>

using namespace heatrow;

namespace {

// A row of modules, each seen in the frames over it from two lanes; the second lane reads `apart_k` more.
struct Row {
    std::vector<double> truth_c;
    std::vector<ViewLevel> levels;
    int groups = 0;
};

Row row_of(int modules, int in_view, double apart_k, double scatter_k, unsigned seed) {
    std::mt19937 random(seed);
    std::normal_distribution<double> normal;
    Row row;
    for (int m = 0; m < modules; ++m) {
        row.truth_c.push_back(45.0 + 0.5 * normal(random));
    }
    for (int lane = 0; lane < 2; ++lane) {
        for (int first = 1 - in_view; first < modules; first += 2) {
            const double offset = lane * apart_k + 0.2 * normal(random);
            for (int m = std::max(0, first); m < std::min(modules, first + in_view); ++m) {
                // the second lane misses every third module
                if (lane == 0 || m % 3 != 0) {
                    row.levels.push_back(
                        {m,
                         row.groups,
                         row.truth_c[static_cast<std::size_t>(m)] + offset + scatter_k * normal(random)});
                }
            }
            ++row.groups;
        }
    }
    return row;
}

// Standard deviation over the modules of (mean of their levels less offsets) - truth.
double error_k(const Row& row, const std::vector<double>& offsets) {
    std::vector<double> sum(row.truth_c.size(), 0.0);
    std::vector<int> count(row.truth_c.size(), 0);
    for (std::size_t i = 0; i < row.levels.size(); ++i) {
        const ViewLevel& view = row.levels[i];
        sum[static_cast<std::size_t>(view.module)] += view.level_c - offsets[i];
        ++count[static_cast<std::size_t>(view.module)];
    }
    double mean = 0.0;
    double square = 0.0;
    for (std::size_t m = 0; m < sum.size(); ++m) {
        const double error = sum[m] / count[m] - row.truth_c[m];
        mean += error;
        square += error * error;
    }
    const auto n = static_cast<double>(sum.size());
    return std::sqrt(square / n - mean * mean / (n * n));
}

}  // namespace

TEST_CASE("view levels: modules seen from one lane more than from the other compare all the same", "[fuse]") {
    const Row row = row_of(32, 8, 3.0, 0.1, 5);
    const std::vector<double> none(row.levels.size(), 0.0);
    CHECK(error_k(row, none) > 0.6);
    const auto offsets = view_offsets(row.levels, row.groups, 0.15);
    CHECK(error_k(row, offsets) < 0.12);
    // the table as a whole stays where its views have it
    double sum = 0.0;
    for (const double offset : offsets) {
        sum += offset;
    }
    CHECK(std::abs(sum / static_cast<double>(offsets.size())) < 0.8);
}

TEST_CASE("view levels: one view with a glint moves its neighbours little", "[fuse]") {
    Row row = row_of(32, 8, 3.0, 0.1, 6);
    row.levels[20].level_c += 15.0;
    const auto offsets = view_offsets(row.levels, row.groups, 0.15);
    row.levels[20].level_c -= 15.0;
    CHECK(error_k(row, offsets) < 0.15);
}

TEST_CASE("view levels: where nothing overlaps nothing is taken off", "[fuse]") {
    const std::vector<ViewLevel> apart{{0, 0, 40.0}, {1, 1, 43.0}, {2, 2, 41.0}};
    for (const double offset : view_offsets(apart, 3, 0.15)) {
        CHECK(offset == 0.0);
    }
    CHECK(view_offsets({}, 0, 0.15).empty());
    // a module in two frames: the difference is halved between them
    const std::vector<ViewLevel> twice{{0, 0, 40.0}, {0, 1, 43.0}};
    const auto offsets = view_offsets(twice, 2, 0.15);
    CHECK(offsets[1] - offsets[0] == Approx(3.0).margin(0.05));
    CHECK(offsets[1] + offsets[0] == Approx(0.0).margin(1e-9));
}

TEST_CASE("view levels: dark corners are not taken for a cause that hardly varies", "[fuse]") {
    // Seen from above a wrong sky moves all views alike but for a twentieth, and by the same pattern as dark corners.
    std::mt19937 random(8);
    std::normal_distribution<double> scatter(0.0, 0.05);
    std::vector<ViewLevel> levels;
    for (int frame = 0; frame < 40; ++frame) {
        for (int row = 0; row < 4; ++row) {
            for (int module = frame; module < frame + 8; ++module) {
                const Eigen::Vector2d place(0.2 * (module - frame) - 0.7, 0.3 * row - 0.45);
                const double r2 = place.squaredNorm();
                levels.push_back(
                    {100 * row + module, frame, 45.0 - 0.15 * r2 + scatter(random), {-0.5 - 0.025 * r2, 0.0}, place});
            }
        }
    }
    const auto mean_offset = [&levels] {
        double sum = 0.0;
        for (const double offset : view_offsets(levels, 40, 0.15)) {
            sum += offset;
        }
        return std::abs(sum) / static_cast<double>(levels.size());
    };
    CHECK(mean_offset() < 0.8);
    for (ViewLevel& level : levels) {
        level.place = {0.0, 0.0};  // as if nobody knew where in the picture they lie
    }
    CHECK(mean_offset() > 2.0);
}

TEST_CASE("view levels: a cause common to the survey is told by the modules seen at two angles", "[fuse]") {
    // Three tables: the first seen at both angles, the others at one each. The mirrored ground is 0.8 of its standard
    // uncertainty warmer than was thought, which moves the steep views by 0.8 K and the oblique ones by 2.4 K.
    std::mt19937 random(7);
    std::normal_distribution<double> scatter(0.0, 0.1);
    std::vector<ViewLevel> levels;
    const auto add = [&](int module, int group, double by_cause_k) {
        levels.push_back({module, group, 45.0 + 0.8 * by_cause_k + scatter(random), {by_cause_k, 0.0}});
    };
    for (int frame = 0; frame < 12; ++frame) {
        for (int module = 0; module < 10; ++module) {
            add(module, 4 * frame, 1.0);
            add(module, 4 * frame + 1, 3.0);
            add(module + 10, 4 * frame + 2, 1.0);
            add(module + 20, 4 * frame + 3, 3.0);
        }
    }
    const auto offsets = view_offsets(levels, 48, 0.15);
    for (std::size_t i = 0; i < levels.size(); ++i) {
        CHECK(offsets[i] == Approx(0.8 * levels[i].by_cause_k[0]).margin(0.25));
    }
}
