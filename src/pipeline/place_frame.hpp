// Brings one frame onto the layout, and tells under what it was taken.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/core/rejection.hpp"
#include "heatrow/core/slot_record.hpp"
#include "heatrow/georeference/flight_alignment.hpp"
#include "heatrow/georeference/frame_lock.hpp"
#include "heatrow/georeference/place_decision.hpp"
#include "heatrow/site/layout_index.hpp"
#include "survey_inputs.hpp"

#include <Eigen/Core>
#include <tl/expected.hpp>

namespace heatrow {

// Motion of the camera during one detector time constant, m, from the logged positions of the frames before and after;
// NaN where they are missing or far apart in time (the camera may have turned in between), or the detector is not
// known.
Eigen::Vector3d camera_motion(const SurveyInputs& inputs, std::size_t frame);
// The same for a lock, which takes a motion that is not known for none.
Eigen::Vector3d known_camera_motion(const SurveyInputs& inputs, std::size_t frame);

// By how much logged attitudes scatter about their constant errors.
Radians attitude_scatter(const SurveyInputs& inputs);

LockOptions lock_options(const SurveyInputs& inputs, std::size_t frame);

// By its logged pose under what the flight's log is wrong by, or by its corner points.
tl::expected<LockedFrame, Rejection> place_frame(const SurveyInputs& inputs,
                                                 const LayoutIndex& site,
                                                 std::size_t frame,
                                                 const FlightAlignment& alignment,
                                                 CountView counts);

// From the place where the frame was locked to the one that it was given; the lattice fits there to some centimetres.
tl::expected<LockedFrame, Rejection> lock_at(const SurveyInputs& inputs,
                                             const LayoutIndex& site,
                                             const SlotRecord& record,
                                             LatticeOffset offset,
                                             CountView counts);

}  // namespace heatrow
