#include "read_frame.hpp"

#include "heatrow/io/flat_field_map.hpp"
#include "heatrow/io/frame_reader.hpp"
#include "heatrow/io/temperature_encoding.hpp"
#include "lone_pixels.hpp"

#include <fmt/format.h>

#include <cmath>
#include <utility>

namespace heatrow {

namespace {

tl::expected<AcceptedFrame, Rejection> accept_counts(const SurveyInputs& inputs,
                                                     tl::expected<FrameCounts, Rejection> frame,
                                                     const std::string& name) {
    if (!frame) {
        return tl::unexpected(frame.error());
    }
    const Lens& lens = inputs.lens;
    if (frame->counts.width() != lens.width_px || frame->counts.height() != lens.height_px) {
        return tl::unexpected(Rejection{RejectReason::wrong_size,
                                        fmt::format("{} is {} x {} px, the camera is {} x {} px",
                                                    name,
                                                    frame->counts.width(),
                                                    frame->counts.height(),
                                                    lens.width_px,
                                                    lens.height_px)});
    }
    const CountSummary summary = summarise_counts(*frame, inputs.settings.temperature.encoding.nodata);
    if (const auto range =
            check_plausible(summary, frame->is_float, inputs.settings.temperature.encoding, inputs.profile);
        !range) {
        return tl::unexpected(range.error());
    }
    if (inputs.flat_field) {
        subtract_flat_field(
            frame->counts, inputs.flat_field->view(), inputs.settings.temperature.encoding.nodata, summary.range_end);
    }
    if (!inputs.mosaic) {
        constexpr double kOfNoise = 20.0;  // so that noise in the pixels beside it does not decide
        const TemperatureEncoding& encoding = inputs.settings.temperature.encoding;
        replace_lone_pixels(frame->counts.view(),
                            kOfNoise * inputs.settings.frame_camera().noise.value() / std::abs(encoding.scale),
                            encoding.nodata);
    }
    return AcceptedFrame{std::move(frame->counts), summary.range_end};
}

}  // namespace

tl::expected<AcceptedFrame, Rejection> accept_frame(const SurveyInputs& inputs,
                                                    std::span<const std::uint8_t> bytes,
                                                    const std::string& name) {
    return accept_counts(inputs, decode_frame(bytes, name), name);
}

tl::expected<AcceptedFrame, Rejection> read_accepted(const SurveyInputs& inputs, std::size_t frame) {
    const FrameFile& file = inputs.files[frame];
    if (file.window) {
        return accept_counts(inputs, read_frame_window(file.path, *file.window), file.name);
    }
    const auto bytes = read_file_bytes(file.path);
    return bytes ? accept_frame(inputs, *bytes, file.name)
                 : tl::expected<AcceptedFrame, Rejection>(tl::unexpected(bytes.error()));
}

}  // namespace heatrow
