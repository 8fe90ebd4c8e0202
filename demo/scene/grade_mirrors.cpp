#include "grade_mirrors.hpp"

#include <algorithm>

namespace scene {
namespace {

// No cells named: the whole object.
bool share_a_cell(const std::set<int>& some, const std::set<int>& others) {
    return some.empty() || others.empty() ||
           std::ranges::any_of(some, [&others](int cell) { return others.contains(cell); });
}

bool lies_on(const Abnormality& place, const MirroredThing& mirrored, const GradeInput& input) {
    if (!place.module.empty()) {
        return place.module == mirrored.module && share_a_cell(place.cells, mirrored.cells);
    }
    const auto string = input.string_of.find(mirrored.module);
    return string != input.string_of.end() && string->second == place.string;
}

}  // namespace

void add_mirrors(MirrorSums& sums, const GradeInput& input) {
    const Matching matching = match_findings(input.faults, input.findings);
    std::vector<const Abnormality*> false_findings;
    for (std::size_t k = 0; k < input.findings.size(); ++k) {
        if (matching.fault_of_finding[k] < 0 && !matching.beside_a_fault[k]) {
            false_findings.push_back(&input.findings[k]);
        }
    }
    for (const MirroredThing& mirrored : input.mirrored) {
        const bool reported = std::ranges::any_of(
            false_findings, [&](const Abnormality* finding) { return lies_on(*finding, mirrored, input); });
        (mirrored.kind == "sun" ? sums.sun : sums.others) += 1;
        (mirrored.kind == "sun" ? sums.sun_reported : sums.others_reported) += reported ? 1 : 0;
    }
    for (std::size_t i = 0; i < input.faults.size(); ++i) {
        const Abnormality& fault = input.faults[i];
        const bool in_zone = fault.in_scope && std::ranges::any_of(input.mirrored, [&](const MirroredThing& mirrored) {
                                 return mirrored.kind == "sun" && lies_on(fault, mirrored, input);
                             });
        sums.zone_faults += in_zone ? 1 : 0;
        sums.zone_faults_found += in_zone && matching.finding_of_fault[i] >= 0 ? 1 : 0;
    }
}

}  // namespace scene
