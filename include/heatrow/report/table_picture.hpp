// Pictures of tables, each drawn when it is written: together they are more than need be in memory.
#pragma once

#include "heatrow/site/layout.hpp"

#include <cstddef>
#include <functional>
#include <string>
#include <vector>

namespace heatrow {

struct TablePictures {
    std::vector<int> tables;                       // that have one: indices in the layout, ascending
    std::function<std::string(std::size_t)> draw;  // the PNG file of the i-th of `tables`; on any thread
};

// Files of the pictures below the result folder, one a table of the layout; safe, unique names.
std::vector<std::string> table_picture_files(const Layout& layout);

}  // namespace heatrow
