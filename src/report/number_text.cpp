#include "heatrow/report/number_text.hpp"

#include <array>
#include <charconv>
#include <cmath>

namespace heatrow {

std::string fixed_text(double value, int decimals) {
    if (!std::isfinite(value)) {
        return {};
    }
    std::array<char, 400> buffer;  // DBL_MAX has 309 digits before the point
    const auto [end, error] =
        std::to_chars(buffer.data(), buffer.data() + buffer.size(), value, std::chars_format::fixed, decimals);
    if (error != std::errc{}) {
        return {};
    }
    std::string text(buffer.data(), end);
    if (text.front() == '-' && text.find_first_not_of("-0.") == std::string::npos) {
        text.erase(0, 1);
    }
    return text;
}

std::string short_text(double value, int max_decimals) {
    std::string text = fixed_text(value, max_decimals);
    if (text.find('.') != std::string::npos) {
        text.erase(text.find_last_not_of('0') + 1);
        if (text.back() == '.') {
            text.pop_back();
        }
    }
    return text == "-0" ? "0" : text;
}

std::string signed_text(double value, int decimals) {
    const std::string text = fixed_text(value, decimals);
    if (text.empty()) {
        return "–";
    }
    if (text.front() == '-') {
        return "−" + text.substr(1);
    }
    return text.find_first_not_of("0.") == std::string::npos ? text : "+" + text;
}

std::string with_u95_text(const Uncertain<KelvinDelta>& value, int decimals) {
    std::string text = signed_text(value.value.value(), decimals);
    const std::string half_width = fixed_text(value.u95(), decimals);
    if (value.is_known() && !half_width.empty()) {
        text += " ± " + half_width;
    }
    return text;
}

}  // namespace heatrow
