// Control in a run: what is known by name settles where frames are, or is held back to be compared (docs/control.md).
#pragma once

#include "frame_pass.hpp"
#include "heatrow/georeference/naming.hpp"
#include "heatrow/record/control_result.hpp"
#include "survey_inputs.hpp"

#include <optional>
#include <string>
#include <vector>

namespace heatrow {

// Marks by the names of their frame, module or point are held, corners by that of their point. Throws Error(usage) for
// a name that none has.
void hold_control(const std::vector<std::string>& names, SurveyInputs& inputs);

// Moves the layout onto surveyed corners of its modules, and known modules with it. What the reader must know of that.
// Throws Error(input) where it would have to be moved farther, or the corners are then farther off, than the profile
// allows.
std::vector<std::string> fit_layout(SurveyInputs& inputs);

// What the marks that are not held say of the locked frames.
struct KnownPlaces {
    std::vector<std::optional<LatticeOffset>> offsets;  // of each frame; none at all without control
    std::vector<std::string> refused;                   // of each mark: why it is not used; empty where it is, or held
};
KnownPlaces read_known_places(const SurveyInputs& inputs,
                              const LayoutIndex& site,
                              const std::vector<FrameOutcome>& outcomes);

// One for each mark, by the final poses, then one for each surveyed corner. `names` as decided; marks that the decision
// found contradicted are refused.
std::vector<ControlResult> compare_control(const SurveyInputs& inputs,
                                           const LayoutIndex& site,
                                           const std::vector<FrameOutcome>& outcomes,
                                           const std::vector<FrameName>& names,
                                           const KnownPlaces& places);

// What the reader must know of control that is not used, one note each.
std::vector<std::string> control_notes(const SurveyInputs& inputs, const std::vector<ControlResult>& results);

}  // namespace heatrow
