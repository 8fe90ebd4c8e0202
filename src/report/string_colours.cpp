#include "string_colours.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <set>

namespace heatrow {
namespace {

// Light enough for ink on them; about 8 apart in lightness (CIELAB L* 92, 84, 76, 68, 60).
constexpr std::array<std::string_view, 5> kColours = {"#dfe9ec", "#f0cf95", "#a5c4a4", "#cb9bb0", "#7496bd"};

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

// Strings that come within a module's width of each other.
std::vector<std::set<int>> touching_strings(const Layout& layout) {
    std::vector<std::set<int>> touching(layout.strings.size());
    double square = 0.1;
    for (const Module& module : layout.modules) {
        const auto& c = module.corners_in_site;
        square = std::max({square, (c[2] - c[0]).head<2>().norm(), (c[3] - c[1]).head<2>().norm()});
    }
    std::map<std::pair<long, long>, std::vector<int>> squares;
    const auto square_of = [square](const Eigen::Vector3d& point) {
        return std::pair(std::lround(point.x() / square), std::lround(point.y() / square));
    };
    for (std::size_t i = 0; i < layout.modules.size(); ++i) {
        squares[square_of(layout.modules[i].centre_in_site())].push_back(static_cast<int>(i));
    }
    for (const Module& module : layout.modules) {
        if (module.string < 0) {
            continue;
        }
        const Eigen::Vector3d centre = module.centre_in_site();
        const auto [column, row] = square_of(centre);
        for (long x = column - 1; x <= column + 1; ++x) {
            for (long y = row - 1; y <= row + 1; ++y) {
                const auto found = squares.find({x, y});
                if (found == squares.end()) {
                    continue;
                }
                for (const int index : found->second) {
                    const Module& other = layout.modules[at(index)];
                    const bool near = (other.centre_in_site() - centre).head<2>().norm() <= 1.1 * square;
                    if (near && other.string >= 0 && other.string != module.string) {
                        touching[at(module.string)].insert(other.string);
                    }
                }
            }
        }
    }
    return touching;
}

}  // namespace

std::vector<std::string_view> string_colours(const Layout& layout) {
    const auto touching = touching_strings(layout);
    std::vector<int> chosen(layout.strings.size(), -1);
    std::array<int, kColours.size()> used{};
    for (std::size_t string = 0; string < chosen.size(); ++string) {
        std::array<int, kColours.size()> conflicts{};
        for (const int other : touching[string]) {
            if (chosen[at(other)] >= 0) {
                ++conflicts[at(chosen[at(other)])];
            }
        }
        // Fewest meetings, then the colour used least, so that all of them serve.
        std::size_t best = 0;
        for (std::size_t colour = 1; colour < kColours.size(); ++colour) {
            if (std::pair(conflicts[colour], used[colour]) < std::pair(conflicts[best], used[best])) {
                best = colour;
            }
        }
        chosen[string] = static_cast<int>(best);
        ++used[best];
    }
    std::vector<std::string_view> colours;
    for (const int colour : chosen) {
        colours.push_back(kColours[at(colour)]);
    }
    return colours;
}

}  // namespace heatrow
