// A list of joints with everything that outputs need: readings taken, verdicts given.
#pragma once

#include "heatrow/core/image.hpp"
#include "heatrow/io/joint_list.hpp"
#include "heatrow/measure/joints.hpp"
#include "heatrow/score/profile.hpp"
#include "thermogram_options.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace heatrow::cli {

// A thermogram of the list, in apparent temperature: its joints may differ in emissivity.
struct JointFrame {
    std::string name;  // as the list writes it
    Image<float> apparent_c;
    std::vector<int> joints;  // rows of the list, in its order
};

struct JointSurvey {
    JointList list;
    JointProfile profile;
    std::vector<JointReading> readings;  // in the order of the list
    std::vector<PixelPosition> spots;    // middle of the 3 x 3 pixels that count; (-1, -1) where there are none
    std::vector<JointResult> results;
    std::vector<JointFrame> frames;  // in the order of their first joint
};

struct JointDefaults {
    std::optional<double> air_c;  // where the list gives none
    std::optional<double> reflected_c;
};

// Reads the thermograms (paths beside the list) and judges. `general` tells plausible temperatures of frames. Errors
// name file, line, field, value and remedy.
JointSurvey survey_joints(JointList list,
                          const JointProfile& profile,
                          const JointDefaults& defaults,
                          const ThermogramOptions& options,
                          const Profile& general);

}  // namespace heatrow::cli
