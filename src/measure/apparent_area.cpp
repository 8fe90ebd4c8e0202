#include "heatrow/measure/apparent_area.hpp"

#include "heatrow/core/error.hpp"

#include <cmath>

namespace heatrow {
namespace {

[[noreturn]] void refuse(ErrorKind kind, const Area& area, std::string_view why, std::string_view remedy) {
    throw Error(kind, "cannot use an area", area.name, why, remedy);
}

}  // namespace

ApparentArea apparent_area(const Thermogram& thermogram, const Area& area) {
    const AreaResult result = thermogram.measure(area);
    const AreaFigures& figures = result.figures;
    if (result.reaches_outside || figures.pixels == 0) {
        refuse(ErrorKind::usage, area, "it reaches outside the picture", "Pixels count from (0, 0), top left.");
    }
    if (figures.missing > 0) {
        refuse(ErrorKind::input,
               area,
               std::to_string(figures.missing) + " of its pixels have no temperature",
               "Choose an area with data.");
    }
    if (result.too_small) {
        refuse(ErrorKind::input,
               area,
               "it holds no 3 x 3 pixels, so that what surrounds it is blurred into it",
               "Go closer, or use a larger foil or tape.");
    }
    if (result.flags.has(Flag::clipped)) {
        refuse(ErrorKind::input,
               area,
               "it holds pixels at the end of the camera's range",
               "Take the frame again with another measuring range.");
    }
    constexpr double kPixelsPerSample = 9.0;
    const UncertaintyCauses& causes = thermogram.settings().causes;
    const double deviation = figures.deviation.is_known() ? figures.deviation.value() : 0.0;
    return {figures.mean,
            combine_independent(causes.noise.value() / std::sqrt(figures.pixels),
                                causes.quantisation_step.value() / std::sqrt(12.0),
                                causes.non_uniformity.value(),
                                deviation * std::sqrt(kPixelsPerSample / figures.pixels))};
}

}  // namespace heatrow
