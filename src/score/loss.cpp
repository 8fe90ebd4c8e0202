#include "heatrow/score/loss.hpp"

#include "heatrow/score/one_diode.hpp"
#include "heatrow/score/scaling.hpp"
#include "heatrow/score/string_power.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace heatrow {
namespace {

constexpr int kCurrentSteps = 400;
constexpr int kLightSteps = 20;  // of a cell's photocurrent, from none to all of it
constexpr int kShuntSteps = 5;   // from the lowest shunt to the highest, by equal ratios

// Curves of one module's parts under one set of circumstances.
class Circuit {
  public:
    Circuit(const ModuleType& type, const Profile& profile, const LossCircumstances& circumstances)
        : type_(type), bypass_v_(profile.bypass_diode_v.value) {
        int in_series = 0;
        for (int s = 1; s <= type.substring_count(); ++s) {
            branches_.push_back(type.branches_of_substring(s));
            in_series += static_cast<int>(branches_.back().front().size());
        }
        const auto in_parallel = static_cast<double>(branches_.front().size());
        const double open_circuit = type.open_circuit_voltage_v > 0.0
                                        ? type.open_circuit_voltage_v
                                        : profile.open_circuit_over_rated.value * type.rated_voltage_v;
        const auto rated = diode_of(
            {type.short_circuit_current_a, open_circuit, type.rated_current_a, type.rated_voltage_v});
        is_known_ = rated.has_value();
        if (!is_known_) {
            return;
        }
        const OneDiode module = diode_at(*rated,
                                         circumstances.irradiance,
                                         circumstances.cell,
                                         {profile.current_per_k.value, profile.voltage_per_k.value});
        cell_.light_a = module.light_a / in_parallel;
        cell_.saturation_a = module.saturation_a / in_parallel;
        cell_.slope_v = module.slope_v / in_series;
        cell_.series_ohm = module.series_ohm * in_parallel / in_series;
        for (int i = 0; i <= kCurrentSteps; ++i) {
            currents_.push_back(module.light_a * i / kCurrentSteps);
            healthy_v_.push_back(cell_.voltage(std::min(currents_.back(), kNearlyAll * cell_.light_a)));
        }
    }

    // Whether the type's ratings lie on a curve at all.
    [[nodiscard]] bool is_known() const { return is_known_; }
    [[nodiscard]] const OneDiode& cell() const { return cell_; }
    [[nodiscard]] double bypass_v() const { return bypass_v_; }

    // A branch of healthy cells, `faulty` in place of one of them.
    [[nodiscard]] IvCurve branch(int cells, const OneDiode* faulty) const {
        IvCurve curve;
        curve.current_a = currents_;
        for (std::size_t i = 0; i < currents_.size(); ++i) {
            // Beyond a healthy cell's light the branch carries no more: its voltage falls as steeply as the diode lets it.
            const double beyond = std::max(0.0, currents_[i] - kNearlyAll * cell_.light_a);
            double voltage = (cells - (faulty != nullptr ? 1 : 0)) * healthy_v_[i] - kSteep_ohm * beyond;
            if (faulty != nullptr) {
                voltage += faulty->voltage(currents_[i]);
            }
            curve.voltage_v.push_back(voltage);
        }
        return curve;
    }

    [[nodiscard]] IvCurve substring(int number) const {
        std::vector<IvCurve> curves;
        for (const auto& cells : branches_[index(number)]) {
            curves.push_back(branch(static_cast<int>(cells.size()), nullptr));
        }
        return in_parallel(curves, bypass_v_, currents_);
    }
    // Every branch of it open, or one.
    [[nodiscard]] IvCurve open_substring(int number, bool all_branches) const {
        std::vector<IvCurve> curves;
        const auto& branches = branches_[index(number)];
        for (std::size_t b = 1; b < branches.size() && !all_branches; ++b) {
            curves.push_back(branch(static_cast<int>(branches[b].size()), nullptr));
        }
        return in_parallel(curves, bypass_v_, currents_);
    }
    [[nodiscard]] IvCurve shorted_substring() const { return in_parallel({}, 0.0, currents_); }

    // The whole module, `replaced` in place of its substrings of these numbers.
    [[nodiscard]] IvCurve module(const std::vector<std::pair<int, IvCurve>>& replaced) const {
        std::vector<IvCurve> curves;
        for (int s = 1; s <= static_cast<int>(branches_.size()); ++s) {
            const auto found = std::find_if(
                replaced.begin(), replaced.end(), [s](const auto& entry) { return entry.first == s; });
            curves.push_back(found != replaced.end() ? found->second : substring(s));
        }
        return in_series(curves);
    }

