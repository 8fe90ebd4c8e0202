// An array described by its rows, tables and modules (docs/formats/layout-description.md), to be expanded into modules
// by make_array. Left, right, lower, upper: as seen from the front, up the slope.
#pragma once

#include "heatrow/site/id_pattern.hpp"
#include "heatrow/site/planned_module.hpp"

#include <array>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace heatrow {

struct Corner {
    bool right = false;
    bool upper = false;
};

// How many modules a table has.
struct TableGrid {
    int along = 1;  // columns along the row
    int up = 1;     // tiers up the slope
};

struct Numbering {
    Corner start;                   // where columns, tiers and tables begin to count
    bool rows_from_back = false;    // row 1 is the last one instead of the foremost
    bool up_first = false;          // {n} runs up the slope before it goes on along the row
    bool serpentine_lines = false;  // {n} runs back along every second line
    bool serpentine_rows = false;   // tables and columns of every second row count from the other side
    int first_row = 1;              // number of the first row
    IdPattern table;
    IdPattern module;
};

struct Wiring {
    enum class Form {
        none,
        row,       // along one tier
        u,         // out along a tier, back along the next
        leapfrog,  // out over every second module of a tier, back over those left out
    } form = Form::none;
    int length = 0;           // modules in series; 0: as many as the way has
    bool over_tables = true;  // the way runs along the whole row; else every table is wired by itself
    Corner start;             // where the way begins
    bool positive_at_start = true;
    IdPattern string;
    IdPattern combiner;  // empty patterns: not known
    IdPattern inverter;
    IdPattern input;
    int group = 1;  // so many strings share one {group}
};

// What differs for one row, or for one table of it. Absent: as the rule of the area gives it.
struct PlaceChange {
    int row = 1;    // from the front, from 1
    int table = 0;  // from the left, from 1; 0: the whole row, or its first table as for `position_m`
    std::optional<std::array<double, 2>> position_m;  // east, north of the lower left corner
    std::optional<double> lower_edge_m;
    std::optional<double> tilt_deg;
    std::optional<double> azimuth_deg;
    std::optional<int> tables;  // of the row
    std::optional<int> along;
    std::optional<int> up;
};

// A roof face, or rows of tables in a field.
struct ArrayArea {
    std::string id;
    std::string type;
    std::array<double, 2> position_m{0.0, 0.0};  // east, north of the lower left corner of row 1, table 1
    double lower_edge_m = 0.0;                   // of the tables above the site origin, or above `ground`
    double tilt_deg = 0.0;
    double azimuth_deg = 180.0;
    TopEdge top = TopEdge::up;
    int rows = 1;
    double row_pitch_m = 0.0;  // level distance of the rows' lower edges
    double row_shift_m = 0.0;  // to the right, from one row to the next behind it
    int tables = 1;            // in a row
    TableGrid grid;
    std::vector<double> table_gaps_m;  // one for all gaps of a row, or one each
    double gap_along_m = 0.02;         // between modules
    double gap_up_m = 0.02;
    double table_step_m = 0.0;    // each table of a row higher than the one to its left
    double table_turn_deg = 0.0;  // azimuth of each table beyond that of the one to its left: curved rows
    std::vector<PlaceChange> changes;
    Numbering numbering;
    std::vector<std::string> missing;            // ids of places without a module
    std::map<std::string, std::string> renamed;  // id by the pattern -> id
    Wiring wiring;
};

// A string listed module by module, in wiring order.
struct ListedString {
    std::string id;
    std::vector<std::string> modules;  // ids, or "first..last" along one line of a table
    bool positive_at_start = true;
    StringHome home;
};

struct ArrayDescription {
    std::string name;                             // file, for messages
    std::array<double, 2> ground_rise{0.0, 0.0};  // m per m toward east and north, through the site origin
    std::vector<ArrayArea> areas;
    std::vector<ListedString> strings;
};

// Outline of each module type, m: along its top edge, and down.
struct TypeSize {
    double width_m = 0.0;
    double height_m = 0.0;
};
using TypeSizes = std::map<std::string, TypeSize, std::less<>>;

// Modules in the order of areas, rows, tables, tiers and columns, rows from the front, the others from the lower left.
// `sizes` has every type that the areas name. Throws Error(usage) naming the area and the id where ids are given twice,
// or where the description speaks of rows, tables or modules that there are not.
std::vector<PlannedModule> make_array(const ArrayDescription& description, const TypeSizes& sizes);

}  // namespace heatrow
