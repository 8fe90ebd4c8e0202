// What a frame's own pixels and open tags say of how it was taken.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/core/time.hpp"
#include "heatrow/io/frame_tags.hpp"

#include <optional>
#include <string>
#include <vector>

namespace heatrow {

// How sharp the edges are, free of the scene's contrast: the 99.5th percentile of differences two pixels apart over
// that of differences eight pixels apart, the smaller of along x and along y. A step shows near 1, a ramp of eight
// pixels or more a quarter. NaN below 32 pixels a side or without contrast.
double sharpness_of(CountView counts);

// How many times the pixels look enlarged along x, 2 to 4: repeated, or on straight lines between detector pixels that
// are kept as they are. 1 where they do not; smoother ways to enlarge are not recognised.
int enlargement_of(CountView counts);

// Standard EXIF tags; empty or absent where the frame has none or they cannot be read.
struct GeographicPlace {
    double latitude_deg = 0.0;
    double longitude_deg = 0.0;
};
GeographicPlace written_place_of(const std::vector<FrameTag>& tags);         // NaN where a tag is missing
std::optional<GeographicPlace> place_of(const std::vector<FrameTag>& tags);  // (0, 0) is no fix
double altitude_of(const std::vector<FrameTag>& tags);                       // m; NaN where there is none
// As the camera's clock showed it, with a fraction and a UTC offset where they are written.
std::optional<ParsedTime> time_of(const std::vector<FrameTag>& tags);
// The first number of a tag's text; degrees, minutes and seconds with a trailing N, S, E or W, as XMP writes them, make
// one number. NaN where there is none.
double number_of_tag(const std::string& text);
// Make, model and serial number.
std::string camera_of(const std::vector<FrameTag>& tags);

}  // namespace heatrow
