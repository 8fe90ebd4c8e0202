// Positions and angles as devices and programs write them, and the rules that make them poses of conventions.md.
#pragma once

#include "heatrow/core/frame_prior.hpp"
#include "heatrow/io/site_crs.hpp"

#include <tl/expected.hpp>

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

namespace heatrow {

// A field that is not written is NaN.
struct WrittenPose {
    // The quantities by the names they have in tables and settings, in the order of `values`.
    static constexpr std::array<std::string_view, 6> kAttitudeNames{
        "longitude", "latitude", "altitude", "yaw", "pitch", "roll"};
    static constexpr std::array<std::string_view, 6> kRotationNames{
        "easting", "northing", "altitude", "omega", "phi", "kappa"};

    std::array<double, 6> values{kNaN, kNaN, kNaN, kNaN, kNaN, kNaN};  // degrees or metres of `crs`, metres, degrees
};

// What the numbers mean ([poses] of survey.toml).
struct PoseRules {
    enum class Altitude { site, ellipsoid };
    enum class Angles {
        yaw_pitch_roll,   // conventions.md
        omega_phi_kappa,  // photogrammetry: object_from_image = Rx(omega) Ry(phi) Rz(kappa), image x right, y up, z
                          // back
    };
    Altitude altitude = Altitude::site;
    Angles angles = Angles::yaw_pitch_roll;
    std::optional<std::string> crs;          // of the positions, any that PROJ knows; absent: WGS 84 degrees
    std::array<double, 3> add_deg{0, 0, 0};  // to yaw, pitch, roll as written, before anything else

    // Names of the fields under these rules: degrees are longitude and latitude, projected positions easting and
    // northing; angles by their own names.
    [[nodiscard]] std::array<std::string_view, 6> names() const;
};

// Makes site poses of written ones. Not to be used by two threads at once.
class PoseMaker {
  public:
    // Throws Error(usage) for a CRS that PROJ does not know. `projection` must outlive it.
    PoseMaker(const PoseRules& rules, const SiteProjection& projection);
    PoseMaker(const PoseMaker&) = delete;
    PoseMaker& operator=(const PoseMaker&) = delete;
    ~PoseMaker();

    // The pose, or in words why there is none: a field missing, position 0 and 0, altitude that no aircraft has, a line
    // of sight above the horizon. Throws Error(input) for a value that is out of its range, naming
    // `where`, `: field` appended.
    [[nodiscard]] tl::expected<FramePose, std::string> make(const WrittenPose& written, std::string_view where) const;

    // The same for the attitude alone, at the origin of the site, whatever is written of the position. Not told of a
    // rotation against a grid, whose north depends on the place.
    [[nodiscard]] tl::expected<FramePose, std::string> make_attitude(const WrittenPose& written,
                                                                     std::string_view where) const;

    [[nodiscard]] const PoseRules& rules() const { return rules_; }

    [[nodiscard]] const SiteCrs& crs() const { return *crs_; }

  private:
    [[nodiscard]] Eigen::Vector3d place(double x, double y, double height_m, std::string_view where) const;
    [[nodiscard]] FramePose from_rotation(const WrittenPose& written, std::string_view where) const;

    PoseRules rules_;
    std::unique_ptr<SiteCrs> crs_;
};

}  // namespace heatrow
