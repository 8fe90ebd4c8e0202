#include "heatrow/io/site_crs.hpp"
#include "operations.hpp"

namespace heatrow::reference {
namespace {

using Words = std::vector<std::string>;
using Numbers = std::vector<double>;

// crs= a code, or proj= and what follows it, with ';' between the terms of a PROJ string.
std::string crs_of(const Parameters& parameters) {
    if (parameters.has("crs")) {
        return parameters.text("crs");
    }
    std::string definition = "+proj=" + parameters.text("proj");
    for (std::size_t i = definition.find(';'); i != std::string::npos; i = definition.find(';')) {
        definition.replace(i, 1, " +");
    }
    return definition + " +no_defs +type=crs";
}

// accept: easting northing, in the units of the CRS. Longitude and latitude, deg: by way of the site frame, whose
// origin lies elsewhere.
Numbers grid_to_degrees(const Parameters& parameters, const Words& accept) {
    const SiteProjection anywhere({0.0, 0.0, Metres(0.0)});
    const SiteCrs from_anywhere(crs_of(parameters), anywhere, "", "");
    const double easting = to_number(accept.at(0));
    const double northing = to_number(accept.at(1));
    const auto rough = anywhere.to_geographic(from_anywhere.to_site(easting, northing, Metres(0.0), ""));
    // Near the place, as a survey would have it.
    const SiteProjection site({rough.longitude_deg + 0.02, rough.latitude_deg - 0.01, Metres(0.0)});
    const SiteCrs crs(crs_of(parameters), site, "", "");
    const auto place = site.to_geographic(crs.to_site(easting, northing, Metres(0.0), ""));
    return {place.longitude_deg, place.latitude_deg};
}

}  // namespace

void add_io_operations(Operations& operations) {
    operations["grid_to_degrees"] = grid_to_degrees;
}

}  // namespace heatrow::reference
