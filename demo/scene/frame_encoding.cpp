#include "frame_encoding.hpp"

#include "camera_spec.hpp"
#include "heatrow/core/error.hpp"
#include "output_folder.hpp"

#include <cpl_error.h>
#include <fmt/format.h>
#include <gdal_priv.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <memory>

namespace scene {
namespace {

namespace fs = std::filesystem;
using Kind = FrameEncoding::Kind;

// The encodings met in the field.
const std::vector<FrameEncoding>& all_encodings() {
    static const std::vector<FrameEncoding> all{
        {"kelvin_100", Kind::unsigned_counts, 0.01, -273.15, false, false, ".tif"},
        {"kelvin_10", Kind::unsigned_counts, 0.1, -273.15, false, false, ".tif"},
        {"kelvin_25", Kind::unsigned_counts, 0.04, -273.15, false, false, ".tif"},  // 14 bit, 0.04 K a count
        {"kelvin_2.5", Kind::unsigned_counts, 0.4, -273.15, false, false, ".tif"},  // 14 bit, 0.4 K a count
        {"celsius_100", Kind::signed_counts, 0.01, 0.0, false, false, ".tif"},
        {"celsius_10", Kind::signed_counts, 0.1, 0.0, false, false, ".tif"},
        {"scaled", Kind::unsigned_counts, 0.01, -273.15, false, true, ".tif"},
        {"float_celsius", Kind::floats, 1.0, 0.0, false, false, ".tif"},
        {"float_kelvin", Kind::floats, 1.0, 0.0, true, false, ".tif"},
        {"csv", Kind::text, 1.0, 0.0, false, false, ".csv"},
        {"csv_decimal_comma", Kind::text, 1.0, 0.0, false, false, ".csv"},
        {"raw", Kind::raw, 0.01, -273.15, false, false, ".tif"},
        {"picture", Kind::picture, 0.01, -273.15, false, false, ".tif"}};
    return all;
}

[[noreturn]] void refuse(const fs::path& file, const std::string& why) {
    throw heatrow::Error(heatrow::ErrorKind::output,
                         "Could not write the frame",
                         file.string(),
                         why,
                         "Check free space and permissions.");
}

// Comma and point, or semicolon and comma under two lines of words: the two dialects met most.
void write_matrix(const fs::path& file, const heatrow::Image<float>& readings_c, bool decimal_comma) {
    std::string out = decimal_comma ? "Temperature;degC\nPixels;" + std::to_string(readings_c.width()) + "\n" : "";
    for (int y = 0; y < readings_c.height(); ++y) {
        const float* row = readings_c.view().row(y);
        for (int x = 0; x < readings_c.width(); ++x) {
            std::string number = fmt::format("{:.2f}", row[x]);
            if (decimal_comma) {
                std::ranges::replace(number, '.', ',');
            }
            out += x == 0 ? number : (decimal_comma ? ';' : ',') + number;
        }
        out += '\n';
    }
    write_text(file, out);
}

// An uncalibrated detector: some count that grows with the radiance, no more is known.
std::uint16_t raw_count(double temperature_c) {
    return static_cast<std::uint16_t>(
        std::clamp(std::round(5200.0 + 41.3 * temperature_c + 0.11 * temperature_c * temperature_c), 0.0, 16383.0));
}

// Grey levels between the coldest and the warmest of the picture: temperatures are lost.
std::vector<std::uint8_t> grey_levels(const heatrow::Image<float>& readings_c) {
    const auto [low, high] = std::ranges::minmax(readings_c.pixels());
    std::vector<std::uint8_t> levels;
    levels.reserve(readings_c.pixels().size());
    for (const float value : readings_c.pixels()) {
        levels.push_back(static_cast<std::uint8_t>(255.0F * (value - low) / std::max(high - low, 1e-3F)));
    }
    return levels;
}

struct CloseDataset {
    void operator()(GDALDataset* dataset) const { GDALClose(dataset); }
};

class TiffWriter {
  public:
    TiffWriter(
        const fs::path& file, const heatrow::Image<float>& like, int bands, GDALDataType type, const CameraSpec& camera)
        : file_(file), width_(like.width()), height_(like.height()) {
        CPLErrorReset();
        std::vector<std::string> texts{"COMPRESS=" + camera.compression};
        if (camera.compression == "DEFLATE" || camera.compression == "LZW") {
            texts.emplace_back("PREDICTOR=2");  // 3 is for floats, but comes back wrong from big-endian files
        }
        texts.emplace_back(camera.big_endian ? "ENDIANNESS=BIG" : "ENDIANNESS=LITTLE");
        if (bands == 3) {
            texts.emplace_back("PHOTOMETRIC=RGB");
        }
        std::vector<char*> options;
        for (std::string& text : texts) {
            options.push_back(text.data());
        }
        options.push_back(nullptr);
        GDALDriver* driver = GetGDALDriverManager()->GetDriverByName("GTiff");
        dataset_.reset(driver == nullptr ? nullptr
                                         : driver->Create(file.c_str(), width_, height_, bands, type, options.data()));
        check(dataset_ != nullptr);
    }
    void set_tags(double scale, double offset) {
        check(dataset_->GetRasterBand(1)->SetScale(scale) == CE_None);
        check(dataset_->GetRasterBand(1)->SetOffset(offset) == CE_None);
    }
    template <class T>
    void write(int band, std::vector<T>& values, GDALDataType type) {
        check(dataset_->GetRasterBand(band)->RasterIO(
                  GF_Write, 0, 0, width_, height_, values.data(), width_, height_, type, 0, 0, nullptr) == CE_None);
    }
    void close() {
        dataset_.reset();
        check(true);
    }

