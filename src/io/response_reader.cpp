#include "heatrow/io/response_reader.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/io/text_table.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace heatrow {
namespace {

constexpr std::string_view kRemedy =
    "Give columns wavelength_um and response, one point a row, wavelengths in micrometres ascending";

[[noreturn]] void refuse(const std::string& where, const std::string& why) {
    throw Error(ErrorKind::usage, "cannot read the response curve", where, why, kRemedy);
}

std::size_t column(const TextTable& table, std::string_view name) {
    const auto found = table.find_column(name);
    if (!found) {
        refuse(table.place(table.header), fmt::format("there is no column '{}'", name));
    }
    return *found;
}

double number(const TextTable& table, const TextRow& row, std::string_view name) {
    const std::string_view text = cell(row, column(table, name));
    const auto value = table.number(text);
    if (!value) {
        refuse(table.place(row, name), fmt::format("'{}' is no number", text));
    }
    return *value;
}

// A camera that answers nowhere beyond its band should not be told from one whose table ends there.
void drop_outer_zeros(std::vector<ResponsePoint>& curve) {
    const auto is_zero = [](const ResponsePoint& point) { return point.response == 0.0; };
    while (curve.size() > 2 && is_zero(curve[0]) && is_zero(curve[1])) {
        curve.erase(curve.begin());
    }
    while (curve.size() > 2 && is_zero(curve[curve.size() - 1]) && is_zero(curve[curve.size() - 2])) {
        curve.pop_back();
    }
}

}  // namespace

std::vector<ResponsePoint> read_response_curve(const std::filesystem::path& file) {
    const TextTable table = read_text_table(file);
    std::vector<ResponsePoint> curve;
    for (const TextRow& row : table.rows) {
        const ResponsePoint point{number(table, row, "wavelength_um"), number(table, row, "response")};
        const double before = curve.empty() ? 0.0 : curve.back().wavelength_um;
        if (!(point.wavelength_um > before)) {
            refuse(table.place(row, "wavelength_um"),
                   fmt::format("{:g} um does not lie above {:g} um", point.wavelength_um, before));
        }
        if (!(point.response >= 0.0)) {
            refuse(table.place(row, "response"), fmt::format("{:g} is negative", point.response));
        }
        curve.push_back(point);
    }
    if (curve.size() < 2) {
        refuse(table.name, fmt::format("it has {} points; two are the least", curve.size()));
    }
    if (std::none_of(curve.begin(), curve.end(), [](const ResponsePoint& point) { return point.response > 0.0; })) {
        refuse(table.name, "the response is zero everywhere");
    }
    drop_outer_zeros(curve);
    return curve;
}

}  // namespace heatrow
