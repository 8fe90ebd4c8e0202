// What scoring knows of each module, filled step by step: template, levels, references.
#pragma once

#include "heatrow/score/score.hpp"

#include <optional>
#include <string_view>
#include <vector>

namespace heatrow {

// What a module is compared with.
struct ReferenceLevel {
    double level_c = kNaN;
    double u_k = 0.0;  // standard uncertainty
    int members = 0;   // like modules that made it
    int in_table = 0;  // of those looked at, in the module's own table
    double farthest_m = 0.0;
};

struct ModuleState {
    const ModuleInput* input = nullptr;
    const ModuleType* type = nullptr;
    std::string_view unassessed;  // of namespace reason; empty where the module takes part
    bool has_levels = false;      // temperatures of enough cells
    bool serves = false;     // takes part in templates and references: has levels, is named, lit and nowhere shaded
    int group = -1;          // of like modules with one template
    int slope_profile = -1;  // index in SurveyState::slope_profiles; -1 = none

    // Per cell, row by row, K: temperature less template less `level_c`; not known in predicted shade.
    std::vector<double> difference_k;
    std::vector<double> in_shade_k;    // the same of the cells in predicted shade alone; empty where there is none
    double level_c = kNaN;             // median over the cells, template removed
    std::vector<double> substring_k;   // medians of difference_k, by substring from 1 (index 0 = substring 1)
    std::vector<int> warm_substrings;  // from 1
    double base_k = 0.0;               // median of difference_k over the cells of the other substrings
    int base_cells = 0;
    double place_k = 0.0;    // what like modules at its place on the table show, above those elsewhere
    double place_u_k = 0.0;  // standard uncertainty of that
    std::optional<ReferenceLevel> reference;
    bool in_warm_string = false;

    // Findings are made on it, assessed or not: what is seen of an ambiguous, partly shaded, partly seen or smeared
    // module counts, what is not seen does not make it healthy.
    [[nodiscard]] bool is_judged() const {
        return unassessed.empty() || unassessed == reason::kAmbiguous || unassessed == reason::kShaded ||
               unassessed == reason::kSeenInPart || unassessed == reason::kSmeared;
    }
    [[nodiscard]] double base_c() const { return level_c + base_k; }
    [[nodiscard]] bool is_warm(int substring) const;
    [[nodiscard]] CellLight light_on(int cell) const;
    // A cell of it is or may be in the shade.
    [[nodiscard]] bool is_touched_by_shade(int substring) const;
    // No frame shows all of it.
    [[nodiscard]] bool is_seen_in_part() const;
    // Cells with a temperature.
    [[nodiscard]] int cells_seen() const;
    // Enough of its cells are in some frame to tell whether it is warm as a whole.
    [[nodiscard]] bool is_well_seen(int substring) const;
};

// Healthy pattern by cell position and the spreads seen, over like modules.
struct TemplateGroup {
    int first_module = -1;  // layout index, stands for the others
    int modules = 0;
    int top_points = 0;              // up the slope; 1 right, 2 down, 3 left as seen from the front
    std::vector<double> template_k;  // per cell; zero where too few modules
    double template_u_k = 0.0;
    bool has_template = false;   // enough modules: rims and boxes are taken out
    double cell_spread_k = 0.0;  // standard deviations between healthy cells and substrings of one module
    double substring_spread_k = 0.0;
    double substring_seen_k = 0.0;  // the latter as the survey shows it, be it smaller than the profile's
};

struct StringState {
    std::string_view unassessed;  // of namespace reason
    std::vector<int> seen;        // its modules that take part, those without load included, in wiring order
    double level_c = kNaN;        // median over them
    std::optional<ReferenceLevel> reference;  // modules of other strings
    double warm_share = 0.0;  // of the seen ones, more than half of the string's rise above the reference
    bool is_warm = false;

    [[nodiscard]] double rise_k() const { return reference ? level_c - reference->level_c : kNaN; }
};

struct SurveyState {
    std::vector<ModuleState> modules;  // one per module of the layout
    std::vector<StringState> strings;  // one per string of the layout
    std::vector<TemplateGroup> groups;
    std::vector<std::vector<double>> slope_profiles;  // per cell, K, above the template: of modules side by side
    double module_spread_k = 0.0;
    double string_spread_k = 0.0;
    double string_seen_k = 0.0;  // as the survey shows it, be it smaller than the profile's; that where it shows none
    [[nodiscard]] const TemplateGroup& group_of(const ModuleState& module) const {
        return groups[static_cast<std::size_t>(module.group)];
    }
};

// Checks the order of the input and says of each module whether it takes part.
SurveyState begin_state(const ScoreInput& input);

// Groups, templates, cell and substring spreads; then the levels of every module.
void remove_templates(const ScoreInput& input, SurveyState& state);

// What modules side by side show alike along their slope. Part of remove_templates.
void set_slope_profiles(const ScoreInput& input, SurveyState& state);

// Substrings warmer than their siblings, and the level of the rest.
void find_warm_substrings(const ScoreInput& input, SurveyState& state);

// Strings that are warm as a whole; then every module's reference, from like neighbours that are not in such a string.
void find_references(const ScoreInput& input, SurveyState& state);

// What like modules show by their tier and at the ends of rows, where enough of them tell. Part of find_references.
void set_table_places(const ScoreInput& input, SurveyState& state);

// Standard deviation with which a healthy string differs from its reference.
double string_u_k(const SurveyState& state, const StringState& string);
// The same for a module. Precondition: it has a reference.
double module_u_k(const SurveyState& state, const ModuleState& module);
// Standard deviation with which a healthy substring differs from its siblings' level.
double substring_u_k(const SurveyState& state, const ModuleState& module);
// What is stated of a string's, a module's and a substring's difference: how well it is measured and its reference
// known. How healthy ones differ is left out: what the part itself would read without its fault is not what is stated
// (docs/conventions.md).
double stated_string_u_k(const SurveyState& state, const StringState& string);
double stated_module_u_k(const ModuleState& module);
double stated_substring_u_k(const SurveyState& state, const ModuleState& module);
// Standard uncertainty of a cell's difference to the healthy cells of its module: views, template, their median.
double measured_cell_u_k(const SurveyState& state, const ModuleState& module, int cell);
// Standard deviation with which a healthy cell's measured difference scatters: that, and how healthy cells differ.
double cell_u_k(const SurveyState& state, const ModuleState& module, int cell);

}  // namespace heatrow
