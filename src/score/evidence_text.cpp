#include "evidence_text.hpp"

#include <array>
#include <charconv>
#include <cmath>

namespace heatrow {

std::string number_words(double value, int decimals) {
    if (!std::isfinite(value)) {
        return "unknown";
    }
    std::array<char, 400> buffer;  // room for the largest double in fixed notation
    const auto end =
        std::to_chars(buffer.data(), buffer.data() + buffer.size(), value, std::chars_format::fixed, decimals);
    std::string text(buffer.data(), end.ptr);
    const bool is_zero = text.find_first_not_of("-0.") == std::string::npos;
    return is_zero && text.front() == '-' ? text.substr(1) : text;
}

std::string difference_words(const Uncertain<KelvinDelta>& value) {
    return number_words(value.value.value(), 1) + " K +/- " + number_words(value.u95(), 1) + " K";
}

std::string count_words(int count, const std::string& noun) {
    return std::to_string(count) + " " + noun + (count == 1 ? "" : "s");
}

}  // namespace heatrow
