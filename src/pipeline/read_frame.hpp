// A frame as every stage takes it.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/core/rejection.hpp"
#include "survey_inputs.hpp"

#include <tl/expected.hpp>

#include <cstdint>
#include <optional>
#include <span>
#include <string>

namespace heatrow {

struct AcceptedFrame {
    Image<float> counts;             // less the camera's flat field, lone pixels replaced
    std::optional<float> range_end;  // count at the end of the camera's range
};

// Decodes the bytes of a file and holds them against what survey.toml says of camera and encoding.
tl::expected<AcceptedFrame, Rejection> accept_frame(const SurveyInputs& inputs,
                                                    std::span<const std::uint8_t> bytes,
                                                    const std::string& name);
// The same for a frame by its place in the run.
tl::expected<AcceptedFrame, Rejection> read_accepted(const SurveyInputs& inputs, std::size_t frame);

}  // namespace heatrow
