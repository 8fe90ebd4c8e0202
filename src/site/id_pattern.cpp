#include "heatrow/site/id_pattern.hpp"

#include <algorithm>

namespace heatrow {
namespace {

std::string listed(std::span<const std::string_view> names) {
    std::string text;
    for (const std::string_view name : names) {
        text += (text.empty() ? "{" : ", {") + std::string(name) + "}";
    }
    return text;
}

}  // namespace

std::string letters_of(int number) {
    constexpr int kLetters = 26;
    std::string text;
    for (int rest = number; rest > 0; rest = (rest - 1) / kLetters) {
        text.insert(text.begin(), static_cast<char>('A' + (rest - 1) % kLetters));
    }
    return text;
}

tl::expected<IdPattern, std::string> IdPattern::parse(std::string_view text, std::span<const std::string_view> known) {
    IdPattern pattern;
    while (!text.empty()) {
        const auto open = text.find('{');
        if (open != 0) {
            pattern.parts_.push_back({std::string(text.substr(0, open)), false, 0, false});
            text.remove_prefix(std::min(open, text.size()));
            continue;
        }
        const auto close = text.find('}');
        if (close == std::string_view::npos) {
            return tl::unexpected(std::string("a brace is not closed"));
        }
        const std::string_view place = text.substr(1, close - 1);
        const auto colon = place.find(':');
        Part part{std::string(place.substr(0, colon)), true, 0, false};
        if (std::ranges::find(known, std::string_view(part.text)) == known.end()) {
            return tl::unexpected("there is no {" + part.text + "} here; known: " + listed(known));
        }
        if (colon != std::string_view::npos) {
            const std::string_view form = place.substr(colon + 1);
            const bool is_width = form.size() == 2 && form[0] == '0' && form[1] >= '1' && form[1] <= '9';
            if (form != "A" && !is_width) {
                return tl::unexpected("'" + std::string(form) + "' is no form of a number; write 02 (two digits) or A");
            }
            part.letters = !is_width;
            part.digits = is_width ? form[1] - '0' : 0;
        }
        pattern.parts_.push_back(std::move(part));
        text.remove_prefix(close + 1);
    }
    if (pattern.parts_.empty()) {
        return tl::unexpected(std::string("it is empty"));
    }
    return pattern;
}

std::string IdPattern::fill(const IdValues& values) const {
    std::string id;
    for (const Part& part : parts_) {
        if (!part.is_place) {
            id += part.text;
            continue;
        }
        const auto& value = values.find(part.text)->second;
        if (const auto* text = std::get_if<std::string>(&value)) {
            id += *text;
            continue;
        }
        const int number = std::get<int>(value);
        if (part.letters) {
            id += letters_of(number);
            continue;
        }
        const std::string digits = std::to_string(number);
        id += std::string(static_cast<std::size_t>(std::max(0, part.digits - static_cast<int>(digits.size()))), '0');
        id += digits;
    }
    return id;
}

bool IdPattern::uses(std::string_view name) const {
    return std::ranges::any_of(parts_, [name](const Part& part) { return part.is_place && part.text == name; });
}

}  // namespace heatrow
