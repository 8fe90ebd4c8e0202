// The flags that a measurement, a module or a finding can carry.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

enum class Flag : std::uint8_t {
    irradiance_below_minimum,  // below the profile's least irradiance in the module plane
    wind_above_maximum,        // above the profile's wind limit
    irradiance_unsteady,       // irradiance changed faster than the profile allows before the frame
    cloud_above_maximum,       // more cloud than the profile allows
    too_few_pixels,            // fewer pixels across a cell than the profile asks for
    angle_too_shallow,         // line of sight closer to the module plane than the profile allows
    smeared,                   // the image moved by more than a pixel in a detector time constant
    glint,                     // mirrored sun in the view
    single_view,               // seen in one frame only
    load_unknown,              // no electrical reading says that the string was loaded
    clipped,                   // pixels at the end of the camera's range
    lower_bound,               // the true difference is at least the one given
    seen_in_part,              // the picture's border cuts the module in every view of it
};

// The stable name used in files, e.g. "single_view".
std::string_view to_string(Flag flag);

// A small set of flags.
class Flags {
  public:
    constexpr Flags() = default;
    constexpr void set(Flag flag) { bits_ = static_cast<std::uint16_t>(bits_ | bit(flag)); }
    constexpr void clear(Flag flag) { bits_ = static_cast<std::uint16_t>(bits_ & ~bit(flag)); }
    [[nodiscard]] constexpr bool has(Flag flag) const { return (bits_ & bit(flag)) != 0; }
    [[nodiscard]] constexpr bool none() const { return bits_ == 0; }
    constexpr Flags& operator|=(Flags other) {
        bits_ = static_cast<std::uint16_t>(bits_ | other.bits_);
        return *this;
    }
    friend constexpr bool operator==(Flags, Flags) = default;

    // In the order of the enumeration.
    [[nodiscard]] std::vector<Flag> list() const;
    // Names joined by `|`; empty where no flag is set.
    [[nodiscard]] std::string to_string() const;

  private:
    static constexpr std::uint16_t bit(Flag flag) {
        return static_cast<std::uint16_t>(1U << static_cast<unsigned>(flag));
    }
    std::uint16_t bits_ = 0;
};

}  // namespace heatrow
