#include "heatrow/report/table_picture.hpp"

#include "heatrow/report/file_stem.hpp"

namespace heatrow {

std::vector<std::string> table_picture_files(const Layout& layout) {
    FileStems stems;
    std::vector<std::string> files;
    for (const Table& table : layout.tables) {
        files.push_back("tables/" + stems.claim(table.id) + ".png");
    }
    return files;
}

}  // namespace heatrow
