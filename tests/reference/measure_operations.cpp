#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/joint_profile_reader.hpp"
#include "heatrow/measure/joints.hpp"
#include "heatrow/measure/spot.hpp"
#include "operations.hpp"

#include <stdexcept>

namespace heatrow::reference {
namespace {

// accept: delta_k current_a rated_a; exponent=n
std::vector<double> to_rated(const Parameters& parameters, const std::vector<std::string>& accept) {
    return {scale_to_rated(KelvinDelta(to_number(accept.at(0))),
                           to_number(accept.at(1)),
                           to_number(accept.at(2)),
                           parameters.number("exponent"))
                .value()};
}

// accept: names of figures; profile=id
std::vector<double> joint_figures(const Parameters& parameters, const std::vector<std::string>& accept) {
    const JointProfile profile = read_joint_profile(find_profile(parameters.text("profile"), {}));
    std::vector<double> values;
    for (const std::string& name : accept) {
        for (const JointProfileKey& key : kJointProfileKeys) {
            if (key.name == name) {
                values.push_back((profile.*key.member).value);
            }
        }
    }
    if (values.size() != accept.size()) {
        throw std::runtime_error("a figure that no joint profile has");
    }
    return values;
}

// accept: distances in m; pitch_um= focal_mm=. Centimetres that a pixel sees.
std::vector<double> footprint(const Parameters& parameters, const std::vector<std::string>& accept) {
    const double focal_px = 1000.0 * parameters.number("focal_mm") / parameters.number("pitch_um");
    std::vector<double> values;
    for (const std::string& distance : accept) {
        values.push_back(100.0 * pixel_footprint(Metres(to_number(distance)), focal_px).value());
    }
    return values;
}

// The same for the smallest measurable object.
std::vector<double> spot(const Parameters& parameters, const std::vector<std::string>& accept) {
    const double focal_px = 1000.0 * parameters.number("focal_mm") / parameters.number("pitch_um");
    std::vector<double> values;
    for (const std::string& distance : accept) {
        values.push_back(100.0 * smallest_object(Metres(to_number(distance)), focal_px).value());
    }
    return values;
}

}  // namespace

void add_measure_operations(Operations& operations) {
    operations["scale_to_rated"] = to_rated;
    operations["joint_figures"] = joint_figures;
    operations["pixel_footprint_cm"] = footprint;
    operations["smallest_object_cm"] = spot;
}

}  // namespace heatrow::reference
