#include "../../../src/segment/blur_fit.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;
using namespace heatrow::detail;
using Catch::Matchers::WithinAbs;

namespace {

PatchLine even_cells(int count, double size, double clear) {
    PatchLine line;
    for (int i = 0; i < count; ++i) {
        line.real.push_back({i * size, (i + 1) * size});
        line.sampled.push_back({i * size + clear, (i + 1) * size - clear});
    }
    line.cells = line.real;
    return line;
}

}  // namespace

TEST_CASE("blur fit: undoes a blur integrated numerically", "[segment]") {
    constexpr double kSigma = 0.7;
    const PatchLine line = even_cells(6, 4.8, 0.5);
    const Eigen::MatrixXd fit = cell_means_from_sampled(line, {kSigma});
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
    const Eigen::MatrixXd fit = cell_means_from_sampled(even_cells(8, 5.0, 0.5), {0.9, 0.4, 0.2, CellSheet{}});
    REQUIRE(fit.size() > 0);
    CHECK((fit.rowwise().sum().array() - 1.0).abs().maxCoeff() < 1e-9);
}

TEST_CASE("blur fit: the finer the cells, the more the noise grows", "[segment]") {
    const auto growth = [](double size) {
        return cell_means_from_sampled(even_cells(9, size, 0.2 * size), {0.6}).row(4).norm();
    };
    CHECK(growth(20.0) < 1.01);
    CHECK(growth(5.0) < 1.1);
    CHECK(growth(2.5) > growth(5.0));
    CHECK(growth(1.0) > 2.0);
}

TEST_CASE("blur fit: heat that has spread belongs to the cell that has it now", "[segment]") {
    // One source among cold cells, spread by the sheet, then blurred by optics: the fit must give the spread means.
    constexpr double kOptics = 0.016;
    constexpr int kCells = 7;
    const PatchLine line = even_cells(kCells, 0.158, 0.02);
    const CellSheet sheet;
    const HeatLine heat = spread_along(line.real, sheet);
    const auto seen = [&heat](const Interval& window, double sigma) {
        constexpr int kPlaces = 2000;
        double sum = 0.0;
        for (int s = 0; s < kPlaces; ++s) {
            const double x = window.from + (window.to - window.from) * (s + 0.5) / kPlaces;
            const auto step = [&](double place) { return 0.5 * std::erfc(-(x - place) / (sigma * std::sqrt(2.0))); };
            for (Eigen::Index i = 0; i < heat.temperatures.rows(); ++i) {
                const std::size_t bound = static_cast<std::size_t>(i);
                const double from = i == 0 ? 1.0 : step(heat.bounds[bound]);
                const double to = i + 1 == heat.temperatures.rows() ? 0.0 : step(heat.bounds[bound + 1]);
                sum += heat.temperatures(i, 3) * (from - to) / kPlaces;
            }
        }
        return sum;
    };
    Eigen::VectorXd sampled(kCells);
    Eigen::VectorXd truth(kCells);
    for (int i = 0; i < kCells; ++i) {
        sampled[i] = seen(line.sampled[static_cast<std::size_t>(i)], kOptics);
        truth[i] = seen(line.cells[static_cast<std::size_t>(i)], 1e-6);
    }
    const Eigen::VectorXd fitted = cell_means_from_sampled(line, {kOptics, 0.0, 0.0, sheet}) * sampled;
    CHECK((fitted - truth).cwiseAbs().maxCoeff() < 1e-3);
    CHECK(truth[3] < 0.9);
    // Taken for even cells, the warmed rims of the neighbours are read wrongly.
    const Eigen::VectorXd even = cell_means_from_sampled(line, {kOptics}) * sampled;
    CHECK((even - truth).cwiseAbs().maxCoeff() > 0.03);
}
