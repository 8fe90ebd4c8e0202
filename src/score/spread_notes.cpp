#include "spread_notes.hpp"

#include "evidence_text.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <cmath>
#include <set>

namespace heatrow {
namespace {

using Modules = std::vector<char>;  // by layout index: belongs to the group

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

double log_choose(int n, int k) {
    return std::lgamma(n + 1.0) - std::lgamma(k + 1.0) - std::lgamma(n - k + 1.0);
}

// The outermost modules of each table along its row.
Modules ends_of_rows(const Layout& layout) {
    constexpr double kLeastLength = 4.0;  // modules; shorter rows have no middle
    Modules ends(layout.modules.size(), 0);
    for (const Table& table : layout.tables) {
        if (table.modules.empty()) {
            continue;
        }
        const Module& first = layout.modules[at(table.modules.front())];
        const Eigen::Vector3d normal = first.normal_in_site();
        const Eigen::Vector3d along = Eigen::Vector3d::UnitZ().cross(normal).normalized();
        if (!along.allFinite()) {  // flat: its sides tell the row
            continue;
        }
        std::vector<double> places;
        for (const int module : table.modules) {
            places.push_back(along.dot(layout.modules[at(module)].centre_in_site()));
        }
        const auto [low, high] = std::minmax_element(places.begin(), places.end());
        const auto& corners = first.corners_in_site;
        const double width =
            std::max(std::abs(along.dot(corners[1] - corners[0])), std::abs(along.dot(corners[2] - corners[1])));
        if (*high - *low < (kLeastLength - 1.0) * width) {
            continue;
        }
        for (std::size_t i = 0; i < places.size(); ++i) {
            ends[at(table.modules[i])] = std::min(places[i] - *low, *high - places[i]) < 0.5 * width ? 1 : 0;
        }
    }
    return ends;
}

Modules of_type(const Layout& layout, std::size_t type) {
    Modules group;
    for (const Module& module : layout.modules) {
        group.push_back(at(module.type) == type ? 1 : 0);
    }
    return group;
}

Modules negative_thirds(const Layout& layout) {
    Modules group;
    for (const Module& module : layout.modules) {
        const std::size_t length = module.string < 0 ? 0 : layout.strings[at(module.string)].modules.size();
        group.push_back(module.position > 0 && 3 * at(module.position) > 2 * length && length >= 3 ? 1 : 0);
    }
    return group;
}

bool counts(const Finding& finding) {
    return finding.module >= 0 && finding.candidates.empty() && finding.pattern != Pattern::shading &&
           finding.abnormality != AbnormalityClass::none;
}

std::string sentence(const std::string& where, int hits, int drawn, int group, int all) {
    return std::to_string(hits) + " of " + count_words(drawn, "module") + " with findings of class 2 or 3 are " +
           where + ", as " + std::to_string(group) + " of all " + count_words(all, "assessed module") +
           " are: more than chance lets expect. Look for what they have in common before each is judged by itself.";
}

}  // namespace

double chance_of_at_least(int hits, int drawn, int group, int all) {
    double chance = 0.0;
    for (int k = hits; k <= std::min(drawn, group); ++k) {
        if (drawn - k <= all - group) {
            chance += std::exp(log_choose(group, k) + log_choose(all - group, drawn - k) - log_choose(all, drawn));
        }
    }
    return std::min(1.0, chance);
}

std::vector<std::string> notes_on_spread(const Layout& layout, const ScoreResult& result) {
    constexpr double kChance = 0.001;  // for all groups together (own choice)
    constexpr int kFewest = 5;         // modules with findings in the group
    std::set<int> faulty;
    for (const Finding& finding : result.findings) {
        if (counts(finding) && result.modules[at(finding.module)].assessed) {
            faulty.insert(finding.module);
        }
    }
    std::vector<std::pair<std::string, Modules>> groups{
        {"at the ends of their rows", ends_of_rows(layout)},
        {"in the third of their strings at the negative end", negative_thirds(layout)}};
    for (std::size_t type = 0; layout.types.size() > 1 && type < layout.types.size(); ++type) {
        groups.emplace_back("of type " + layout.types[type].id, of_type(layout, type));
    }
    std::vector<std::string> notes;
    for (const auto& [where, members] : groups) {
        int all = 0;
        int group = 0;
        int hits = 0;
        for (std::size_t module = 0; module < members.size(); ++module) {
            if (result.modules[module].assessed) {
                ++all;
                group += members[module];
                hits += members[module] != 0 && faulty.contains(static_cast<int>(module)) ? 1 : 0;
            }
        }
        const auto drawn = static_cast<int>(faulty.size());
        if (hits >= kFewest &&
            chance_of_at_least(hits, drawn, group, all) < kChance / static_cast<double>(groups.size())) {
            notes.push_back(sentence(where, hits, drawn, group, all));
        }
    }
    return notes;
}

}  // namespace heatrow
