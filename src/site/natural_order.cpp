#include "heatrow/site/layout.hpp"

namespace heatrow {
namespace {

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

// The run of digits at `at`, without leading zeros; `at` moves behind it.
std::string_view take_number(std::string_view text, std::size_t& at) {
    while (at + 1 < text.size() && text[at] == '0' && is_digit(text[at + 1])) {
        ++at;
    }
    const std::size_t begin = at;
    while (at < text.size() && is_digit(text[at])) {
        ++at;
    }
    return text.substr(begin, at - begin);
}

// Digits compare by length first: no run of digits is too long for an integer type.
int compare_numbers(std::string_view a, std::string_view b) {
    if (a.size() != b.size()) {
        return a.size() < b.size() ? -1 : 1;
    }
    return a.compare(b);
}

int compare_natural(std::string_view a, std::string_view b) {
    std::size_t i = 0;
    std::size_t j = 0;
    while (i < a.size() && j < b.size()) {
        if (is_digit(a[i]) && is_digit(b[j])) {
            const int order = compare_numbers(take_number(a, i), take_number(b, j));
            if (order != 0) {
                return order;
            }
            continue;
        }
        if (a[i] != b[j]) {
            return static_cast<unsigned char>(a[i]) < static_cast<unsigned char>(b[j]) ? -1 : 1;
        }
        ++i;
        ++j;
    }
    const bool a_ends = i == a.size();
    const bool b_ends = j == b.size();
    return a_ends == b_ends ? 0 : (a_ends ? -1 : 1);
}

}  // namespace

bool natural_less(std::string_view a, std::string_view b) {
    const int order = compare_natural(a, b);
    return order != 0 ? order < 0 : a < b;  // "R02" and "R2" are different ids and need an order
}

}  // namespace heatrow
