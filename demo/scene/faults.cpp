#include "faults.hpp"

#include "heatrow/core/error.hpp"
#include "random.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

namespace scene {
namespace {

using heatrow::Error;
using heatrow::ErrorKind;
using heatrow::Pattern;

[[noreturn]] void unknown(const char* what, const std::string& id) {
    throw Error(ErrorKind::usage,
                "Could not place a fault",
                fmt::format("{} {}", what, id),
                "the scene has no such place",
                "Ids are those of layout.geojson after a rendering.");
}

Fault listed_fault(const FaultSpec& spec, const Plant& plant) {
    Fault fault{.pattern = spec.pattern, .delta_t_1000_k = spec.delta_t_1000_k};
    if (spec.pattern == Pattern::string_warm_cause_open) {
        fault.string = plant.find_string(spec.string);
        if (fault.string < 0) {
            unknown("string", spec.string);
        }
        return fault;
    }
    fault.panel = plant.find_panel(spec.module);
    if (fault.panel < 0) {
        unknown("module", spec.module);
    }
    fault.string = plant.panels[static_cast<std::size_t>(fault.panel)].string;
    const PanelType& type = plant.type_of(fault.panel);
    if (spec.pattern == Pattern::hot_cell) {
        const auto cell = heatrow::parse_cell(spec.cell);
        if (!cell || cell->row >= type.rows || cell->column >= type.columns) {
            unknown("cell", spec.cell);
        }
        fault.cell = cell->row * type.columns + cell->column;
    }
    if (spec.pattern == Pattern::substring_bypassed) {
        if (spec.substring > type.substring_count()) {
            unknown("substring", std::to_string(spec.substring));
        }
        fault.substring = spec.substring;
    }
    return fault;
}

// Draws places that no other fault has taken.
class Draw {
  public:
    Draw(const Plant& plant, std::uint64_t seed) : plant_(plant), random_(seed, Stream::faults) {}

    void take(const Fault& fault) {
        if (fault.panel >= 0) {
            panels_.insert(fault.panel);
        } else {
            for (const int panel : plant_.strings[static_cast<std::size_t>(fault.string)].panels) {
                panels_.insert(panel);
            }
        }
    }

    Fault draw(const RandomFaults& spec) {
        Fault fault{.pattern = spec.pattern};
        fault.delta_t_1000_k = std::isnan(spec.low_k) ? spec.low_k : random_.uniform(spec.low_k, spec.high_k);
        if (spec.pattern == Pattern::string_warm_cause_open) {
            fault.string = free_string();
        } else {
            fault.panel = free_panel();
            fault.string = plant_.panels[static_cast<std::size_t>(fault.panel)].string;
            const PanelType& type = plant_.type_of(fault.panel);
            fault.cell = spec.pattern == Pattern::hot_cell ? random_.index(type.cell_count()) : -1;
            fault.substring =
                spec.pattern == Pattern::substring_bypassed ? 1 + random_.index(type.substring_count()) : 0;
        }
        take(fault);
        return fault;
    }

  private:
    static constexpr int kTries = 10000;

    int free_panel() {
        for (int i = 0; i < kTries; ++i) {
            const int panel = random_.index(static_cast<int>(plant_.panels.size()));
            if (!panels_.contains(panel)) {
                return panel;
            }
        }
        full();
    }

    int free_string() {
        for (int i = 0; i < kTries; ++i) {
            const int string = random_.index(static_cast<int>(plant_.strings.size()));
            const auto& members = plant_.strings[static_cast<std::size_t>(string)].panels;
            if (std::ranges::none_of(members, [this](int panel) { return panels_.contains(panel); })) {
                return string;
            }
        }
        full();
    }

    [[noreturn]] static void full() {
        throw Error(ErrorKind::usage,
                    "Could not place the random faults",
                    "",
                    "the plant has no free place left",
                    "Ask for fewer faults or a larger plant.");
    }

    const Plant& plant_;
    Random random_;
    std::set<int> panels_;
};

}  // namespace

std::vector<Fault> place_faults(const SceneSpec& scene, const Plant& plant, std::uint64_t seed) {
    std::vector<Fault> faults;
    Draw draw(plant, seed);
    for (const FaultSpec& spec : scene.faults) {
        faults.push_back(listed_fault(spec, plant));
        draw.take(faults.back());
    }
    for (const bool strings : {true, false}) {
        for (const RandomFaults& spec : scene.random_faults) {
            for (int i = 0; i < spec.count && (spec.pattern == Pattern::string_warm_cause_open) == strings; ++i) {
                faults.push_back(draw.draw(spec));
            }
        }
    }
    return faults;
}

}  // namespace scene
