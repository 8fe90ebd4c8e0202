// String currents and voltages, from a clamp meter's notes or a logger (docs/formats/electrical.md).
#pragma once

#include "heatrow/core/time.hpp"
#include "heatrow/io/text_table.hpp"
#include "heatrow/io/written_time.hpp"
#include "heatrow/sun/log_finding.hpp"
#include "heatrow/sun/string_load.hpp"

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

struct ElectricalLogOptions {
    // "time", "date", "string", "current", "voltage", "quality" -> column as the header says (long form).
    std::map<std::string, std::string> columns;
    std::map<std::string, std::string> units;    // "current", "voltage" -> unit, where the header is silent
    std::map<std::string, std::string> strings;  // tag in the log -> id of a string of the layout
    std::vector<std::string> known_strings;      // ids of the layout; empty: any name is taken
    std::vector<std::string> missing;
    std::vector<std::string> good_quality{"good", "GOOD", "Good", "ok", "OK", "192", "0"};
    std::optional<DateOrder> date_order;
};

struct ElectricalLog {
    StringReadings strings;
    std::string name;
    TextDialect dialect;
    bool long_form = false;  // one row per string and time; else one column per string
    int rows_read = 0;
    std::vector<LogFinding> findings;
};

// Long form where there is a column `string` (own name or mapped), else wide. Left out and counted: readings of bad
// quality (bad_quality), of strings that the layout does not have (unknown_string), and what read_conditions_log leaves
// out. Errors as there; also where no column or row names a known string.
ElectricalLog read_electrical_log(const std::filesystem::path& path,
                                  const Clock& clock,
                                  const ElectricalLogOptions& options = {});
ElectricalLog parse_electrical_log(std::string_view bytes,
                                   std::string_view name,
                                   const Clock& clock,
                                   const ElectricalLogOptions& options = {});

}  // namespace heatrow
