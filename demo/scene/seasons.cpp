#include "seasons.hpp"

#include "heatrow/core/error.hpp"
#include "random.hpp"

#include <algorithm>
#include <cmath>

namespace scene {
namespace {

using heatrow::Pattern;

[[noreturn]] void no_such_fault(const std::string& id) {
    throw heatrow::Error(heatrow::ErrorKind::usage,
                         "Could not change the site for a season",
                         id,
                         "no module or string of this id has a fault that could be changed",
                         "Ids are those of the first season; faults drawn at random are in its truth/faults.csv.");
}

bool may_grow(const Fault& fault) {
    return fault.delta_t_1000_k > 0.0;  // not where the circuit says how strong it is
}

bool may_be_repaired(const Fault& fault) {
    return fault.pattern != Pattern::module_replaced;
}

bool may_be_replaced(const Fault& fault) {
    return fault.panel >= 0 && may_be_repaired(fault) && fault.pattern != Pattern::module_missing;
}

// Faults of one kind of change: those named first, then as many more at random as asked.
class Choice {
  public:
    Choice(const std::vector<Fault>& faults, const Plant& plant, Random& random)
        : faults_(faults), plant_(plant), random_(random), taken_(faults.size(), false) {}

    template <class May>
    std::vector<std::size_t> choose(const std::vector<std::string>& ids, int more, May may) {
        std::vector<std::size_t> chosen;
        for (const std::string& id : ids) {
            const auto fault = std::ranges::find_if(faults_, [&](const Fault& candidate) {
                return may(candidate) && id_of(candidate) == id && !taken_[index_of(candidate)];
            });
            if (fault == faults_.end()) {
                no_such_fault(id);
            }
            take(index_of(*fault), chosen);
        }
        for (int i = 0; i < more; ++i) {
            std::vector<std::size_t> left;
            for (std::size_t k = 0; k < faults_.size(); ++k) {
                if (!taken_[k] && may(faults_[k])) {
                    left.push_back(k);
                }
            }
            if (left.empty()) {
                no_such_fault("any");
            }
            take(left[static_cast<std::size_t>(random_.index(static_cast<int>(left.size())))], chosen);
        }
        return chosen;
    }

  private:
    [[nodiscard]] std::string id_of(const Fault& fault) const {
        return fault.panel >= 0 ? plant_.panels[static_cast<std::size_t>(fault.panel)].id
                                : plant_.strings[static_cast<std::size_t>(fault.string)].id;
    }
    [[nodiscard]] std::size_t index_of(const Fault& fault) const {
        return static_cast<std::size_t>(&fault - faults_.data());
    }
    void take(std::size_t fault, std::vector<std::size_t>& chosen) {
        taken_[fault] = true;
        chosen.push_back(fault);
    }

    const std::vector<Fault>& faults_;
    const Plant& plant_;
    Random& random_;
    std::vector<bool> taken_;
};

}  // namespace

SceneSpec in_season(const SceneSpec& scene, std::size_t season) {
    SceneSpec result = scene;
    const SeasonSpec& spec = scene.seasons[season];
    result.season = season;
    result.id += "-" + spec.id;
    result.title += " " + spec.id;
    result.start = spec.start.value_or(scene.start);
    result.conditions.irradiance_w_m2 = spec.irradiance_w_m2.value_or(scene.conditions.irradiance_w_m2);
    result.conditions.air_c = spec.air_c.value_or(scene.conditions.air_c);
    result.conditions.wind_m_s = spec.wind_m_s.value_or(scene.conditions.wind_m_s);
    for (SeasonSpec& other : result.seasons) {
        other.wind_m_s = other.wind_m_s.value_or(scene.conditions.wind_m_s);
    }
    put_sun(result);
    return result;
}

std::uint64_t day_seed(std::uint64_t seed, std::size_t season) {
    return season == 0 ? seed : Random(seed, Stream::seasons, season).bits();
}

void change_faults(
    std::vector<Fault>& faults, const SceneSpec& scene, std::size_t season, const Plant& plant, std::uint64_t seed) {
    const SeasonSpec& spec = scene.seasons[season];
    Random random(seed, Stream::season_changes, season);
    Choice choice(faults, plant, random);
    const auto replaced = choice.choose(spec.replaced, spec.replacements, may_be_replaced);
    const auto repaired = choice.choose(spec.repaired, spec.repairs, may_be_repaired);
    const auto grown = choice.choose(spec.grown, spec.growths, may_grow);
    for (const std::size_t index : grown) {
        const double factor = random.uniform(spec.growth_low, spec.growth_high);
        faults[index].delta_t_1000_k *= factor;
        faults[index].growth *= factor;
    }
    for (const std::size_t index : replaced) {
        Fault& fault = faults[index];
        Fault fresh{.pattern = Pattern::module_replaced, .panel = fault.panel, .string = fault.string};
        fresh.delta_t_1000_k = random.uniform(-2.0, -0.5);  // a new one of the same type, a little better
        fault = fresh;
    }
    for (const std::size_t index : repaired) {
        faults[index].panel = faults[index].string = -1;
    }
    std::erase_if(faults, [](const Fault& fault) { return fault.panel < 0 && fault.string < 0; });
}

std::string season_id_of(const SceneSpec& scene, const std::string& id) {
    std::string result = id;
    for (std::size_t season = 1; season <= scene.season; ++season) {
        result = renamed(scene.seasons[season].renames, result);
    }
    return result;
}

void rename_plant(Plant& plant, const SceneSpec& scene) {
    for (Panel& panel : plant.panels) {
        panel.id = season_id_of(scene, panel.id);
    }
    for (PanelTable& table : plant.tables) {
        table.id = season_id_of(scene, table.id);
    }
    for (PanelString& string : plant.strings) {
        string.id = season_id_of(scene, string.id);
    }
}

}  // namespace scene
