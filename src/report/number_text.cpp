#include "heatrow/report/number_text.hpp"

namespace heatrow {

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
