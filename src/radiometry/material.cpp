#include "heatrow/radiometry/emissivity.hpp"

namespace heatrow {
namespace {

using enum EmissivityBand;

// V2: a reproduced table that cites Bramson (1968), Wolfe (1965/1978), Kern (AD 617 417) and a 1999 emittance report;
// V1 remarks on aluminium: neutrium.net, total normal emissivities of selected materials.
constexpr std::array kMaterials{
    MaterialEmissivity{"aluminium, polished", 50, 100, total, 0.04, 0.06, "V2", "0.03 at 20 degC (V1)"},
    MaterialEmissivity{"aluminium sheet, scratched", 70, 70, long_wave, 0.03, 0.06, "V2", ""},
    MaterialEmissivity{"aluminium, commercial sheet", 100, 100, total, 0.09, 0.09, "V1", ""},
    MaterialEmissivity{"aluminium, heavily oxidised", 50, 500, total, 0.2, 0.3, "V2", "0.20-0.31 at 95-500 degC (V1)"},
    MaterialEmissivity{
        "aluminium, anodised sheet", 100, 100, total, 0.55, 0.55, "V2", "0.84 at 20 degC elsewhere (V1)"},
    MaterialEmissivity{"aluminium, anodised light grey dull", 70, 70, long_wave, 0.97, 0.97, "V2", ""},
    MaterialEmissivity{"aluminium, anodised black dull", 70, 70, long_wave, 0.95, 0.95, "V2", ""},
    MaterialEmissivity{"asphalt paving", 4, 4, long_wave_wide, 0.967, 0.967, "V2", ""},
    MaterialEmissivity{"brass, oxidised", 100, 100, total, 0.61, 0.61, "V2", "long wave 0.03-0.07 at 70 degC (M)"},
    MaterialEmissivity{"bronze, polished", 50, 50, total, 0.10, 0.10, "V2", ""},
    MaterialEmissivity{"candle soot, carbon", 20, 20, total, 0.95, 0.95, "V2", ""},
    MaterialEmissivity{"clay, fired", 70, 70, total, 0.91, 0.91, "V2", ""},
    MaterialEmissivity{"concrete", 20, 20, total, 0.92, 0.92, "V2", ""},
    MaterialEmissivity{"concrete walkway", 5, 5, long_wave_wide, 0.974, 0.974, "V2", ""},
    MaterialEmissivity{"copper, polished", 50, 100, total, 0.02, 0.02, "V2", ""},
    MaterialEmissivity{"copper, oxidised", 50, 50, total, 0.6, 0.7, "V2", ""},
    MaterialEmissivity{"copper, heavily oxidised", 20, 20, total, 0.78, 0.78, "V2", ""},
    MaterialEmissivity{
        "glass pane, float, uncoated", 20, 20, long_wave, 0.97, 0.97, "V2", "conflicts with 0.88 from Fresnel (Rubin)"},
    MaterialEmissivity{"granite, polished", 20, 20, long_wave_wide, 0.849, 0.849, "V2", ""},
    MaterialEmissivity{"iron or steel, oxidised", 100, 100, total, 0.74, 0.74, "V2", ""},
    MaterialEmissivity{"iron or steel, heavily rusted", 20, 20, total, 0.69, 0.69, "V2", ""},
    MaterialEmissivity{"iron or steel, rolled sheet", 50, 50, total, 0.56, 0.56, "V2", ""},
    MaterialEmissivity{"black vinyl electrical tape", kNaN, 80, long_wave, 0.96, 0.96, "V2", "about; below 80 degC"},
    MaterialEmissivity{"galvanised steel, weathered", kNaN, kNaN, total, 0.28, 0.28, "M", ""},
    MaterialEmissivity{"soil", kNaN, kNaN, long_wave, 0.92, 0.95, "M", ""},
    MaterialEmissivity{"grass", kNaN, kNaN, long_wave, 0.98, 0.98, "M", ""},
    MaterialEmissivity{"water", kNaN, kNaN, long_wave, 0.96, 0.98, "M", ""},
};

}  // namespace

std::string_view to_string(EmissivityBand band) {
    switch (band) {
        case long_wave:
            return "8-14 um";
        case long_wave_wide:
            return "6.5-20 um";
        case total:
            return "total";
    }
    return "";
}

std::span<const MaterialEmissivity> material_emissivities() {
    return kMaterials;
}

}  // namespace heatrow
