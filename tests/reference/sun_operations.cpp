#include "heatrow/sun/clear_sky.hpp"
#include "heatrow/sun/incidence.hpp"
#include "heatrow/sun/module_temperature.hpp"
#include "heatrow/sun/solar_geometry.hpp"
#include "heatrow/sun/solar_position.hpp"
#include "heatrow/sun/spa.hpp"
#include "heatrow/sun/thermal_lag.hpp"
#include "heatrow/sun/transposition.hpp"
#include "operations.hpp"

#include <Eigen/Geometry>

#include <array>
#include <chrono>
#include <cmath>
#include <map>
#include <stdexcept>

namespace heatrow::reference {
namespace {

using Words = std::vector<std::string>;
using Numbers = std::vector<double>;

double word(const Words& words, std::size_t index) {
    if (index >= words.size()) {
        throw std::runtime_error("accept has too few numbers");
    }
    return to_number(words[index]);
}

Radians angle(const Words& words, std::size_t index) {
    return degrees(word(words, index));
}

// year month day hour minute second, UTC
UtcTime instant(const Words& words) {
    const auto whole = [&](std::size_t i) { return static_cast<int>(word(words, i)); };
    const std::chrono::year_month_day date{std::chrono::year(whole(0)),
                                           std::chrono::month(static_cast<unsigned>(whole(1))),
                                           std::chrono::day(static_cast<unsigned>(whole(2)))};
    return std::chrono::sys_days(date) + std::chrono::hours(whole(3)) + std::chrono::minutes(whole(4)) +
           std::chrono::seconds(whole(5));
}

using SpaField = double (*)(const Spa&);

const std::map<std::string, SpaField>& spa_fields() {
    static const std::map<std::string, SpaField> fields{
        {"jc", [](const Spa& s) { return s.jc; }},
        {"jde", [](const Spa& s) { return s.jde; }},
        {"jce", [](const Spa& s) { return s.jce; }},
        {"jme", [](const Spa& s) { return s.jme; }},
        {"l", [](const Spa& s) { return s.l_deg; }},
        {"b", [](const Spa& s) { return s.b_deg; }},
        {"r", [](const Spa& s) { return s.r_au; }},
        {"theta", [](const Spa& s) { return s.theta_deg; }},
        {"beta", [](const Spa& s) { return s.beta_deg; }},
        {"x0", [](const Spa& s) { return s.x_deg[0]; }},
        {"x1", [](const Spa& s) { return s.x_deg[1]; }},
        {"x2", [](const Spa& s) { return s.x_deg[2]; }},
        {"x3", [](const Spa& s) { return s.x_deg[3]; }},
        {"x4", [](const Spa& s) { return s.x_deg[4]; }},
        {"delta_psi", [](const Spa& s) { return s.delta_psi_deg; }},
        {"delta_epsilon", [](const Spa& s) { return s.delta_epsilon_deg; }},
        {"epsilon0", [](const Spa& s) { return s.epsilon0_arcsec; }},
        {"epsilon", [](const Spa& s) { return s.epsilon_deg; }},
        {"delta_tau", [](const Spa& s) { return s.delta_tau_deg; }},
        {"lambda", [](const Spa& s) { return s.lambda_deg; }},
        {"nu0", [](const Spa& s) { return s.nu0_deg; }},
        {"nu", [](const Spa& s) { return s.nu_deg; }},
        {"alpha", [](const Spa& s) { return s.alpha_deg; }},
        {"delta", [](const Spa& s) { return s.delta_deg; }},
        {"h", [](const Spa& s) { return s.h_deg; }},
        {"xi", [](const Spa& s) { return s.xi_deg; }},
        {"delta_alpha", [](const Spa& s) { return s.delta_alpha_deg; }},
        {"alpha_prime", [](const Spa& s) { return s.alpha_prime_deg; }},
        {"delta_prime", [](const Spa& s) { return s.delta_prime_deg; }},
        {"h_prime", [](const Spa& s) { return s.h_prime_deg; }},
        {"e0", [](const Spa& s) { return s.e0_deg; }},
        {"delta_e", [](const Spa& s) { return s.delta_e_deg; }},
        {"e", [](const Spa& s) { return s.e_deg; }},
        {"zenith", [](const Spa& s) { return s.zenith_deg; }},
        {"azimuth_astronomers", [](const Spa& s) { return s.azimuth_astronomers_deg; }},
        {"azimuth", [](const Spa& s) { return s.azimuth_deg; }},
        {"equation_of_time", [](const Spa& s) { return s.equation_of_time_min; }},
    };
    return fields;
}

Spa spa_of(const Parameters& p, const Words& words) {
    SpaInput input;
    input.julian_day = julian_day(instant(words));
    input.delta_t_s = p.number("delta_t");
    input.longitude_deg = p.number("longitude");
    input.latitude_deg = p.number("latitude");
    input.elevation_m = p.number("elevation");
    input.pressure_hpa = p.number("pressure");
    input.temperature_c = p.number("temperature");
    return spa(input);
}

void add_position(Operations& operations) {
    operations["spa"] = [](const Parameters& p, const Words& words) {
        const auto field = spa_fields().find(p.text("quantity"));
        if (field == spa_fields().end()) {
            throw std::runtime_error("no quantity '" + p.text("quantity") + "'");
        }
        return Numbers{field->second(spa_of(p, words))};
    };
    operations["julian_day"] = [](const Parameters&, const Words& words) {
        return Numbers{julian_day(instant(words))};
    };
    operations["spa_incidence"] = [](const Parameters& p, const Words& words) {
        const Spa s = spa_of(p, words);
        const PlaneOrientation plane{degrees(p.number("tilt")), degrees(p.number("azimuth"))};
        const double cosine = cos_incidence(plane, degrees(s.zenith_deg), degrees(s.azimuth_deg));
        return Numbers{in_degrees(Radians(std::acos(cosine)))};
    };
    // accept: time, latitude, longitude, height, azimuth and elevation without refraction; distance in the sky
    operations["sun_distance"] = [](const Parameters&, const Words& words) {
        const Place place{angle(words, 6), angle(words, 7), Metres(word(words, 8))};
        const SolarPosition sun = solar_position(instant(words), place);
        const Eigen::Vector3d ours = normal_in_site({sun.true_zenith, sun.azimuth});
        const Eigen::Vector3d theirs = normal_in_site({degrees(90.0 - word(words, 10)), angle(words, 9)});
        return Numbers{in_degrees(Radians(std::atan2(ours.cross(theirs).norm(), ours.dot(theirs))))};
    };
    operations["refraction"] = [](const Parameters& p, const Words& words) {
        return Numbers{spa_refraction_deg(word(words, 0), p.number("pressure"), p.number("temperature"))};
    };
    // accept: year month day of the local date; returns sunrise and sunset in seconds of the local day
    operations["sunrise_sunset"] = [](const Parameters& p, const Words& words) {
        Words noon(words.begin(), words.begin() + 3);
        noon.insert(noon.end(), {"12", "0", "0"});
        const auto offset = std::chrono::minutes(std::lround(60.0 * p.number("zone")));
        const Place place{degrees(p.number("latitude")), degrees(p.number("longitude")), Metres(0.0)};
        const UtcTime midnight = instant(noon) - std::chrono::hours(12) - offset;
        const SunDay day = sun_day(instant(noon) - offset, place);
        if (!day.sunrise || !day.sunset) {
            return Numbers{kNaN, kNaN};
        }
        const auto seconds = [&](UtcTime t) { return static_cast<double>((t - midnight).count()) / 1000.0; };
        return Numbers{seconds(*day.sunrise), seconds(*day.sunset)};
    };
}

// Latitude, declination and hour angle lead the words of the textbook operations.
void add_textbook(Operations& operations) {
    operations["equation_of_time"] = [](const Parameters&, const Words& words) {
        return Numbers{equation_of_time_min(static_cast<int>(word(words, 0)))};
    };
    operations["solar_minus_standard"] = [](const Parameters& p, const Words& words) {
        return Numbers{solar_minus_standard_min(
            static_cast<int>(word(words, 0)), p.number("standard_west"), p.number("local_west"))};
    };
    operations["declination_cooper"] = [](const Parameters&, const Words& words) {
        return Numbers{in_degrees(declination_cooper(static_cast<int>(word(words, 0))))};
    };
    // returns cosine and angle
    operations["incidence"] = [](const Parameters& p, const Words& words) {
        const double cosine = cos_incidence_from_hour_angle(
            angle(words, 0), angle(words, 1), angle(words, 2), degrees(p.number("tilt")), degrees(p.number("gamma")));
        return Numbers{cosine, in_degrees(Radians(std::acos(cosine)))};
    };
    // the same by zenith and azimuths clockwise from north
    operations["incidence_by_position"] = [](const Parameters& p, const Words& words) {
        const Radians zenith = zenith_from_hour_angle(angle(words, 0), angle(words, 1), angle(words, 2));
        const Radians azimuth = azimuth_from_south(angle(words, 0), angle(words, 1), angle(words, 2)) + degrees(180.0);
        const PlaneOrientation plane{degrees(p.number("tilt")), degrees(p.number("gamma") + 180.0)};
        const double cosine = cos_incidence(plane, zenith, azimuth);
        return Numbers{cosine, in_degrees(Radians(std::acos(cosine)))};
    };
    // returns zenith and azimuth from south
    operations["sun_by_hour_angle"] = [](const Parameters&, const Words& words) {
        return Numbers{in_degrees(zenith_from_hour_angle(angle(words, 0), angle(words, 1), angle(words, 2))),
                       in_degrees(azimuth_from_south(angle(words, 0), angle(words, 1), angle(words, 2)))};
    };
    // returns the angle and the solar hour of sunrise
    operations["sunset_hour_angle"] = [](const Parameters&, const Words& words) {
        const double hour_angle = in_degrees(sunset_hour_angle(angle(words, 0), angle(words, 1)));
        return Numbers{hour_angle, 12.0 - hour_angle / 15.0};
    };
    operations["profile_angle"] = [](const Parameters& p, const Words& words) {
        const Radians zenith = zenith_from_hour_angle(angle(words, 0), angle(words, 1), angle(words, 2));
        const Radians azimuth = azimuth_from_south(angle(words, 0), angle(words, 1), angle(words, 2));
        return Numbers{in_degrees(profile_angle(degrees(90.0) - zenith, azimuth - degrees(p.number("gamma"))))};
    };
    operations["beam_ratio"] = [](const Parameters& p, const Words& words) {
        return Numbers{beam_ratio(angle(words, 0),
                                  angle(words, 1),
                                  angle(words, 2),
                                  degrees(p.number("tilt")),
                                  degrees(p.number("gamma", 0.0)))};
    };
    // accept: day of the year, latitude; MJ/m2
    operations["extraterrestrial_day"] = [](const Parameters& p, const Words& words) {
        const int n = static_cast<int>(word(words, 0));
        const double j = extraterrestrial_day_j_m2(
            n, angle(words, 1), declination_cooper(n), WattsPerSquareMetre(p.number("constant")));
        return Numbers{j / 1e6};
    };
    operations["extraterrestrial_span"] = [](const Parameters& p, const Words& words) {
        const int n = static_cast<int>(word(words, 0));
        const double j = extraterrestrial_span_j_m2(n,
                                                    angle(words, 1),
                                                    declination_cooper(n),
                                                    hour_angle_of(p.number("from")),
                                                    hour_angle_of(p.number("to")),
                                                    WattsPerSquareMetre(p.number("constant")));
        return Numbers{j / 1e6};
    };
    // accept: day, latitude, declination, solar hour, altitude; returns beam transmittance, irradiance normal outside,
    // beam normal, beam horizontal, diffuse transmittance, diffuse, total
    operations["hottel_day"] = [](const Parameters& p, const Words& words) {
        const Radians zenith = zenith_from_hour_angle(angle(words, 1), angle(words, 2), hour_angle_of(word(words, 3)));
        const HottelTransmittance t = hottel(zenith, Metres(word(words, 4)));
        const double outside =
            extraterrestrial_normal(static_cast<int>(word(words, 0)), WattsPerSquareMetre(p.number("constant")))
                .value();
        const double cos_zenith = std::cos(zenith.value());
        const double beam = outside * t.beam;
        const double diffuse = outside * cos_zenith * t.diffuse;
        return Numbers{t.beam, outside, beam, beam * cos_zenith, t.diffuse, diffuse, beam * cos_zenith + diffuse};
    };
    // accept: global, beam, diffuse energy over an hour; returns beam, diffuse, ground and total on the plane
    operations["hour_on_plane"] = [](const Parameters& p, const Words& words) {
        const Radians tilt = degrees(p.number("tilt"));
        const double ratio = p.number("beam_ratio");
        double diffuse = isotropic_sky_diffuse(WattsPerSquareMetre(word(words, 2)), tilt).value();
        if (p.text("model") == "hdkr") {
            const double anisotropy = word(words, 1) / p.number("extraterrestrial");
            diffuse = word(words, 2) * reindl_factor(anisotropy, ratio, tilt, word(words, 1) / word(words, 0));
        }
        const double beam = word(words, 1) * ratio;
        const double ground = ground_reflected(WattsPerSquareMetre(word(words, 0)), p.number("albedo"), tilt).value();
        return Numbers{beam, diffuse, ground, beam + diffuse + ground};
    };
}

Numbers sky_numbers(const SkyIrradiance& sky) {
    return {sky.global.value(), sky.direct.value(), sky.diffuse.value()};
}

void add_clear_sky(Operations& operations) {
    operations["haurwitz"] = [](const Parameters&, const Words& words) {
        return Numbers{haurwitz_global(degrees(90.0 - word(words, 0))).value()};
    };
    operations["ineichen_perez"] = [](const Parameters& p, const Words& words) {
        return sky_numbers(ineichen_perez(angle(words, 0),
                                          word(words, 1),
                                          p.number("turbidity"),
                                          Metres(p.number("altitude")),
                                          WattsPerSquareMetre(p.number("extraterrestrial"))));
    };
    operations["simplified_solis"] = [](const Parameters& p, const Words& words) {
        return sky_numbers(simplified_solis(angle(words, 0),
                                            p.number("aerosol"),
                                            p.number("water"),
                                            p.number("pressure"),
                                            WattsPerSquareMetre(p.number("extraterrestrial"))));
    };
    operations["air_mass"] = [](const Parameters&, const Words& words) {
        return Numbers{relative_air_mass(angle(words, 0))};
    };
}

// accept: global direct diffuse extraterrestrial zenith azimuth air_mass
SkyOverPlane sky_of(const Parameters& p, const Words& words) {
    const PlaneOrientation plane{degrees(p.number("tilt")), degrees(p.number("azimuth"))};
    SkyOverPlane over;
    over.sky = {
        WattsPerSquareMetre(word(words, 0)), WattsPerSquareMetre(word(words, 1)), WattsPerSquareMetre(word(words, 2))};
    over.extraterrestrial = WattsPerSquareMetre(word(words, 3));
    over.sun_zenith = angle(words, 4);
    over.cos_incidence = cos_incidence(plane, over.sun_zenith, angle(words, 5));
    over.relative_air_mass = word(words, 6);
    over.tilt = plane.tilt;
    return over;
}

void add_transposition(Operations& operations) {
    operations["isotropic"] = [](const Parameters& p, const Words& words) {
        const SkyOverPlane over = sky_of(p, words);
        return Numbers{isotropic_sky_diffuse(over.sky.diffuse, over.tilt).value()};
    };
    operations["isotropic_diffuse"] = [](const Parameters&, const Words& words) {
        return Numbers{isotropic_sky_diffuse(WattsPerSquareMetre(word(words, 1)), angle(words, 0)).value()};
    };
    operations["hay_davies"] = [](const Parameters& p, const Words& words) {
        return Numbers{hay_davies_sky_diffuse(sky_of(p, words)).value()};
    };
    operations["reindl"] = [](const Parameters& p, const Words& words) {
        return Numbers{reindl_sky_diffuse(sky_of(p, words)).value()};
    };
    operations["klucher"] = [](const Parameters& p, const Words& words) {
        return Numbers{klucher_sky_diffuse(sky_of(p, words)).value()};
    };
    operations["perez"] = [](const Parameters& p, const Words& words) {
        return Numbers{perez_sky_diffuse(sky_of(p, words)).total.value()};
    };
    operations["perez_parts"] = [](const Parameters& p, const Words& words) {
        const PerezSky sky = perez_sky_diffuse(sky_of(p, words));
        return Numbers{sky.isotropic.value(), sky.circumsolar.value(), sky.horizon.value()};
    };
    // returns clearness, bin, brightness, F1, F2, incidence
    operations["perez_intermediates"] = [](const Parameters& p, const Words& words) {
        const SkyOverPlane over = sky_of(p, words);
        const PerezSky sky = perez_sky_diffuse(over);
        return Numbers{sky.clearness,
                       static_cast<double>(sky.bin),
                       sky.brightness,
                       sky.f1,
                       sky.f2,
                       in_degrees(Radians(std::acos(over.cos_incidence)))};
    };
    operations["ground"] = [](const Parameters& p, const Words& words) {
        return Numbers{
            ground_reflected(WattsPerSquareMetre(word(words, 1)), p.number("albedo"), angle(words, 0)).value()};
    };
    operations["albedo"] = [](const Parameters& p, const Words&) {
        static const std::map<std::string, double> albedos{{"grass", kAlbedoGrass},
                                                           {"fresh_grass", kAlbedoFreshGrass},
                                                           {"soil", kAlbedoSoil},
                                                           {"sand", kAlbedoSand},
                                                           {"snow", kAlbedoSnow},
                                                           {"fresh_snow", kAlbedoFreshSnow},
                                                           {"asphalt", kAlbedoAsphalt},
                                                           {"concrete", kAlbedoConcrete},
                                                           {"urban", kAlbedoUrban}};
        return Numbers{albedos.at(p.text("ground"))};
    };
}

const SandiaCoefficients& sandia_of(const Parameters& p) {
    static const std::map<std::string, SandiaCoefficients> mountings{
        {"glass_glass_open", kSandiaGlassGlassOpen},
        {"glass_glass_close", kSandiaGlassGlassClose},
        {"glass_polymer_open", kSandiaGlassPolymerOpen},
        {"glass_polymer_insulated", kSandiaGlassPolymerInsulated}};
    return mountings.at(p.text("mounting"));
}

// irradiance, air, wind lead the words
void add_module_temperature(Operations& operations) {
    operations["faiman"] = [](const Parameters& p, const Words& words) {
        return Numbers{faiman_temperature(WattsPerSquareMetre(word(words, 0)),
                                          Celsius(word(words, 1)),
                                          MetresPerSecond(word(words, 2)),
                                          {p.number("u0"), p.number("u1")})
                           .value()};
    };
    operations["faiman_sky"] = [](const Parameters& p, const Words& words) {
        return Numbers{faiman_sky_temperature(WattsPerSquareMetre(word(words, 0)),
                                              Celsius(word(words, 1)),
                                              MetresPerSecond(word(words, 2)),
                                              WattsPerSquareMetre(word(words, 3)),
                                              1.0,
                                              p.number("emissivity"))
                           .value()};
    };
    // returns module back and cell
    operations["sandia"] = [](const Parameters& p, const Words& words) {
        const WattsPerSquareMetre irradiance(word(words, 0));
        const Celsius air(word(words, 1));
        const MetresPerSecond wind(word(words, 2));
        return Numbers{sandia_module_temperature(irradiance, air, wind, sandia_of(p)).value(),
                       sandia_cell_temperature(irradiance, air, wind, sandia_of(p)).value()};
    };
    operations["ross"] = [](const Parameters& p, const Words& words) {
        const double k = p.has("noct") ? ross_k_from_noct(Celsius(p.number("noct"))) : p.number("k");
        return Numbers{ross_temperature(WattsPerSquareMetre(word(words, 0)), Celsius(word(words, 1)), k).value()};
    };
    operations["noct"] = [](const Parameters& p, const Words& words) {
        return Numbers{noct_temperature(WattsPerSquareMetre(word(words, 0)),
                                        Celsius(word(words, 1)),
                                        MetresPerSecond(word(words, 2)),
                                        Celsius(p.number("noct")),
                                        p.number("efficiency"))
                           .value()};
    };
    operations["thermal_time_constant"] = [](const Parameters& p, const Words& words) {
        return Numbers{1.0 / thermal_rate_per_s(MetresPerSecond(word(words, 0)), p.number("mass"))};
    };
    // accept: s since a step from 0 to 1; share that a module has followed, history from the full past
    operations["step_response"] = [](const Parameters& p, const Words& words) {
        const double since = word(words, 0);
        const double rate = thermal_rate_per_s(MetresPerSecond(p.number("wind")), p.number("mass"));
        constexpr double kEdge = 1e-6;
        const std::array<AgedValue, 4> history{{{0.0, 1.0}, {since, 1.0}, {since + kEdge, 0.0}, {1e6, 0.0}}};
        return Numbers{lagged_mean(history, rate, 1e6).value};
    };
}

}  // namespace

void add_sun_operations(Operations& operations) {
    add_position(operations);
    add_textbook(operations);
    add_clear_sky(operations);
    add_transposition(operations);
    add_module_temperature(operations);
}

}  // namespace heatrow::reference
