#include "site_parts.hpp"

#include <algorithm>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

// Place of each survey's modules or strings among the site's.
template <class Matched>
std::vector<int> places_in(const std::vector<Matched>& site, std::size_t survey, std::size_t count) {
    std::vector<int> places(count, -1);
    for (std::size_t p = 0; p < site.size(); ++p) {
        if (const int index = site[p].index[survey]; index >= 0) {
            places[at(index)] = static_cast<int>(p);
        }
    }
    return places;
}

SitePart part_of(const Finding& finding, int module, int string) {
    SitePart part;
    if (finding.module < 0) {
        part.level = PartLevel::string;
        part.string = string;
        return part;
    }
    part.module = module;
    if (!finding.substrings.empty()) {
        part.level = PartLevel::substring;
        part.substrings = finding.substrings;
    } else if (!finding.cells.empty()) {
        part.cells = finding.cells;
        std::sort(part.cells.begin(), part.cells.end());
    } else {
        part.level = PartLevel::module;
    }
    return part;
}

template <class T>
bool share_one(const std::vector<T>& a, const std::vector<T>& b) {
    return std::any_of(
        a.begin(), a.end(), [&b](const T& one) { return std::find(b.begin(), b.end(), one) != b.end(); });
}

template <class T>
void unite(std::vector<T>& into, const std::vector<T>& other) {
    into.insert(into.end(), other.begin(), other.end());
    std::sort(into.begin(), into.end());
    into.erase(std::unique(into.begin(), into.end()), into.end());
}

}  // namespace

bool overlap(const SitePart& a, const SitePart& b) {
    if (a.level != b.level || a.module != b.module || a.string != b.string) {
        return false;
    }
    switch (a.level) {
        case PartLevel::cell:
            return share_one(a.cells, b.cells);
        case PartLevel::substring:
            return share_one(a.substrings, b.substrings);
        default:
            return true;
    }
}

void join(SitePart& into, const SitePart& other) {
    unite(into.cells, other.cells);
    unite(into.substrings, other.substrings);
}

std::vector<NamedPart> parts_of_findings(const SiteMatch& site,
                                         std::span<const SurveyRecord* const> surveys,
                                         std::vector<int>& left_out) {
    std::vector<NamedPart> parts;
    left_out.assign(surveys.size(), 0);
    for (std::size_t s = 0; s < surveys.size(); ++s) {
        const std::vector<int> modules = places_in(site.modules, s, surveys[s]->layout.modules.size());
        const std::vector<int> strings = places_in(site.strings, s, surveys[s]->layout.strings.size());
        for (std::size_t f = 0; f < surveys[s]->findings.size(); ++f) {
            const Finding& finding = surveys[s]->findings[f];
            if (finding.verdict == Verdict::rejected) {
                continue;
            }
            const int module = finding.module < 0 ? -1 : modules[at(finding.module)];
            const int string = finding.module >= 0 || finding.string < 0 ? -1 : strings[at(finding.string)];
            if (!finding.candidates.empty() || (module < 0 && string < 0)) {
                ++left_out[s];
                continue;
            }
            const SitePart part = part_of(finding, module, string);
            auto known = std::find_if(
                parts.begin(), parts.end(), [&part](const NamedPart& other) { return overlap(other.part, part); });
            if (known == parts.end()) {
                parts.push_back({part, std::vector<int>(surveys.size(), -1)});
                known = std::prev(parts.end());
            }
            join(known->part, part);
            // Findings come gravest first: the first one on a part speaks for it.
            if (known->findings[s] < 0) {
                known->findings[s] = static_cast<int>(f);
            }
        }
    }
    return parts;
}

}  // namespace heatrow
