#include "id_alias.hpp"

namespace heatrow::detail {
namespace {

bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

}  // namespace

std::string alias_key(std::string_view id) {
    std::string plain;
    for (std::size_t i = 0; i < id.size(); ++i) {
        char c = id[i];
        if (id.substr(i).starts_with("\u00a0")) {  // no-break space, two bytes
            ++i;
            continue;
        }
        if (c == ' ' || c == '\t') {
            continue;
        }
        if (c >= 'A' && c <= 'Z') {
            c = static_cast<char>(c - 'A' + 'a');
        }
        plain += c == 'o' ? '0' : c;
    }
    std::string key;
    for (std::size_t i = 0; i < plain.size(); ++i) {
        const bool begins_number =
            is_digit(plain[i]) && (i == 0 || !is_digit(plain[i - 1]) || key.empty() || !is_digit(key.back()));
        const bool is_leading_zero = begins_number && plain[i] == '0' && i + 1 < plain.size() && is_digit(plain[i + 1]);
        if (!is_leading_zero) {
            key += plain[i];
        }
    }
    return key;
}

}  // namespace heatrow::detail
