#include "heatrow/io/flat_field_map.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/io/frame_reader.hpp"

#include <fmt/format.h>

#include <cassert>
#include <utility>

namespace heatrow {
namespace {

constexpr std::string_view kFailed = "cannot use the flat field";
constexpr std::string_view kRemedy =
    "Name a map that 'heatrow calibrate flat-field --out' wrote from frames of this camera";

}  // namespace

Image<float> read_flat_field(const std::filesystem::path& file, int width_px, int height_px) {
    auto frame = read_frame(file);
    if (!frame) {
        throw Error(ErrorKind::usage, kFailed, file.string(), frame.error().detail, kRemedy);
    }
    if (!frame->is_float) {
        throw Error(ErrorKind::usage,
                    kFailed,
                    file.string(),
                    fmt::format("it is a {}, and a map holds 32-bit floats", frame->kind),
                    kRemedy);
    }
    if (frame->counts.width() != width_px || frame->counts.height() != height_px) {
        throw Error(ErrorKind::usage,
                    kFailed,
                    file.string(),
                    fmt::format("it is {} x {} px, the camera is {} x {} px",
                                frame->counts.width(),
                                frame->counts.height(),
                                width_px,
                                height_px),
                    kRemedy);
    }
    return std::move(frame->counts);
}

void subtract_flat_field(Image<float>& counts,
                         ImageView<const float> map,
                         std::optional<double> nodata,
                         std::optional<float> range_end) {
    assert(counts.width() == map.width() && counts.height() == map.height());
    for (int y = 0; y < map.height(); ++y) {
        float* row = counts.view().row(y);
        const float* offset = map.row(y);
        for (int x = 0; x < map.width(); ++x) {
            const bool is_kept =
                (nodata && row[x] == static_cast<float>(*nodata)) || (range_end && row[x] >= *range_end);
            row[x] = is_kept ? row[x] : row[x] - offset[x];
        }
    }
}

}  // namespace heatrow
