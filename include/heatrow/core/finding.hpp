// Stage 4: what is wrong, where, how sure.
#pragma once

#include "heatrow/core/cell.hpp"
#include "heatrow/core/conditions.hpp"
#include "heatrow/core/flags.hpp"
#include "heatrow/core/time.hpp"
#include "heatrow/core/uncertain.hpp"

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow {

// Kinds of thermal pattern; what tells them apart stands in docs/patterns.md.
enum class Pattern {
    open_circuit_module,
    short_circuited_module,
    substring_open_circuit,
    substring_short_circuited,
    substring_bypassed_by_cell,
    substring_bypassed,
    hot_cell,
    multiple_hot_cells,
    part_of_cell,
    hot_point,
    cell_interconnect,
    junction_box,
    potential_induced_degradation,
    patchwork_cause_open,
    shading,
    soiling,
    broken_glass_suspected,
    external_cause_possible,
    string_open_circuit,
    string_off,
    string_warm_cause_open,
    module_missing,
    module_replaced,
    module_cooler,
};
inline constexpr int kPatternCount = static_cast<int>(Pattern::module_cooler) + 1;

// The stable name used in files and profiles, e.g. "hot_cell".
std::string_view to_string(Pattern pattern);
std::optional<Pattern> parse_pattern(std::string_view name);

// Classes of abnormality of IEC TS 62446-3.
enum class AbnormalityClass { none = 1, thermal = 2, safety_relevant = 3 };

// Thermographer's decision on a finding.
enum class Verdict { open, confirmed, rejected };
std::string_view to_string(Verdict verdict);

struct Finding {
    std::string id;               // from module or string, pattern and cells: stable over re-runs
    int module = -1;              // layout index; -1 for a finding on a string
    int string = -1;              // layout index of the string; -1 where the module is in none
    std::vector<int> candidates;  // other modules it may be, where the placement is ambiguous
    Pattern pattern = Pattern::hot_cell;
    double pattern_probability = kNaN;
    std::optional<Pattern> pattern_second;
    std::vector<int> substrings;  // from 1, as in the module type
    std::vector<CellIndex> cells;
    AbnormalityClass abnormality = AbnormalityClass::none;
    double class_probability = kNaN;      // that `abnormality` is the class, given the uncertainty
    Uncertain<KelvinDelta> delta_t;       // as measured
    Uncertain<KelvinDelta> delta_t_1000;  // scaled to 1000 W/m2; unknown where scaling has no meaning
    double exponent = kNaN;               // of the scaling
    Celsius t_hot{kNaN};
    Celsius t_reference{kNaN};
    std::string reference;       // what it was compared with, in words
    UtcTime time{};              // of the first frame used
    FrameConditions conditions;  // mean over the frames used
    std::vector<int> frames;     // frames used
    Flags flags;
    double loss_w_low = kNaN;  // loss of power now, range; NaN = not estimated
    double loss_w_high = kNaN;
    double loss_rated_w_low = kNaN;  // the same at 1000 W/m2 and 25 degC
    double loss_rated_w_high = kNaN;
    double loss_kwh_year_low = kNaN;  // energy a year at the site's yield; NaN where that is not stated
    double loss_kwh_year_high = kNaN;
    Verdict verdict = Verdict::open;
    std::string evidence;  // one sentence with numbers
};

}  // namespace heatrow
