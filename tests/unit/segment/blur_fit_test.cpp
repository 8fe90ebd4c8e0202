#include "../../../src/segment/blur_fit.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow::detail;
using Catch::Matchers::WithinAbs;

namespace {

PatchLine even_cells(int count, double size, double clear) {
    PatchLine line;
    for (int i = 0; i < count; ++i) {
        line.real.push_back({i * size, (i + 1) * size});
        line.sampled.push_back({i * size + clear, (i + 1) * size - clear});
    }
    return line;
}

}  // namespace

TEST_CASE("blur fit: undoes a blur integrated numerically", "[segment]") {
    constexpr double kSigma = 0.7;
    const PatchLine line = even_cells(6, 4.8, 0.5);
    const Eigen::MatrixXd fit = levels_from_means(line, {kSigma, 0.0});
    REQUIRE(fit.size() > 0);
    Eigen::VectorXd levels(6);
    levels << 3.0, 1.0, 9.0, 2.0, 2.5, 7.0;
    Eigen::VectorXd means(6);
    for (int i = 0; i < 6; ++i) {
        const auto& window = line.sampled[static_cast<std::size_t>(i)];
        double sum = 0.0;
        constexpr int kSteps = 400;
        for (int s = 0; s < kSteps; ++s) {
            const double x = window.from + (window.to - window.from) * (s + 0.5) / kSteps;
            const auto below = [x](double boundary) {
                return 0.5 * std::erfc(-(boundary - x) / (kSigma * std::sqrt(2.0)));
            };
            for (int j = 0; j < 6; ++j) {
                const double from = j == 0 ? 0.0 : below(line.real[static_cast<std::size_t>(j)].from);
                const double to = j == 5 ? 1.0 : below(line.real[static_cast<std::size_t>(j)].to);
                sum += levels[j] * (to - from) / kSteps;
            }
        }
        means[i] = sum;
    }
    const Eigen::VectorXd fitted = fit * means;
    for (int i = 0; i < 6; ++i) {
        CHECK_THAT(fitted[i], WithinAbs(levels[i], 1e-4));
    }
}

TEST_CASE("blur fit: an even picture stays even", "[segment]") {
    const Eigen::MatrixXd fit = levels_from_means(even_cells(8, 5.0, 0.5), {0.9, 0.0});
    REQUIRE(fit.size() > 0);
    CHECK((fit.rowwise().sum().array() - 1.0).abs().maxCoeff() < 1e-9);
}

TEST_CASE("blur fit: the finer the cells, the more the noise grows", "[segment]") {
    const auto growth = [](double size) {
        return levels_from_means(even_cells(9, size, 0.2 * size), {0.6, 0.0}).row(4).norm();
    };
    CHECK(growth(20.0) < 1.01);
    CHECK(growth(5.0) < 1.1);
    CHECK(growth(2.5) > growth(5.0));
    CHECK(growth(1.0) > 2.0);
}
