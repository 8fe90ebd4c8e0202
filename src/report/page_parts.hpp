// Pieces that the program's pages share.
#pragma once

#include "heatrow/core/finding.hpp"

#include <array>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

inline constexpr std::array<AbnormalityClass, 3> kGravestFirst = {
    AbnormalityClass::safety_relevant, AbnormalityClass::thermal, AbnormalityClass::none};

// The mark of a class in running text; the page must hold class_mark_definitions().
std::string mark_of(AbnormalityClass abnormality);
std::string class_mark_definitions();

// Text in a paragraph, escaped; attributes as they are.
std::string paragraph(std::string_view text, std::string_view attributes = "");

// Five cells of a ribbon: the program's sign.
std::string sign();

// A number with its caption; `value` is markup.
std::string figure_box(const std::string& value, std::string_view caption);

// A field of a table, its text escaped.
std::string table_cell(std::string_view text, std::string_view css_class = "");
// Headings of a table; from the one with this index on they stand over numbers.
std::string table_head(const std::vector<std::string>& names, std::size_t first_number);

}  // namespace heatrow
