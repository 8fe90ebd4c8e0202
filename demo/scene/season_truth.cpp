#include "season_truth.hpp"

#include "csv_table.hpp"
#include "output_folder.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>

namespace scene {
namespace {

// A fault in two seasons; null where it is not there.
struct FaultPair {
    const FaultTruth* before;
    const FaultTruth* now;

    [[nodiscard]] const FaultTruth& any() const { return now != nullptr ? *now : *before; }
};

std::vector<FaultPair> pair_faults(const SeasonRecord& before, const SeasonRecord& now) {
    std::set<std::string> ids;
    for (const auto* record : {&before, &now}) {
        for (const FaultTruth& truth : record->faults) {
            ids.insert(truth.id);
        }
    }
    std::vector<FaultPair> pairs;
    const auto find = [](const SeasonRecord& record, const std::string& id) {
        const auto found = std::ranges::find(record.faults, id, &FaultTruth::id);
        return found == record.faults.end() ? nullptr : &*found;
    };
    for (const std::string& id : ids) {
        pairs.push_back({find(before, id), find(now, id)});
    }
    return pairs;
}

std::string change_of(const FaultPair& pair, const SeasonRecord& before, const SeasonRecord& now) {
    const int panel = pair.any().fault.panel;
    if (panel >= 0 &&
        before.renewals[static_cast<std::size_t>(panel)] != now.renewals[static_cast<std::size_t>(panel)]) {
        return "replaced";
    }
    if (pair.before == nullptr || pair.now == nullptr) {
        return pair.before == nullptr ? "new" : "repaired";
    }
    return pair.now->fault.growth == pair.before->fault.growth ? "unchanged" : "grown";
}

std::string kelvin(const FaultTruth* truth) {
    return truth == nullptr || std::isnan(truth->delta_t_1000_k) ? "" : fmt::format("{:.3f}", truth->delta_t_1000_k);
}

std::string change_rows(const SeasonRecord& before, const SeasonRecord& now) {
    std::string out;
    for (const FaultPair& pair : pair_faults(before, now)) {
        const Fault& fault = pair.any().fault;
        const auto named = [](const std::vector<std::string>& names, int index) {
            return index < 0 ? std::string() : csv_field(names[static_cast<std::size_t>(index)]);
        };
        const auto in_scope = [](const FaultTruth* truth) {
            return truth != nullptr && truth->in_scope ? "yes" : "no";
        };
        const std::string first = kelvin(pair.before);
        const std::string second = kelvin(pair.now);
        out += fmt::format("{},{},{},{},{},{},{},{},{},{},{},{},{:.3f},{:.3f}\n",
                           before.id,
                           pair.any().id,
                           change_of(pair, before, now),
                           heatrow::to_string(fault.pattern),
                           named(before.panels, fault.panel),
                           named(now.panels, fault.panel),
                           named(before.strings, fault.string),
                           named(now.strings, fault.string),
                           first,
                           second,
                           in_scope(pair.before),
                           in_scope(pair.now),
                           before.heat_loss_w_m2k,
                           now.heat_loss_w_m2k);
    }
    return out;
}

std::string identity_rows(const SeasonRecord& before, const SeasonRecord& now) {
    std::string out;
    const auto list =
        [&](const char* kind, const std::vector<std::string>& first, const std::vector<std::string>& second) {
            for (std::size_t i = 0; i < first.size(); ++i) {
                const bool replaced = std::string_view(kind) == "module" && before.renewals[i] != now.renewals[i];
                out += fmt::format("{},{},{},{},{}\n",
                                   before.id,
                                   kind,
                                   csv_field(first[i]),
                                   csv_field(second[i]),
                                   replaced ? "yes" : "no");
            }
        };
    list("module", before.panels, now.panels);
    list("string", before.strings, now.strings);
    return out;
}

}  // namespace

SeasonRecord::SeasonRecord(const World& world, const std::vector<FaultTruth>& true_faults)
    : id(world.spec.seasons[world.spec.season].id),
      faults(true_faults),
      heat_loss_w_m2k(1000.0 / world.weather.reference_rise_k()) {
    for (const Panel& panel : world.plant.panels) {
        panels.push_back(panel.id);
        renewals.push_back(panel.renewals);
    }
    for (const PanelString& string : world.plant.strings) {
        strings.push_back(string.id);
    }
}

void write_changes(const std::vector<SeasonRecord>& before,
                   const SeasonRecord& now,
                   const std::filesystem::path& truth) {
    std::string changes =
        "since,fault,change,pattern,module_before,module,string_before,string,delta_t_1000_before_k,delta_t_1000_k,"
        "in_scope_before,in_scope,heat_loss_before_w_m2k,heat_loss_w_m2k\n";
    std::string identities = "since,kind,before,now,replaced\n";
    for (const SeasonRecord& record : before) {
        changes += change_rows(record, now);
        identities += identity_rows(record, now);
    }
    write_text(truth / "changes.csv", changes);
    write_text(truth / "identities.csv", identities);
}

}  // namespace scene
