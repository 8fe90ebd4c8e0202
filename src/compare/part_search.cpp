#include "comparer.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

namespace heatrow::detail {
namespace {

// -1 where the type has no such cell: layouts of one id may differ between surveys.
int substring_at(const ModuleType& type, CellIndex cell) {
    return cell.row < type.rows && cell.column < type.columns ? type.substring_of_cell[at(type.cell_number(cell))] : -1;
}

}  // namespace

bool Comparer::is_taken(const SitePart& part, const ModuleType* type) const {
    const auto named = named_on_.find(part.module);
    if (named == named_on_.end()) {
        return false;
    }
    for (const std::size_t i : named->second) {
        const SitePart& known = candidates_[i].part;
        if (overlap(known, part)) {
            return true;
        }
        if (part.level == PartLevel::cell && known.level == PartLevel::cell && known.module == part.module &&
            std::any_of(known.cells.begin(), known.cells.end(), [&](CellIndex cell) {
                const CellIndex other = part.cells.front();
                return (std::abs(cell.row - other.row) <= 1 && std::abs(cell.column - other.column) <= 1) ||
                       substring_at(*type, cell) == substring_at(*type, other);
            })) {
            return true;
        }
    }
    return false;
}

std::vector<SitePart> Comparer::parts_to_search(int module) const {
    std::vector<SitePart> parts;
    const SiteModule& place = result_.site.modules[at(module)];
    const auto survey = std::find_if(place.index.rbegin(), place.index.rend(), [](int i) { return i >= 0; });
    const auto s = static_cast<std::size_t>(std::distance(survey, place.index.rend()) - 1);
    const Layout& layout = surveys_[s]->layout;
    const ModuleType& type = layout.type_of(layout.modules[at(*survey)]);
    const auto add = [&](SitePart part) {
        if (!is_taken(part, &type)) {
            parts.push_back(std::move(part));
        }
    };
    add({.level = PartLevel::module, .module = module, .cells = {}, .substrings = {}});
    for (int i = 1; type.substring_count() > 1 && i <= type.substring_count(); ++i) {
        add({.level = PartLevel::substring, .module = module, .cells = {}, .substrings = {i}});
    }
    for (int i = 0; i < type.cell_count(); ++i) {
        add({.level = PartLevel::cell, .module = module, .cells = {type.cell_at(i)}, .substrings = {}});
    }
    return parts;
}

void Comparer::search(StepSummary& step, std::size_t s) {
    searched_p_.resize(result_.steps.size());
    for (int m = 0; m < static_cast<int>(result_.site.modules.size()); ++m) {
        if (is_compared(result_.site.modules[at(m)], step)) {
            search_parts(parts_to_search(m), step, s);
        }
    }
    for (int i = 0; i < static_cast<int>(result_.site.strings.size()); ++i) {
        const SitePart part{.level = PartLevel::string, .string = i, .cells = {}, .substrings = {}};
        if (!is_taken(part, nullptr)) {
            search_parts({part}, step, s);
        }
    }
}

void Comparer::search_parts(const std::vector<SitePart>& parts, const StepSummary& step, std::size_t s) {
    double least_p = 1.0;
    std::array<std::optional<SitePart>, 2> cells;  // that got cooler, warmer
    for (const SitePart& part : parts) {
        Candidate one{part, {}, exponent_of(*surveys_.back(), usual_pattern(part.level)), {}};
        const PartValue from = value_of(*all_, part, at(step.from), one.exponent);
        const PartValue to = value_of(*all_, part, at(step.to), one.exponent);
        if (!from.reason.empty() || !to.reason.empty()) {
            continue;
        }
        const double change = to.normalised_k - from.normalised_k;
        const double p = of_any(two_sided_p(change / u_of(from, to, one, step)), parts.size());
        least_p = std::min(least_p, p);
        if (p > profile_.search_false_share.value || std::abs(change) < least_k(part.level)) {
            continue;
        }
        if (part.level != PartLevel::cell) {
            add_searched(part, parts.size());
            continue;
        }
        auto& found = cells[change > 0.0 ? 1 : 0];
        found ? join(*found, part) : void(found = part);
    }
    for (const auto& found : cells) {
        if (found) {
            add_searched(*found, parts.size());
        }
    }
    searched_p_[s].push_back(least_p);
}

void Comparer::add_searched(const SitePart& part, std::size_t count) {
    for (std::size_t i = named_; i < candidates_.size(); ++i) {
        if (overlap(candidates_[i].part, part)) {
            return;
        }
    }
    add_candidate(part, std::vector<int>(surveys_.size(), -1));
    search_counts_.push_back(count);
}

double of_any(double p, std::size_t count) {
    return -std::expm1(static_cast<double>(count) * std::log1p(-std::min(p, 1.0 - 1e-12)));
}

}  // namespace heatrow::detail
