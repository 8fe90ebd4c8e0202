// How the light of one point is spread over the pixels, as a sum of round Gaussians.
#pragma once

#include <vector>

namespace heatrow {

// What a data sheet and a picture of an edge say of a camera's sharpness.
struct Optics {
    // Blur of optics and pixel together, px of the frame: the Gaussian that leaves stripes of half a cycle a pixel of
    // the detector, the finest that it resolves, the same contrast.
    double blur_sigma_px = 0.6;
    double f_number = 1.0;
    double pixel_um = 12.0;           // pitch of the detector
    double wavelength_um = 10.6;      // mean over the band
    double frame_px_per_pixel = 1.0;  // above 1 where the camera enlarges its pictures
};

struct SpreadTerm {
    double share;  // of the light; all terms together 1
    double sigma_px;
};

// A single Gaussian of the same contrast at the finest stripes lets too little light stray: round optics without
// aberration spread 6 % of a point's light beyond 3 wavelengths times f-number, and a small hot thing reads as much too
// cold. Hence diffraction (four Gaussians), the square pixel, and the Gaussian that is missing to `blur_sigma_px`
// (defocus, aberrations); a blur below what diffraction and pixel allow is taken as these alone. Blur 0: no terms.
std::vector<SpreadTerm> point_spread(const Optics& optics);

// Share of the light of an even rectangle that lies, on average, on its part at least `clear_px` from its sides: what a
// rectangle hotter than its surroundings keeps of its difference there, before any correction.
double share_kept(const std::vector<SpreadTerm>& spread, double width_px, double height_px, double clear_px);

// By which share that changes for each share by which the point spread is wider: -d(ln kept) / d(ln width), positive.
double loss_by_width(const std::vector<SpreadTerm>& spread, double width_px, double height_px, double clear_px);

// The same for a rectangle whose picture trails by `trail_px` along its first side (TrailBlur), of the part that
// follows the middle of mass of the trail: -d(ln kept) / d(ln trail).
double loss_by_trail(
    const std::vector<SpreadTerm>& spread, double along_px, double across_px, double clear_px, double trail_px);

// Contrast that diffraction (circular aperture, incoherent light: 2/pi (acos x - x sqrt(1 - x^2)), x the frequency
// times wavelength times f-number; textbook, from memory) and a square pixel leave of stripes along rows.
double diffraction_and_pixel_contrast(const Optics& optics, double cycles_per_pixel);

}  // namespace heatrow
