// Tables of the grade, for the terminal and for docs/accuracy.md.
#pragma once

#include "figures.hpp"

#include <string>
#include <vector>

namespace scene {

struct GradeTable {
    std::string title;
    std::vector<std::string> header;
    std::vector<std::vector<std::string>> rows;
    std::string note;  // under it; may be empty
};

std::string to_text(const GradeTable& table);
std::string to_markdown(const GradeTable& table);

// "99.2 %" and "98.1 .. 99.7"; "-" where there is nothing. Digits by unit.
std::string value_text(const Figure& figure);
std::string interval_text(const Figure& figure);
// "95.1 % (91.0 .. 97.3), n 120"; "-" where there is nothing.
std::string figure_text(const Figure& figure);

}  // namespace scene
