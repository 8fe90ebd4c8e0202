#include "heatrow/core/error.hpp"
#include "heatrow/io/array_description_reader.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    try {
        const auto described =
            heatrow::parse_array_description({reinterpret_cast<const char*>(data), size}, "/site/array.toml");
        heatrow::TypeSizes sizes;
        double places = 0.0;
        for (const heatrow::ArrayArea& area : described.array.areas) {
            sizes[area.type] = {1.0, 1.6};
            places += static_cast<double>(area.rows) * area.tables * area.grid.along * area.grid.up;
            for (const heatrow::PlaceChange& change : area.changes) {
                places += static_cast<double>(change.tables.value_or(area.tables)) *
                          change.along.value_or(area.grid.along) * change.up.value_or(area.grid.up);
            }
        }
        constexpr double kQuick = 20000.0;  // larger arrays take their time, not another way
        if (places < kQuick) {
            (void)heatrow::make_array(described.array, sizes);
        }
    } catch (const heatrow::Error&) {  // a refusal; anything else ends the program
    }
    return 0;
}
