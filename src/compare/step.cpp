#include "step.hpp"

#include "heatrow/core/median.hpp"
#include "heatrow/core/normal.hpp"
#include "heatrow/score/wider_name.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

std::string_view identity_reason(Identity identity) {
    return identity == Identity::moved ? "moved" : "other_type";
}

template <class T>
double mean_of(const std::vector<double>& values, const std::vector<T>& which, auto index_of) {
    double sum = 0.0;
    for (const T& one : which) {
        sum += values[at(index_of(one))];
    }
    return sum / static_cast<double>(which.size());
}

double measured_k(const ModuleValues& values, const SitePart& part, const ModuleType& type, PartValue& value) {
    const auto cell_number = [&type](CellIndex cell) { return type.cell_number(cell); };
    switch (part.level) {
        case PartLevel::cell:
            value.own_u_k = mean_of(values.cell_u, part.cells, cell_number);  // neighbours err alike
            return mean_of(values.cells, part.cells, cell_number);
        case PartLevel::substring:
            return mean_of(values.substrings, part.substrings, [](int substring) { return substring - 1; });
        default:
            return values.module;
    }
}

void bring(
    PartValue& value, const Scaling& scaling, double measured, const Exponent& exponent, const SiteSurveys& all) {
    const double factor = scaling.factor(exponent.value, all.profile);
    value.delta_t_1000 = KelvinDelta(measured * std::pow(1000.0 / scaling.irradiance_w_m2, exponent.value));
    value.normalised_k = measured * factor;
    value.own_u_k *= factor;
    value.relative_u = std::hypot(scaling.relative_u(exponent.value, all.profile), all.profile.camera_gain_u.value);
    value.loss_ratio_weight = scaling.loss_ratio_weight(all.profile);
    value.irradiance_w_m2 = scaling.irradiance_w_m2;
}

// The part's type has the cells that the part names: layouts of one id may differ between surveys.
bool fits(const SitePart& part, const ModuleType& type) {
    return std::all_of(part.cells.begin(),
                       part.cells.end(),
                       [&type](CellIndex cell) { return cell.row < type.rows && cell.column < type.columns; }) &&
           std::all_of(part.substrings.begin(), part.substrings.end(), [&type](int substring) {
               return substring <= type.substring_count();
           });
}

}  // namespace

Pattern usual_pattern(PartLevel level) {
    switch (level) {
        case PartLevel::cell:
            return Pattern::hot_cell;
        case PartLevel::substring:
            return Pattern::substring_bypassed;
        case PartLevel::module:
            return Pattern::open_circuit_module;
        case PartLevel::string:
            break;
    }
    return Pattern::string_warm_cause_open;
}

Exponent exponent_of(const SurveyRecord& survey, Pattern pattern) {
    const auto& rules = survey.run.rules;
    for (const Pattern name : {pattern, wider_name(pattern)}) {
        const auto rule =
            std::find_if(rules.begin(), rules.end(), [name](const RuleLine& line) { return line.pattern == name; });
        if (rule != rules.end()) {
            return {rule->exponent, rule->exponent_low, rule->exponent_high};
        }
    }
    return {};
}

PartValue value_of(const SiteSurveys& all, const SitePart& part, std::size_t survey, const Exponent& exponent) {
    PartValue value;
    const auto unknown = [&value](std::string_view reason) {
        value.reason = reason;
        return value;
    };
    if (part.level == PartLevel::string) {
        const int index = all.site.strings[at(part.string)].index[survey];
        if (index < 0) {
            return unknown("not_in_layout");
        }
        const StringValues& values = all.values[survey].strings[at(index)];
        if (std::isnan(values.delta_t_1000_k) || std::isnan(values.scaling.wind_m_s)) {
            return unknown("no_reference");
        }
        bring(value, values.scaling, values.delta_t_1000_k * values.scaling.irradiance_w_m2 / 1000.0, exponent, all);
        return value;
    }
    const SiteModule& module = all.site.modules[at(part.module)];
    const int index = module.index[survey];
    if (index < 0) {
        return unknown("not_in_layout");
    }
    if (module.identity[survey] != Identity::same) {
        return unknown(identity_reason(module.identity[survey]));
    }
    const ModuleValues& values = all.values[survey].modules[at(index)];
    if (!values.comparable) {
        return unknown(values.reason);
    }
    const Layout& layout = all.surveys[survey]->layout;
    const ModuleType& type = layout.type_of(layout.modules[at(index)]);
    if (!fits(part, type)) {
        return unknown("other_type");
    }
    const double measured = measured_k(values, part, type, value);
    if (std::isnan(measured)) {
        return unknown("no_data");
    }
    bring(value, values.scaling, measured, exponent, all);
    return value;
}

