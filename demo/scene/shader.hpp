// The radiance that a ray brings to the camera, at one moment.
#pragma once

#include "air_path.hpp"
#include "person.hpp"
#include "sky.hpp"
#include "world.hpp"

#include <Eigen/Core>

#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

namespace scene {

class Shader {
  public:
    Shader(const World& world, const Shot& shot);

    struct Seen {
        double radiance = 0.0;
        std::uint32_t surface = 0;  // the same for the same piece of the same thing
    };
    // direction: of any length; hit: what RayCaster found for it.
    [[nodiscard]] Seen look(const Hit& hit, const Eigen::Vector3d& from, const Eigen::Vector3d& direction) const;

    // What a module's glass mirrors beside clear sky, ground and other rows.
    struct Foreign {
        double sun = 0.0;
        double cloud = 0.0;
        double wall = 0.0;  // any slab
        double person = 0.0;

        [[nodiscard]] bool none() const { return sun == 0.0 && cloud == 0.0 && wall == 0.0 && person == 0.0; }
    };
    // By how much each of them raises the radiance that leaves the glass towards the camera; hit: of glass.
    [[nodiscard]] Foreign foreign(const Hit& hit, const Eigen::Vector3d& from, const Eigen::Vector3d& direction) const;
    // The same as a change of the apparent temperature, K.
    [[nodiscard]] Foreign foreign_k(const Foreign& radiance,
                                    const Hit& hit,
                                    const Eigen::Vector3d& from,
                                    const Eigen::Vector3d& direction) const;

  private:
    Shader(const World& world, const Shot& shot, const WeatherNow& now);

    // What a mirror shows: a mirroring piece of a face, the point on it, the mirrored direction of length 1.
    struct Mirror {
        int face;
        Eigen::Vector3d at;
        Eigen::Vector3d direction;
        double lobe_rad;  // standard deviation
    };
    [[nodiscard]] double own_c(const Hit& hit) const;
    [[nodiscard]] double matt(double emissivity, double temperature_c) const;
    [[nodiscard]] double slab(const Hit& hit) const;
    [[nodiscard]] double ground(const Eigen::Vector3d& from, const Eigen::Vector3d& direction) const;
    // The front of a module where a ray meets it.
    struct Front {
        double emissivity;
        double own;  // radiance of a black body as warm
        Mirror mirror;
    };
    [[nodiscard]] Front front(const Hit& hit, const Eigen::Vector3d& at, const Eigen::Vector3d& direction) const;
    [[nodiscard]] double module(const Hit& hit, const Eigen::Vector3d& at, const Eigen::Vector3d& direction) const;
    // May anything but sky and ground lie in what the mirror shows?
    [[nodiscard]] bool near_things(const Mirror& mirror) const;
    // Calls use(direction) for equally likely directions of the mirror's lobe.
    template <class Use>
    void over_lobe(const Mirror& mirror, Use use) const;
    [[nodiscard]] double part_of_person(Person::Part part) const;
    [[nodiscard]] double mirrored(const Mirror& mirror) const;
    [[nodiscard]] double surroundings(const Mirror& mirror, const Eigen::Vector3d& direction) const;
    [[nodiscard]] double mirrored_sun(const Mirror& mirror) const;

    const World& world_;
    WeatherNow now_;
    double air_c_;
    double rise_k_;
    double sun_share_;
    Sky sky_;
    double air_radiance_;
    AirPath air_path_;
    std::optional<Person> person_;
    // Of each panel, the maps that add up to its temperature over air and rise, and what each is multiplied with now.
    std::vector<std::vector<std::pair<double, const HeatMap*>>> warmth_;
};

}  // namespace scene
