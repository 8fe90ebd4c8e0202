#include "true_outlines.hpp"

#include "heatrow/io/text_table.hpp"

using namespace heatrow;

std::map<std::string, std::vector<TrueModule>> read_true_outlines(const std::filesystem::path& file) {
    const TextTable table = read_text_table(file);
    const auto column = [&](std::string_view name) { return table.find_column(name).value(); };
    std::map<std::string, std::vector<TrueModule>> truth;
    for (const TextRow& row : table.rows) {
        TrueModule module;
        module.id = cell(row, column("module"));
        for (std::size_t k = 0; k < 4; ++k) {
            const std::string number = std::to_string(k + 1);
            module.corners_px[k] = {table.number(cell(row, column("x" + number))).value(),
                                    table.number(cell(row, column("y" + number))).value()};
        }
        constexpr double kWhole = 0.999;
        module.whole = table.number(cell(row, column("visible_share"))).value() >= kWhole;
        truth[std::string(cell(row, column("frame")))].push_back(module);
    }
    return truth;
}