double change_u(const PartValue& from,
                const PartValue& to,
                PartLevel level,
                const Exponent& exponent,
                double spread_k,
                const ComparisonProfile& profile) {
    const double mean_k = 0.5 * (from.normalised_k + to.normalised_k);
    // A cell's stated uncertainty holds its noise already.
    const double floor_k =
        level == PartLevel::cell ? std::max(spread_k, std::hypot(from.own_u_k, to.own_u_k)) : spread_k;
    const double by_loss = (to.loss_ratio_weight - from.loss_ratio_weight) * profile.heat_loss_ratio_u.value * mean_k;
    const double by_exponent =
        std::log(to.irradiance_w_m2 / from.irradiance_w_m2) * (exponent.high - exponent.low) / std::sqrt(12.0) * mean_k;
    return combine_independent(
        floor_k, from.relative_u * from.normalised_k, to.relative_u * to.normalised_k, by_loss, by_exponent);
}

std::array<double, kPartLevels> healthy_spreads(const SiteSurveys& all,
                                                std::size_t from,
                                                std::size_t to,
                                                const std::vector<bool>& has_finding) {
    std::array<std::vector<double>, kPartLevels> changes;
    std::array<std::size_t, kPartLevels> objects{};
    const auto normalised = [&all](const Scaling& scaling, double measured) {
        return measured * scaling.factor(1.0, all.profile);
    };
    for (std::size_t m = 0; m < all.site.modules.size(); ++m) {
        const SiteModule& module = all.site.modules[m];
        if (has_finding[m] || module.index[from] < 0 || module.index[to] < 0 ||
            module.identity[from] != Identity::same || module.identity[to] != Identity::same) {
            continue;
        }
        const ModuleValues& a = all.values[from].modules[at(module.index[from])];
        const ModuleValues& b = all.values[to].modules[at(module.index[to])];
        if (!a.comparable || !b.comparable) {
            continue;
        }
        const auto add = [&](PartLevel level, double first, double second) {
            changes[at(static_cast<int>(level))].push_back(normalised(b.scaling, second) -
                                                           normalised(a.scaling, first));
        };
        add(PartLevel::module, a.module, b.module);
        for (std::size_t s = 0; s < std::min(a.substrings.size(), b.substrings.size()); ++s) {
            add(PartLevel::substring, a.substrings[s], b.substrings[s]);
        }
        for (std::size_t c = 0; c < std::min(a.cells.size(), b.cells.size()); ++c) {
            add(PartLevel::cell, a.cells[c], b.cells[c]);
        }
        for (const PartLevel level : {PartLevel::cell, PartLevel::substring, PartLevel::module}) {
            ++objects[at(static_cast<int>(level))];
        }
    }
    for (const SiteString& string : all.site.strings) {
        if (string.index[from] >= 0 && string.index[to] >= 0) {
            const StringValues& a = all.values[from].strings[at(string.index[from])];
            const StringValues& b = all.values[to].strings[at(string.index[to])];
            changes[at(static_cast<int>(PartLevel::string))].push_back(b.delta_t_1000_k - a.delta_t_1000_k);
            ++objects[at(static_cast<int>(PartLevel::string))];
        }
    }
    const ComparisonProfile& p = all.profile;
    const std::array<double, kPartLevels> least{
        p.least_cell_u_k.value, p.least_substring_u_k.value, p.least_module_u_k.value, p.least_string_u_k.value};
    const std::array<double, kPartLevels> assumed{p.assumed_cell_u_k.value,
                                                  p.assumed_substring_u_k.value,
                                                  p.assumed_module_u_k.value,
                                                  p.assumed_string_u_k.value};
    std::array<double, kPartLevels> spreads{};
    for (std::size_t level = 0; level < spreads.size(); ++level) {
        const double seen = robust_sigma(changes[level]);
        const bool enough = static_cast<double>(objects[level]) >= p.spread_from.value && std::isfinite(seen);
        spreads[level] = enough ? std::max(seen, least[level]) : assumed[level];
    }
    return spreads;
}

double two_sided_p(double sigmas) {
    return 2.0 * normal_cdf(-std::abs(sigmas));
}

}  // namespace heatrow
