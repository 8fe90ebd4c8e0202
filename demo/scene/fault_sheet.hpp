// The `sheet` command: one thermal crop for each true fault of a rendering, side by side in one picture, to be looked
// at.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace scene {

struct SheetOptions {
    std::filesystem::path rendered;  // with its truth
    std::filesystem::path out;       // PNG
    bool overwrite = false;
};

// What one tile shows, in the order of the sheet: row by row.
struct SheetTile {
    int row = 0;  // from 1
    int column = 0;
    std::string fault;
    std::string pattern;
    std::string module;  // of a string: one of its modules
    std::string frame;
    double low = 0.0;  // counts of the frame that black and white stand for
    double high = 0.0;
};

// The module in the whole view nearest to the middle of a picture, with a margin; grey from cold to warm, each tile by
// itself. Faults that no frame shows wholly have no tile.
std::vector<SheetTile> write_fault_sheet(const SheetOptions& options);

}  // namespace scene