  private:
    void check(bool good) const {
        if (!good || CPLGetLastErrorType() >= CE_Failure) {
            refuse(file_, CPLGetLastErrorMsg());
        }
    }

    fs::path file_;
    int width_, height_;
    std::unique_ptr<GDALDataset, CloseDataset> dataset_;
};

template <class T, class Convert>
std::vector<T> convert(const heatrow::Image<float>& readings_c, Convert value_of) {
    std::vector<T> values;
    values.reserve(readings_c.pixels().size());
    for (const float reading : readings_c.pixels()) {
        values.push_back(static_cast<T>(value_of(static_cast<double>(reading))));
    }
    return values;
}

}  // namespace

std::string encoding_names() {
    std::string names;
    for (const FrameEncoding& encoding : all_encodings()) {
        names += (names.empty() ? "'" : ", '") + encoding.name + "'";
    }
    return names;
}

FrameEncoding find_encoding(const std::string& name) {
    const auto found = std::ranges::find(all_encodings(), name, &FrameEncoding::name);
    return found == all_encodings().end() ? FrameEncoding{} : *found;
}

double encoded(const FrameEncoding& encoding, double temperature_c) {
    const double value =
        ((encoding.kelvin ? temperature_c + 273.15 : temperature_c) - encoding.offset) / encoding.scale;
    switch (encoding.kind) {
        case Kind::unsigned_counts:
            return std::clamp(std::round(value), 1.0, 65535.0);
        case Kind::signed_counts:
            return std::clamp(std::round(value), -32767.0, 32767.0);
        case Kind::floats:
        case Kind::text:
            return value;
        case Kind::raw:
            return raw_count(temperature_c);
        case Kind::picture:
            break;
    }
    return std::numeric_limits<double>::quiet_NaN();
}

void write_frame(const fs::path& file, const heatrow::Image<float>& readings_c, const CameraSpec& camera) {
    const FrameEncoding& encoding = camera.encoding;
    const auto value_of = [&encoding](double reading) { return encoded(encoding, reading); };
    switch (encoding.kind) {
        case Kind::text:
            write_matrix(file, readings_c, encoding.name == "csv_decimal_comma");
            return;
        case Kind::picture: {
            TiffWriter writer(file, readings_c, 3, GDT_Byte, camera);
            auto levels = grey_levels(readings_c);
            for (int band = 1; band <= 3; ++band) {
                writer.write(band, levels, GDT_Byte);
            }
            writer.close();
            return;
        }
        case Kind::floats: {
            TiffWriter writer(file, readings_c, 1, GDT_Float32, camera);
            auto values = convert<float>(readings_c, value_of);
            writer.write(1, values, GDT_Float32);
            writer.close();
            return;
        }
        case Kind::signed_counts: {
            TiffWriter writer(file, readings_c, 1, GDT_Int16, camera);
            auto values = convert<std::int16_t>(readings_c, value_of);
            writer.write(1, values, GDT_Int16);
            writer.close();
            return;
        }
        case Kind::unsigned_counts:
        case Kind::raw:
            break;
    }
    TiffWriter writer(file, readings_c, 1, GDT_UInt16, camera);
    auto values = convert<std::uint16_t>(readings_c, value_of);
    if (encoding.tags) {
        writer.set_tags(encoding.scale, encoding.offset);
    }
    writer.write(1, values, GDT_UInt16);
    writer.close();
}

}  // namespace scene
