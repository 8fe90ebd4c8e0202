// How temperatures are written to a frame's file.
#pragma once

#include "heatrow/core/image.hpp"

#include <filesystem>
#include <string>

namespace scene {

struct CameraSpec;

// What a file holds. docs/scenes.md lists the names.
struct FrameEncoding {
    enum class Kind { unsigned_counts, signed_counts, floats, text, raw, picture };
    std::string name;
    Kind kind = Kind::unsigned_counts;
    double scale = 0.01;      // temperature = scale x value + offset
    double offset = -273.15;  // in `unit`
    bool kelvin = false;      // unit of scale x value + offset, as survey.toml tells it
    bool tags = false;        // scale and offset are written into the file as well
    std::string extension = ".tif";
};

// Every name that `encoding` may have, for messages.
std::string encoding_names();
// Nothing known: an empty name.
FrameEncoding find_encoding(const std::string& name);

// What the file says for a temperature: rounded, kept within what the number can hold.
double encoded(const FrameEncoding& encoding, double temperature_c);

// readings_c: what the camera puts out, degC. Throws heatrow::Error when the disk refuses.
void write_frame(const std::filesystem::path& file, const heatrow::Image<float>& readings_c, const CameraSpec& camera);

}  // namespace scene
