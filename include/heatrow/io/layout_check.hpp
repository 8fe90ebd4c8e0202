// What is right and wrong with a layout file, all of it at once (docs/formats/layout.md).
#pragma once

#include "heatrow/io/module_type_reader.hpp"

#include <filesystem>
#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// The text in to_string is the word in the output.
enum class LayoutDoubt {
    unreadable,       // a field missing or of the wrong kind, an unknown type, an outline that is no module
    duplicate_id,     // two modules of one id
    shared_position,  // two modules at one position of a string
    size,             // the outline does not fit the type, or is no size of a module at all
    axes_swapped,     // the outlines fit their types when east and north change places
    far_away,         // the modules lie more than 30 km apart, or at longitude 0, latitude 0
    overlap,          // two outlines cover each other
    alias,            // two ids that differ only by case, leading zeros, O and 0, or blanks
    position_gap,     // positions of a string do not run 1, 2, 3 ...
    odd_length,       // a string is longer or shorter than most of its type
    mixed_string,     // modules of one string differ in type, combiner, inverter or input
};
std::string_view to_string(LayoutDoubt doubt);
// `analyse` refuses the layout.
bool is_refused(LayoutDoubt doubt);

struct LayoutProblem {
    LayoutDoubt doubt = LayoutDoubt::unreadable;
    std::string entity;  // module "A1", string "S1", feature 12
    std::string why;
    std::string remedy;
};

struct StringCount {
    std::string id;
    std::string type;  // of its first module
    int modules = 0;
    std::string combiner;
    std::string inverter;
    std::string input;
};

struct TypeCount {
    int modules = 0;
    double rated_power_w = 0.0;  // of all of them; 0 where the type file is not known
};

struct LayoutCheck {
    int modules = 0;  // that could be read
    std::map<std::string, TypeCount> types;
    std::vector<StringCount> strings;                 // natural order
    std::vector<std::pair<std::string, int>> tables;  // id and modules, natural order
    int without_string = 0;
    int without_table = 0;
    double low_longitude_deg = 0.0, low_latitude_deg = 0.0, high_longitude_deg = 0.0, high_latitude_deg = 0.0;
    double area_m2 = 0.0;                 // of glass and frame, in the planes of the modules
    std::vector<LayoutProblem> problems;  // those that `analyse` refuses first

    [[nodiscard]] bool is_refused() const;
};

// Throws Error(input) only where the file as a whole cannot be read: no vector file, no CRS, no required field.
LayoutCheck check_layout(const std::filesystem::path& file, const ModuleTypeCatalogue& types);

}  // namespace heatrow
