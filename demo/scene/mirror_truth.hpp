// What the modules mirror that is no fault: which cells of which frames it touches, from the renderer's own rays.
#pragma once

#include "truth.hpp"
#include "world.hpp"

#include <cstdint>
#include <string>
#include <vector>

namespace scene {

enum class MirrorKind : std::uint8_t { sun, cloud, wall, person };
std::string to_string(MirrorKind kind);

// One kind of thing mirrored in one module of one frame.
struct MirrorTruth {
    int panel = 0;
    MirrorKind kind = MirrorKind::sun;
    int peak_cell = 0;
    double peak_k = 0.0;       // change of the apparent temperature there, mean of the cell
    std::vector<int> cells{};  // those that it changes by kNoticedK or more, row by row
};

// A cell counts as touched where its apparent temperature is this much off what the median cell of the frame owes to
// the same kind: an even cover of clouds touches none, its edge does.
constexpr double kNoticedK = 0.5;

// views: of this shot, by true_views.
std::vector<MirrorTruth> true_mirrors(const World& world, int shot, const std::vector<ViewTruth>& views);

}  // namespace scene
