// A flat calibration board of known spacing, found in a picture.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/core/units.hpp"

#include <Eigen/Core>

#include <optional>
#include <string>
#include <vector>

namespace heatrow {

enum class BoardPattern {
    corners,  // chequered fields; the points are the inner corners
    circles,  // discs on a square grid; the points are their centres
};

// For 7 x 6 fields: 6 x 5 inner corners.
struct BoardShape {
    int columns = 0;
    int rows = 0;
    Metres spacing{0.0};  // between neighbouring points
    BoardPattern pattern = BoardPattern::corners;

    [[nodiscard]] int points() const { return columns * rows; }
};

// Why no board of this shape can be looked for; empty where all is well.
std::string problem_of(const BoardShape& shape);

// The points of the board in its own plane (x along a row, y down the rows), m, row by row.
std::vector<Eigen::Vector2d> points_on_board(const BoardShape& shape);

struct BoardView {
    std::vector<Eigen::Vector2d> points_px;  // row by row, as points_on_board; which corner is first is arbitrary
    // Corners: the picture had to be inverted to find them. Circles: the discs are brighter than the ground.
    bool inverted = false;
};

// Looks for a whole board. The picture may hold counts of any scale: contrast is normalised between its 1st and 99th
// percentile, then within the picture. A heated board shows its dark fields warm, so both polarities are tried.
// Corners are refined to a fraction of a pixel; a disc's centre is its blob's, not corrected for perspective.
// Nothing where no board of this shape is seen whole. The same answer for any number of threads.
std::optional<BoardView> find_board(CountView picture, const BoardShape& shape);

}  // namespace heatrow
