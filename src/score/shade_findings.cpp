// What predicted shade explains: substrings that it bypasses, cells that it drives into reverse.
#include "evidence_text.hpp"
#include "finding_parts.hpp"
#include "findings.hpp"
#include "heatrow/core/normal.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

// Only the uncertain edge of a shadow lies on these cells: as likely as not it does.
constexpr double kOnlyAnEdge = 0.5;

std::vector<int> cells_with(const ModuleState& module, CellLight light) {
    std::vector<int> cells;
    for (int cell = 0; cell < module.type->cell_count(); ++cell) {
        if (module.light_on(cell) == light) {
            cells.push_back(cell);
        }
    }
    return cells;
}

// Shaded cells that are hotter than the module's healthy ones: driven into reverse by their lit neighbours. Hottest
// first.
std::vector<HotCell> hot_in_shade(const ScoreInput& input, const SurveyState& state, const ModuleState& module) {
    std::vector<HotCell> hot;
    for (int cell = 0; cell < module.type->cell_count() && !module.in_shade_k.empty(); ++cell) {
        const double rise = module.in_shade_k[static_cast<std::size_t>(cell)] - module.base_k;
        const double u = cell_u_k(state, module, cell);
        if (rise >= std::max(input.profile.candidate_cell_k.value, input.profile.candidate_sigma.value * u)) {
            hot.push_back({cell, rise, u, measured_cell_u_k(state, module, cell)});
        }
    }
    std::sort(hot.begin(), hot.end(), [](const HotCell& a, const HotCell& b) {
        return a.rise_k != b.rise_k ? a.rise_k > b.rise_k : a.cell < b.cell;
    });
    return hot;
}

// "30 cells in the predicted shadow of table R1-T1 and 6 at its edge (sun 28 deg high in 178 deg)"
std::string shade_words(const ModuleState& module) {
    const PredictedShade& shade = *module.input->shade;
    const auto surely = static_cast<int>(cells_with(module, CellLight::shaded).size());
    const auto maybe = static_cast<int>(cells_with(module, CellLight::edge).size());
    if (shade.thrown_by.empty()) {
        return count_words(surely, "cell") +
               " in one piece that are much cooler than like modules: in shade that the layout does not predict, or "
               "covered";
    }
    std::string words = surely > 0
                            ? count_words(surely, "cell") + " in the predicted shadow of " + shade.thrown_by
                            : count_words(maybe, "cell") + " at the edge of the predicted shadow of " + shade.thrown_by;
    if (surely > 0 && maybe > 0) {
        words += " and " + std::to_string(maybe) + " at its edge";
    }
    return words + " (sun " + number_words(in_degrees(shade.sun_elevation), 0) + " deg high in " +
           number_words(in_degrees(shade.sun_azimuth), 0) + " deg)";
}

std::string substring_list(const std::vector<int>& substrings) {
    std::string words = substrings.size() == 1 ? "substring " : "substrings ";
    for (std::size_t i = 0; i < substrings.size(); ++i) {
        words += (i == 0 ? "" : i + 1 == substrings.size() ? " and " : ", ") + std::to_string(substrings[i]);
    }
    return words;
}

bool holds_full_shade(const ModuleState& module, const std::vector<int>& substrings) {
    const auto shaded = cells_with(module, CellLight::shaded);
    return std::any_of(shaded.begin(), shaded.end(), [&](int cell) {
        const int substring = module.type->substring_of_cell[static_cast<std::size_t>(cell)];
        return std::find(substrings.begin(), substrings.end(), substring) != substrings.end();
    });
}

}  // namespace

void add_shade_finding(const ScoreInput& input,
                       const SurveyState& state,
                       const ModuleState& module,
                       const ShadeEffect& effect,
                       std::vector<Finding>& findings) {
    const auto hot = hot_in_shade(input, state, module);
    if (effect.substrings.empty() && hot.empty()) {
        return;
    }
    Finding finding = begin_finding(input, module, Pattern::shading);
    const std::string frames = "; " + count_words(static_cast<int>(finding.frames.size()), "frame") + ".";
    std::string words = "It has " + shade_words(module);
    if (!effect.substrings.empty()) {
        finding.substrings = effect.substrings;
        finding.delta_t = with_relative_terms(input, effect.rise_k, effect.u_k);
        finding.t_reference = Celsius(effect.reference_c);
        finding.t_hot = finding.t_reference + finding.delta_t.value;
        finding.reference = effect.reference;
        finding.pattern_second = effect.whole_module ? Pattern::open_circuit_module : Pattern::substring_bypassed;
        set_shading_outcome(normal_cdf((effect.rise_k - effect.candidate_k) / effect.u_k) *
                                (holds_full_shade(module, effect.substrings) ? 1.0 : kOnlyAnEdge),
                            finding);
        words += "; what is lit of " + substring_list(effect.substrings) + " is " + difference_words(finding.delta_t) +
                 " above the " + finding.reference +
                 ", as where diodes bypass a substring for its shaded cells; a fault of its own would look the same";
    }
    for (const HotCell& cell : hot) {
        if (effect.substrings.empty()) {  // else the substrings are its place
            finding.cells.push_back(module.type->cell_at(cell.cell));
        }
    }
    std::sort(finding.cells.begin(), finding.cells.end(), [&](const CellIndex& a, const CellIndex& b) {
        return module.type->cell_number(a) < module.type->cell_number(b);
    });
    if (!hot.empty()) {
        const auto above = with_cell_terms(input, module, hot.front().rise_k, hot.front().measured_u_k);
        if (effect.substrings.empty()) {
            finding.delta_t = above;
            finding.t_reference = Celsius(module.base_c());
            finding.t_hot = finding.t_reference + above.value;
            finding.reference = "median of " + count_words(module.base_cells, "lit cell") + " of the same module";
            finding.pattern_second = hot.size() == 1 ? Pattern::hot_cell : Pattern::multiple_hot_cells;
            const double warm =
                normal_cdf((hot.front().rise_k - input.profile.candidate_cell_k.value) / hot.front().u_k);
            const bool surely = module.light_on(hot.front().cell) == CellLight::shaded;
            set_shading_outcome(warm * (surely ? 1.0 : kOnlyAnEdge), finding);
        }
        words += "; shaded cell " + to_string(module.type->cell_at(hot.front().cell)) + " is " +
                 difference_words(above) +
                 " above the lit ones: its lit neighbours drive it into reverse while the shade lasts";
    }
    finding.evidence = words + frames;
    findings.push_back(std::move(finding));
}

std::string note_on_shade(const SurveyState& state, bool is_seen) {
    int modules = 0;
    int mostly = 0;
    int cells = 0;
    for (const ModuleState& module : state.modules) {
        if (module.input == nullptr || !module.input->shade || module.input->shade->thrown_by.empty() != is_seen) {
            continue;
        }
        ++modules;
        mostly += module.unassessed == reason::kShaded ? 1 : 0;
        cells += module.type->cell_count() - static_cast<int>(cells_with(module, CellLight::lit).size());
    }
    if (modules == 0) {
        return {};
    }
    return count_words(modules, "module") +
           (is_seen ? (modules == 1 ? " is" : " are") +
                          std::string(" much cooler in one part than like modules, as in shade that the layout does "
                                      "not predict, or under snow: ")
                    : std::string(" lay partly in the predicted shade of other tables or obstacles: ")) +
           count_words(cells, "cell") +
           (is_seen ? " in that part or at its edge, and " : " in it or at its edge, and ") +
           count_words(mostly, "module") + " without a substring or half of the cells in full light, are not assessed.";
}

}  // namespace heatrow
