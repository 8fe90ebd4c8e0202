#include "heatrow/measure/isotherm.hpp"

namespace heatrow {

IsothermFigures isotherm_of(const AreaShape& shape,
                            ImageView<const float> temperature_c,
                            Celsius limit,
                            Metres footprint) {
    IsothermFigures figures;
    for (const PixelPosition pixel : pixels_of(shape, temperature_c.width(), temperature_c.height())) {
        const Celsius value(static_cast<double>(temperature_c(pixel.x, pixel.y)));
        figures.known += value.is_known() ? 1 : 0;
        figures.above += value >= limit ? 1 : 0;
    }
    if (figures.known > 0) {
        figures.share = static_cast<double>(figures.above) / figures.known;
        figures.square_m = figures.above * footprint.value() * footprint.value();
    }
    return figures;
}

}  // namespace heatrow
