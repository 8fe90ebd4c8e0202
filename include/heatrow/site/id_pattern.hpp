// How ids are written: text with numbered places, e.g. "{area}R{row}-T{table}-{tier:A}{column:02}".
#pragma once

#include <tl/expected.hpp>

#include <map>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

namespace heatrow {

// What stands at the places of a pattern: numbers and texts by name.
using IdValues = std::map<std::string, std::variant<int, std::string>, std::less<>>;

class IdPattern {
  public:
    IdPattern() = default;

    // A place is {name}, {name:02} (at least so many digits, filled with zeros) or {name:A} (A to Z, then AA). The
    // reason where the text is no pattern, or names a place that is not among `known`.
    static tl::expected<IdPattern, std::string> parse(std::string_view text, std::span<const std::string_view> known);

    // Every name in the pattern must be among the values. A text at a place with digits or letters stays as it is.
    [[nodiscard]] std::string fill(const IdValues& values) const;
    [[nodiscard]] bool is_empty() const { return parts_.empty(); }
    [[nodiscard]] bool uses(std::string_view name) const;

  private:
    struct Part {
        std::string text;  // literal, or the name of the place
        bool is_place = false;
        int digits = 0;
        bool letters = false;
    };
    std::vector<Part> parts_;
};

// 1 is A, 26 Z, 27 AA.
std::string letters_of(int number);

}  // namespace heatrow
