// The picture of one table, ready to be written.
#pragma once

#include <string>

namespace heatrow {

struct TablePicture {
    std::string table;  // id
    std::string png;    // the file
};

}  // namespace heatrow