    [[nodiscard]] const std::vector<std::vector<int>>& branches(int number) const { return branches_[index(number)]; }

  private:
    // A healthy cell's light that its curve is followed to; the rest is a straight, steep fall.
    static constexpr double kNearlyAll = 0.9999;
    static constexpr double kSteep_ohm = 1e3;

    static std::size_t index(int number) { return static_cast<std::size_t>(number - 1); }

    const ModuleType& type_;
    double bypass_v_;
    bool is_known_ = false;
    std::vector<std::vector<std::vector<int>>> branches_;  // of each substring: the cells of each
    OneDiode cell_;
    std::vector<double> currents_;   // of the module
    std::vector<double> healthy_v_;  // of one healthy cell at these currents
};

void widen(LossRange& range, double loss_w) {
    range.low_w = std::isfinite(range.low_w) ? std::min(range.low_w, loss_w) : loss_w;
    range.high_w = std::isfinite(range.high_w) ? std::max(range.high_w, loss_w) : loss_w;
}

// One operating point of a string with a hot cell.
struct HeatedPoint {
    double heat_w = 0.0;  // of the cell beyond a healthy one's
    double loss_w = 0.0;
    bool is_bypassed = false;
};

// The losses between two neighbouring points, as far as their heat lies within least_w to most_w.
void widen_between(LossRange& range, const HeatedPoint& a, const HeatedPoint& b, double least_w, double most_w) {
    const double from = std::max(least_w, std::min(a.heat_w, b.heat_w));
    const double to = std::min(most_w, std::max(a.heat_w, b.heat_w));
    if (a.is_bypassed || b.is_bypassed || from > to) {
        return;
    }
    for (const double heat_w : {from, to}) {
        const double share = b.heat_w == a.heat_w ? 0.0 : (heat_w - a.heat_w) / (b.heat_w - a.heat_w);
        widen(range, a.loss_w + share * (b.loss_w - a.loss_w));
    }
}

LossRange not_negative(LossRange range) {
    return {std::max(0.0, range.low_w), std::max(0.0, range.high_w)};
}

// Share of the rise by lost export that is surely there.
double sure_share(const ModuleType& type,
                  const Profile& profile,
                  const LossCircumstances& circumstances,
                  const Uncertain<KelvinDelta>& rise) {
    const double efficiency = type.efficiency();
    const double full_rise = efficiency * circumstances.irradiance.value() / circumstances.heat_loss_w_m2k;
    if (!(full_rise > 0.0) || !(efficiency < profile.absorbed_fraction.value)) {
        return 0.0;
    }
    return std::clamp((rise.value.value() - rise.u95()) / full_rise, 0.0, 1.0);
}

}  // namespace

double heat_loss_w_m2k(const ModuleType& type, WattsPerSquareMetre irradiance, KelvinDelta over_air, double absorbed) {
    if (!(over_air.value() > 0.0) || !(irradiance.value() > 0.0) || !(type.efficiency() < absorbed)) {
        return kNaN;
    }
    return (absorbed - type.efficiency()) * irradiance.value() / over_air.value();
}

double healthy_module_w(const ModuleType& type, const Profile& profile, const LossCircumstances& circumstances) {
    const Circuit circuit(type, profile, circumstances);
    if (!circuit.is_known()) {
        return kNaN;
    }
    const IvCurve module = circuit.module({});
    const PowerPoint best = maximum_power(module);
    if (circumstances.load < kFullLoad) {
        const double current = circumstances.load * best.current_a;
        return current * module.voltage(current);
    }
    return best.power_w;
}

