// Electrical joints: rise over the air, scaled to one load and compared with the joint's siblings (docs/joints.md).
//
// With r the rise of a joint over the air, I its current, I_r its rated current, l = I / I_r its load fraction and n
// the profile's exponent, the rise at the load fraction t is
//
//   s = r (t / l)^n
//
// t is 1 (rated current) or the joint's own load fraction, as the profile says. The difference of a joint is s minus
// the median of its siblings' s, the lower of the middle two where their number is even: a bad contact only warms, and
// a hot sibling must not hide another one. Form of the scaling: practice of IEC TS 62446-3 as restated, exponent from
// memory (check values and doubts: docs/joints.md).
#pragma once

#include "heatrow/core/finding.hpp"
#include "heatrow/core/uncertain.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/measure/joint_profile.hpp"

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// What was looked at.
enum class JointSurface {
    bare_metal,
    tape,           // on or beside the metal
    insulation,     // of the conductor beside the joint
    paint,          // on the metal
    contact_probe,  // no radiation: emissivity does not matter
};
std::string_view to_string(JointSurface surface);

enum class JointFlag : std::uint8_t {
    current_zero,         // no current: nothing to scale
    load_below_minimum,   // below the profile's least load fraction
    emissivity_too_low,   // the surface mirrors: its reading is of what it mirrors
    temperature_unknown,  // the area holds no temperature
    no_sibling,           // no other joint of the group could be used
    clipped,              // pixels at the end of the camera's range: at least
    too_few_pixels,       // the area holds no 3 x 3 pixels: at least
    load_not_settled,     // load held for less than the profile's least time: at least
    load_time_unknown,    // not written down
    cover_open_long,      // open for longer than the profile's most: cooled, at least
    cover_time_unknown,   // not written down
    cooler_than_air,      // reads below the air: check air temperature and reflection
    above_rated,          // carries more than its rated current: overloaded, whatever its temperature
};
inline constexpr int kJointFlagCount = 13;
std::string_view to_string(JointFlag flag);

class JointFlags {
  public:
    void set(JointFlag flag) { bits_ = static_cast<std::uint16_t>(bits_ | bit(flag)); }
    [[nodiscard]] bool has(JointFlag flag) const { return (bits_ & bit(flag)) != 0; }
    [[nodiscard]] bool none() const { return bits_ == 0; }
    // In the order of the enumeration.
    [[nodiscard]] std::vector<JointFlag> list() const;
    // Names joined by `|`.
    [[nodiscard]] std::string to_string() const;
    friend bool operator==(JointFlags, JointFlags) = default;

  private:
    static std::uint16_t bit(JointFlag flag) { return static_cast<std::uint16_t>(1U << static_cast<unsigned>(flag)); }
    std::uint16_t bits_ = 0;
};

// Standard uncertainties of a joint's temperature, apart by how they act between joints.
struct JointTemperatureBudget {
    double own_k = 0.0;     // noise, fixed pattern, emissivity, reflection, surroundings: independent between joints
    double offset_k = 0.0;  // camera offset and gain: alike for joints of one frame, independent between frames
};

// One joint as read.
struct JointReading {
    std::string id;
    std::string group;  // siblings: alike in build and rated current, e.g. the phases of one breaker; empty: none
    Celsius temperature{kNaN};
    JointTemperatureBudget budget;
    int frame = -1;  // joints of one frame share its offset; -1: typed, shared with none
    Uncertain<Celsius> air;
    double current_a = kNaN;
    std::optional<double> current_u_a;  // standard uncertainty; none: the profile's share
    double rated_a = kNaN;
    JointSurface surface = JointSurface::tape;
    double emissivity = 1.0;
    std::optional<double> cover_open_min;
    std::optional<double> load_held_min;
    JointFlags flags;  // what reading found: clipped, too_few_pixels
};

struct JointVerdict {
    AbnormalityClass abnormality = AbnormalityClass::none;
    double probability = kNaN;  // that this is the class, the differences being normal
    int step = -1;              // of the profile that decides; -1: below all of them
};

// What is known of one joint. Differences are at the profile's load; NaN where a flag says why.
struct JointResult {
    double load_fraction = kNaN;
    Uncertain<KelvinDelta> rise;           // over the air, as measured
    Uncertain<KelvinDelta> rise_at_rated;  // scaled to rated current
    Uncertain<KelvinDelta> rise_at_load;   // scaled to the profile's load
    Uncertain<KelvinDelta> over_siblings;  // rise_at_load minus the median of the siblings'
    int siblings = 0;                      // that could be used
    JointFlags flags;
    bool lower_bound = false;             // the true difference is at least the one given
    std::optional<JointVerdict> verdict;  // none: not judged; never to be called healthy
};

// Results in the order of the readings. Readings must have a positive rated current and a current that is not negative
// (the reader of the list refuses others).
//
// Uncertainty, first order: temperatures as their budget says; the air's, one reading for the group; each current's;
// the exponent, evenly likely within its range and common to all. In the difference, what is common acts through the
// median sibling; the independent part is that of a median, sqrt(pi / 2 / n) of a single sibling's for n of 3 and more,
// all of it for one or two (the lower of two is off by as much as a single one, root mean square).
std::vector<JointResult> judge_joints(std::span<const JointReading> readings, const JointProfile& profile);

// A surface below the profile's least emissivity: its reading is mostly of what it mirrors.
bool mirrors(const JointReading& reading, const JointProfile& profile);

// delta * (rated / current)^exponent; not known unless both currents are above zero.
KelvinDelta scale_to_rated(KelvinDelta delta, double current_a, double rated_a, double exponent);

}  // namespace heatrow
