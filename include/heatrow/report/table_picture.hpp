// The picture of one table, ready to be written.
#pragma once

#include "heatrow/site/layout.hpp"

#include <string>
#include <vector>

namespace heatrow {

struct TablePicture {
    int table = 0;    // index in the layout
    std::string png;  // the file
};

// Files of the pictures below the result folder, one a table of the layout; safe, unique names.
std::vector<std::string> table_picture_files(const Layout& layout);

}  // namespace heatrow
