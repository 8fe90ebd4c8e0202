// The solar position algorithm with all its intermediate quantities, to 0.0003 deg from the year -2000 to 6000.
//
// Source: Reda & Andreas, Solar Position Algorithm for Solar Radiation Applications, NREL/TP-560-34302 (2003, revised
// 2008); numbers in brackets are its equations. Most callers want solar_position.hpp.
#pragma once

#include <array>

namespace heatrow {

// Angles in degrees, as in the publication.
struct SpaInput {
    double julian_day = 0.0;     // in UT (4)
    double delta_t_s = 0.0;      // terrestrial time minus universal time
    double longitude_deg = 0.0;  // east positive
    double latitude_deg = 0.0;
    double elevation_m = 0.0;
    double pressure_hpa = 1013.25;   // yearly mean at the place
    double temperature_c = 12.0;     // yearly mean at the place
    double refraction_deg = 0.5667;  // at sunrise and sunset; below the horizon by more than this and the sun's radius
                                     // the position is not corrected
};

struct Spa {
    double jc = 0.0;                       // Julian century (6)
    double jde = 0.0;                      // Julian ephemeris day (5)
    double jce = 0.0;                      // and century (7)
    double jme = 0.0;                      // and millennium (8)
    double l_deg = 0.0;                    // Earth heliocentric longitude (9-12)
    double b_deg = 0.0;                    // and latitude
    double r_au = 0.0;                     // Earth-sun distance
    double theta_deg = 0.0;                // geocentric longitude (13)
    double beta_deg = 0.0;                 // and latitude (14)
    std::array<double, 5> x_deg{};         // fundamental arguments X0 to X4 (15-19)
    double delta_psi_deg = 0.0;            // nutation in longitude (22)
    double delta_epsilon_deg = 0.0;        // and in obliquity (23)
    double epsilon0_arcsec = 0.0;          // mean obliquity (24)
    double epsilon_deg = 0.0;              // true obliquity (25)
    double delta_tau_deg = 0.0;            // aberration (26)
    double lambda_deg = 0.0;               // apparent sun longitude (27)
    double nu0_deg = 0.0;                  // mean sidereal time at Greenwich (28)
    double nu_deg = 0.0;                   // apparent (29)
    double alpha_deg = 0.0;                // geocentric right ascension (30)
    double delta_deg = 0.0;                // and declination (31)
    double h_deg = 0.0;                    // observer local hour angle (32), west positive, 0 to 360
    double xi_deg = 0.0;                   // equatorial horizontal parallax (33)
    double delta_alpha_deg = 0.0;          // parallax in right ascension (39)
    double alpha_prime_deg = 0.0;          // topocentric right ascension (40)
    double delta_prime_deg = 0.0;          // and declination (41)
    double h_prime_deg = 0.0;              // topocentric local hour angle (42)
    double e0_deg = 0.0;                   // elevation without refraction (43)
    double delta_e_deg = 0.0;              // refraction (44)
    double e_deg = 0.0;                    // elevation (45)
    double zenith_deg = 0.0;               // topocentric zenith angle (46)
    double azimuth_astronomers_deg = 0.0;  // westward from south (47)
    double azimuth_deg = 0.0;              // clockwise from north (48)
    double equation_of_time_min = 0.0;     // (A1)
};

Spa spa(const SpaInput& input);

// Atmospheric refraction in degrees at a true elevation, (44); 0 below the horizon by more than refraction_deg and the
// sun's radius.
double spa_refraction_deg(double e0_deg, double pressure_hpa, double temperature_c, double refraction_deg = 0.5667);

}  // namespace heatrow
