// One thermogram turned into object temperatures, and what is measured in it.
#pragma once

#include "heatrow/core/flags.hpp"
#include "heatrow/core/image.hpp"
#include "heatrow/measure/areas.hpp"
#include "heatrow/measure/noise.hpp"
#include "heatrow/radiometry/blackbody.hpp"
#include "heatrow/radiometry/count_table.hpp"
#include "heatrow/radiometry/uncertainty.hpp"

#include <optional>
#include <string>

namespace heatrow {

// How a thermogram is to be read.
struct ThermogramSettings {
    TemperatureEncoding encoding;
    ObjectConditions conditions;
    UncertaintyCauses causes;            // noise, steps and non-uniformity are filled in from the picture (see below)
    std::optional<float> clipped_count;  // count at the end of the camera's range
};

struct AreaResult {
    Area area;
    AreaFigures figures;            // object temperatures
    MeasuredArea measured;          // the mean as the camera saw it, for differences
    BudgetedTemperature mean;       // the area's mean with its uncertainty
    MeasuredArea measured_hottest;  // of the hottest 3 x 3 pixels; NaN where there are none
    BudgetedTemperature hottest;
    MeasuredArea measured_coldest;
    BudgetedTemperature coldest;
    Celsius surroundings{kNaN};    // median around the area; NaN where the picture ends there
    bool reaches_outside = false;  // part of the area lies outside the picture
    bool too_small = false;        // holds no 3 x 3 pixels: blurred with what surrounds it
    Flags flags;                   // clipped, lower_bound
};

class Thermogram {
  public:
    // Throws Error(usage) where encoding or conditions have a problem. `band` must outlive the thermogram.
    //
    // Noise, quantisation step and non-uniformity of `causes` are replaced by what the picture shows (estimate_noise),
    // in apparent temperature: pixel noise; one count's step; rows and columns together. A pixel noise of half a step
    // or more already holds the quantisation.
    Thermogram(CountView counts, const ThermogramSettings& settings, const BandRadiance& band);

    // Object temperature, degC; NaN for no data and where the settings leave nothing for the object.
    [[nodiscard]] ImageView<const float> temperature_c() const { return temperature_c_.view(); }
    [[nodiscard]] const NoiseEstimate& noise() const { return noise_; }  // of the apparent temperature
    [[nodiscard]] const ThermogramSettings& settings() const { return settings_; }
    // Pixels that have data but no object temperature: colder than reflection and air path allow.
    [[nodiscard]] long impossible_pixels() const { return impossible_; }
    [[nodiscard]] long missing_pixels() const { return missing_; }

    [[nodiscard]] AreaResult measure(const Area& area) const;

    // The difference of two sets of pixels by their object temperatures, e.g. of a hot patch and its ring.
    [[nodiscard]] BudgetedDifference difference(Celsius a, double pixels_a, Celsius b, double pixels_b) const;

  private:
    [[nodiscard]] MeasuredArea as_measured(Celsius object, Celsius surroundings, double pixels) const;

    ThermogramSettings settings_;
    const BandRadiance* band_;
    Image<float> temperature_c_;
    Image<float> counts_;  // kept for the clipped pixels of an area; empty where no end of the range is known
    NoiseEstimate noise_;
    long impossible_ = 0;
    long missing_ = 0;
};

}  // namespace heatrow
