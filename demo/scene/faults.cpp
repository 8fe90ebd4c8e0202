#include "faults.hpp"

#include "dirt.hpp"
#include "heatrow/core/error.hpp"
#include "random.hpp"
#include "seasons.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
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

int listed_cell(const std::string& name, const PanelType& type) {
    const auto cell = heatrow::parse_cell(name);
    if (!cell || cell->row >= type.rows || cell->column >= type.columns) {
        unknown("cell", name);
    }
    return cell->row * type.columns + cell->column;
}

// The branch-th parallel branch of a substring, both from 1, as an index into type.branches.
int listed_branch(const PanelType& type, int substring, int branch) {
    int seen = 0;
    for (std::size_t i = 0; i < type.branches.size(); ++i) {
        if (type.branches[i].substring == substring && ++seen == branch) {
            return static_cast<int>(i);
        }
    }
    unknown("branch", std::to_string(branch));
}

Fault listed_fault(const FaultSpec& spec, const Plant& plant) {
    Fault fault{.pattern = spec.pattern, .delta_t_1000_k = spec.delta_t_1000_k};
    const FaultPlace place = *fault_place(spec.pattern);
    if (place == FaultPlace::string) {
        fault.string = plant.find_string(spec.string);
        if (fault.string < 0) {
            unknown("string", spec.string);
        }
        fault.modules = spec.modules;
        return fault;
    }
    fault.panel = plant.find_panel(spec.module);
    if (fault.panel < 0) {
        unknown("module", spec.module);
    }
    fault.string = plant.panels[static_cast<std::size_t>(fault.panel)].string;
    const PanelType& type = plant.type_of(fault.panel);
    for (const std::string& name : spec.cells) {
        fault.cells.push_back(listed_cell(name, type));
    }
    if (place == FaultPlace::substring) {
        if (spec.substring > type.substring_count()) {
            unknown("substring", std::to_string(spec.substring));
        }
        fault.substring = spec.substring;
        fault.branch = spec.branch > 0 ? listed_branch(type, spec.substring, spec.branch) : -1;
    }
    if (spec.pattern == Pattern::junction_box) {
        if (spec.box < 1 || spec.box > static_cast<int>(type.junction_boxes.size())) {
            unknown("box", std::to_string(spec.box));
        }
        fault.place_m = type.junction_boxes[static_cast<std::size_t>(spec.box) - 1];
    }
    fault.size_m = spec.size_m;
    return fault;
}

bool resistive(Pattern pattern) {
    return pattern == Pattern::cell_interconnect || pattern == Pattern::junction_box;
}

int random_branch(const PanelType& type, int substring, Random& random) {
    const auto count = std::ranges::count(type.branches, substring, &PanelType::Branch::substring);
    return listed_branch(type, substring, 1 + random.index(static_cast<int>(count)));
}

// What nobody chose: how weak a weak cell is, where the dirt lies, how a contact follows the current.
void draw_details(Fault& fault, const Plant& plant, std::uint64_t seed, std::uint64_t index) {
    Random random(seed, Stream::fault_details, index);
    fault.seed = random.bits();
    fault.exponent = resistive(fault.pattern) ? random.uniform(1.6, 2.0) : 1.0;
    fault.light =
        fault.pattern == Pattern::substring_bypassed_by_cell ? random.uniform(0.15, 0.5) : random.uniform(0.65, 0.9);
    if (fault.pattern == Pattern::substring_open_circuit && fault.branch < 0) {
        fault.branch = random_branch(plant.type_of(fault.panel), fault.substring, random);  // one joint broke
    }
    if (fault.pattern == Pattern::soiling) {
        const PanelType& type = plant.type_of(fault.panel);
        fault.place_m = {random.uniform(0.1, 0.9) * type.width_m, random.uniform(0.1, 0.9) * type.height_m};
        fault.light_on_cells = Dirt(fault.place_m, fault.size_m, fault.seed).light_on_cells(type);
    }
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
        const FaultPlace place = *fault_place(spec.pattern);
        if (place == FaultPlace::string) {
            fault.string = free_string();
            fault.modules = 6;
        } else {
            fault.panel = free_panel();
            fault.string = plant_.panels[static_cast<std::size_t>(fault.panel)].string;
            place_on(fault, place, plant_.type_of(fault.panel));
        }
        take(fault);
        return fault;
    }

  private:
    static constexpr int kTries = 10000;

    void place_on(Fault& fault, FaultPlace place, const PanelType& type) {
        if (place == FaultPlace::cell) {
            const std::size_t wanted = fault.pattern == Pattern::multiple_hot_cells ? 3 : 1;
            while (fault.cells.size() < std::min(wanted, static_cast<std::size_t>(type.cell_count()))) {
                const int cell = random_.index(type.cell_count());
                if (std::ranges::find(fault.cells, cell) == fault.cells.end()) {
                    fault.cells.push_back(cell);
                }
            }
        }
        if (place == FaultPlace::substring) {
            fault.substring = 1 + random_.index(type.substring_count());
        }
        if (fault.pattern == Pattern::junction_box) {
            if (type.junction_boxes.empty()) {
                unknown("junction box of module type", type.id);
            }
            const int box = random_.index(static_cast<int>(type.junction_boxes.size()));
            fault.place_m = type.junction_boxes[static_cast<std::size_t>(box)];
        }
        fault.size_m = fault.pattern == Pattern::soiling ? random_.uniform(0.15, 0.5) : 0.0;
    }

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

bool touches(const Fault& fault, const Plant& plant, int panel) {
    if (fault.panel >= 0) {
        return fault.panel == panel;
    }
    const Panel& place = plant.panels[static_cast<std::size_t>(panel)];
    if (place.string != fault.string) {
        return false;
    }
    // Position 1 is at the positive end; degradation begins at the other one.
    const auto length = static_cast<int>(plant.strings[static_cast<std::size_t>(fault.string)].panels.size());
    return fault.pattern != Pattern::potential_induced_degradation || length - place.position < fault.modules;
}

std::vector<Fault> place_faults(const SceneSpec& scene, const Plant& plant, std::uint64_t seed) {
    std::vector<Fault> faults;
    Draw draw(plant, seed);
    int number = 0;
    const auto add = [&](const std::vector<FaultSpec>& listed, const std::vector<RandomFaults>& random) {
        for (const FaultSpec& spec : listed) {
            faults.push_back(listed_fault(spec, plant));
            draw.take(faults.back());
        }
        for (const bool strings : {true, false}) {
            for (const RandomFaults& spec : random) {
                const bool on_strings = fault_place(spec.pattern) == FaultPlace::string;
                for (int i = 0; i < spec.count && on_strings == strings; ++i) {
                    faults.push_back(draw.draw(spec));
                }
            }
        }
    };
    const auto number_new = [&](std::size_t season) {
        for (Fault& fault : faults) {
            if (fault.number == 0) {
                fault.number = ++number;
                fault.season = season;
                draw_details(fault, plant, seed, static_cast<std::uint64_t>(fault.number) - 1);
            }
        }
    };
    add(scene.faults, scene.random_faults);
    number_new(0);
    for (std::size_t season = 1; season <= scene.season; ++season) {
        change_faults(faults, scene, season, plant, seed);
        add(scene.seasons[season].faults, scene.seasons[season].random_faults);
        number_new(season);
    }
    return faults;
}

}  // namespace scene