LossRange loss_of_substrings(const ModuleType& type,
                             const Profile& profile,
                             const LossCircumstances& circumstances,
                             const std::vector<int>& substrings,
                             Pattern pattern,
                             const Uncertain<KelvinDelta>& rise) {
    const Circuit circuit(type, profile, circumstances);
    if (!circuit.is_known() || substrings.empty()) {
        return {};
    }
    const bool is_short = pattern == Pattern::substring_short_circuited || pattern == Pattern::short_circuited_module;
    const bool is_short_or_open = !is_short && pattern != Pattern::substring_open_circuit;
    const IvCurve healthy = circuit.module({});
    LossRange range;
    const auto add = [&](auto&& curve_of) {
        std::vector<std::pair<int, IvCurve>> replaced;
        for (const int substring : substrings) {
            replaced.emplace_back(substring, curve_of(substring));
        }
        const IvCurve faulty = circuit.module(replaced);
        for (const auto& point : string_points(healthy, faulty, circumstances.modules_in_string, circumstances.load)) {
            widen(range, point.loss_w);
        }
    };
    if (is_short || is_short_or_open) {
        add([&](int) { return circuit.shorted_substring(); });
    }
    if (!is_short) {
        add([&](int substring) { return circuit.open_substring(substring, true); });
    }
    if (pattern == Pattern::substring_open_circuit) {
        add([&](int substring) { return circuit.open_substring(substring, false); });
    }
    range = not_negative(range);
    range.low_w *= sure_share(type, profile, circumstances, rise);
    return range;
}

LossRange loss_of_cell(const ModuleType& type,
                       const Profile& profile,
                       const LossCircumstances& circumstances,
                       CellIndex cell,
                       const Uncertain<KelvinDelta>& rise) {
    const Circuit circuit(type, profile, circumstances);
    if (!circuit.is_known()) {
        return {};
    }
    const int number = type.cell_number(cell);
    const int substring = type.substring_of_cell[static_cast<std::size_t>(number)];
    const auto& branches = circuit.branches(substring);
    const auto own = std::find_if(branches.begin(), branches.end(), [number](const auto& cells) {
        return std::find(cells.begin(), cells.end(), number) != cells.end();
    });
    const double area_m2 = type.cell_area_width.value() / type.columns * type.cell_area_height.value() / type.rows;
    const double watts_per_k = circumstances.heat_loss_w_m2k * area_m2;
    // Heat beyond a healthy cell's that the thermogram leaves open: sideways flow makes a cell look cooler than its heat.
    const double least_w = std::max(0.0, (rise.value.value() - rise.u95()) * watts_per_k);
    const double most_w = (rise.value.value() + rise.u95()) * watts_per_k * profile.cell_heat_spread.value;
    const bool heat_is_known = std::isfinite(watts_per_k);

    const IvCurve healthy = circuit.module({});
    const double healthy_cell_a = maximum_power(healthy).current_a / static_cast<double>(branches.size());
    const double healthy_cell_w = healthy_cell_a * circuit.cell().voltage(healthy_cell_a);
    std::vector<IvCurve> sound;
    for (auto branch = branches.begin(); branch != branches.end(); ++branch) {
        if (branch != own) {
            sound.push_back(circuit.branch(static_cast<int>(branch->size()), nullptr));
        }
    }
    LossRange range;
    for (int shunt = 0; shunt < kShuntSteps; ++shunt) {
        const double low = profile.hot_cell_shunt_low_ohm_m2.value;
        const double ratio = profile.hot_cell_shunt_high_ohm_m2.value / low;
        const double shunt_ohm = low * std::pow(ratio, shunt / (kShuntSteps - 1.0)) / area_m2;
        std::vector<HeatedPoint> before;
        for (int step = 0; step <= kLightSteps && heat_is_known; ++step) {
            // Finest near full light, where the heat changes most.
            const double dark = static_cast<double>(step) / kLightSteps;
            OneDiode faulty = circuit.cell();
            faulty.light_a *= 1.0 - dark * dark;
            faulty.shunt_ohm = shunt_ohm;
            auto curves = sound;
            curves.push_back(circuit.branch(static_cast<int>(own->size()), &faulty));
            const IvCurve part = in_parallel(curves, circuit.bypass_v(), healthy.current_a);
            const IvCurve module = circuit.module({{substring, part}});
            std::vector<HeatedPoint> points;
            for (const auto& point :
                 string_points(healthy, module, circumstances.modules_in_string, circumstances.load)) {
                const double part_v = part.voltage(point.current_a);
                const double cell_a = curves.back().current(part_v);
                points.push_back({healthy_cell_w - cell_a * faulty.voltage(cell_a),
                                  point.loss_w,
                                  part_v <= -circuit.bypass_v()});
            }
            for (std::size_t i = 0; i < before.size(); ++i) {
                widen_between(range, before[i], points[i], least_w, most_w);
            }
            before = std::move(points);
        }
    }
    const double substring_w = maximum_power(circuit.substring(substring)).power_w;
    if (!heat_is_known) {
        return {0.0, substring_w};
    }
    widen(range, std::min(least_w, substring_w));
    widen(range, std::min(most_w, substring_w));
    return not_negative(range);
}

}  // namespace heatrow
