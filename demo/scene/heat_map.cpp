#include "heat_map.hpp"

#include "fault_heat.hpp"
#include "random.hpp"

#include <tbb/parallel_for.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <memory>

namespace scene {
namespace {

// What all modules of one type with one direction of `top` share.
struct Family {
    SheetOfType of_type;
    HeatMap healthy;  // over the rise, without what depends on the place in the row
    // How one cell's source of one kelvin spreads, scaled so that independent cells differ by one kelvin; empty where
    // there are too few modules to be worth it.
    std::vector<ModuleSheet::Response> responses;
    double spread_source_w_m2 = 0.0;  // that makes cell means differ by one kelvin
};

HeatMap healthy_map(const SheetOfType& of_type, const HeatSpec& spec, double rise_k) {
    const PanelType& type = *of_type.type;
    const ModuleSheet& sheet = of_type.sheet;
    std::vector<double> sources(sheet.size());
    for (std::size_t i = 0; i < sources.size(); ++i) {
        const double cover = std::min(1.0, sheet.cell_cover()[i]);
        sources[i] = of_type.cell_heat_w_m2 * (cover + (1.0 - cover) * spec.gap_heat_share);
        for (const Eigen::Vector2d& box : type.junction_boxes) {
            const double r2 = (sheet.node_at(i) - box).squaredNorm();
            sources[i] +=
                sheet.loss_w_m2k() * spec.box_warming_k * std::exp(-0.5 * r2 / (spec.box_sigma_m * spec.box_sigma_m));
        }
    }
    HeatMap map = sheet.solve(sources);
    for (float& value : map.values) {
        value -= static_cast<float>(rise_k);
    }
    return map;
}

// The source for which the means of independent cells differ by one kelvin (root mean square over the module).
double unit_spread_source(const SheetOfType& of_type) {
    // By one random module: signs instead of normal draws, so that it is the mean square that counts.
    Random random(1, Stream::panels);
    double squares = 0.0;
    constexpr int kDraws = 4;
    for (int draw = 0; draw < kDraws; ++draw) {
        std::vector<double> sources(of_type.sheet.size(), 0.0);
        for (int cell = 0; cell < of_type.type->cell_count(); ++cell) {
            of_type.sheet.add_to_cell(sources, cell, random.uniform() < 0.5 ? -1.0 : 1.0);
        }
        for (const double mean : cell_means(*of_type.type, of_type.sheet.solve(sources))) {
            squares += mean * mean / (kDraws * of_type.type->cell_count());
        }
    }
    return 1.0 / std::sqrt(squares);
}

Family make_family(const PanelType& type, Top top, const HeatSpec& spec, const HeatReference& reference, int panels) {
    // The energy balance of a loaded healthy cell fixes the loss: absorbed light less export over the rise.
    const double operating = 1.0 + spec.power_coefficient_per_k * (reference.air_c + reference.rise_k - 25.0);
    const double cells_m2 = type.cell_count() * cell_area_m2(type, spec);
    const double power = type.rated_power_w * operating / cells_m2;
    const double heat = spec.absorption * 1000.0 - power;
    const double loss = heat / reference.rise_k;
    Family family{{&type,
                   ModuleSheet(type, top, spec, loss),
                   power,
                   heat,
                   spec.bypass_box_k,
                   spec.box_sigma_m,
                   {spec.cell_light_spread, spec.cell_leak_spread}},
                  {},
                  {},
                  0.0};
    family.healthy = healthy_map(family.of_type, spec, reference.rise_k);
    family.spread_source_w_m2 = unit_spread_source(family.of_type);
    if (panels > 2 * type.cell_count()) {
        family.responses.resize(static_cast<std::size_t>(type.cell_count()));
        tbb::parallel_for(0, type.cell_count(), [&](int cell) {
            family.responses[static_cast<std::size_t>(cell)] = family.of_type.sheet.response_of_cell(cell);
        });
    }
    return family;
}

// Distance from the nearer end of the row of tables, along the row.
class RowEnds {
  public:
    explicit RowEnds(const Plant& plant) {
        for (const PanelTable& table : plant.tables) {
            const auto [place, fresh] = ends_.try_emplace(table.row, along(table, 0.0), along(table, 0.0));
            for (const double u : {0.0, table.face.width_m}) {
                place->second.first = std::min(place->second.first, along(table, u));
                place->second.second = std::max(place->second.second, along(table, u));
            }
        }
    }
    [[nodiscard]] double distance(const PanelTable& table, double u) const {
        const auto& [low, high] = ends_.at(table.row);
        const double at = along(table, u);
        return std::max(0.0, std::min(at - low, high - at));
    }

  private:
    static double along(const PanelTable& table, double u) { return table.face.right.dot(table.face.at(u, 0.0)); }
    std::map<int, std::pair<double, double>> ends_;
};

// What follows from the place of a module: air that warms up the slope, ends of rows in the wind.
void add_place(HeatMap& map, const HeatSpec& spec, const PanelTable& table, const Panel& panel, const RowEnds& ends) {
    const Placing& p = table.placing;
    for (int iy = 0; iy < map.ny; ++iy) {
        for (int ix = 0; ix < map.nx; ++ix) {
            const double x = (ix + 0.5) * map.dx_m - p.x0;
            const double y = (iy + 0.5) * map.dy_m - p.y0;
            const double u = p.xu * x + p.yu * y + panel.column * (table.place_width_m + table.gap_m);
            const double v = p.xv * x + p.yv * y + panel.tier * (table.place_height_m + table.gap_m);
            const double value = spec.slope_warming_k_per_m * (v - 0.5 * table.face.height_m) -
                                 spec.row_end_cooling_k * std::exp(-ends.distance(table, u) / spec.row_end_depth_m);
            map.values[static_cast<std::size_t>(iy * map.nx + ix)] += static_cast<float>(value);
        }
    }
}

void add_map(HeatMap& map, const HeatMap& other) {
    std::ranges::transform(map.values, other.values, map.values.begin(), std::plus<>());
}

class Builder {
  public:
    Builder(const Plant& plant,
            const HeatSpec& spec,
            const std::vector<Fault>& faults,
            const HeatReference& reference,
            std::uint64_t seed)
        : plant_(plant), spec_(spec), faults_(faults), reference_(reference), seed_(seed), ends_(plant) {
        std::map<std::pair<int, Top>, int> panels;
        for (const PanelTable& table : plant.tables) {
            panels[{table.type, table.top}] += table.along * table.tiers;
        }
        for (const auto& [key, count] : panels) {
            const PanelType& type = plant.types[static_cast<std::size_t>(key.first)];
            families_.emplace(key, make_family(type, key.second, spec, reference, count));
        }
    }

    [[nodiscard]] PanelHeat build(int panel_index) const {
        const Panel& panel = plant_.panels[static_cast<std::size_t>(panel_index)];
        const PanelTable& table = plant_.table_of(panel_index);
        const Family& family = families_.at({table.type, table.top});
        const PanelType& type = *family.of_type.type;

        PanelHeat heat;
        HeatMap expected = family.healthy;
        add_place(expected, spec_, table, panel, ends_);
        heat.cell_expected_k = cell_means(type, expected);

        PanelSources sources(family.of_type, seed_, panel_index);
        bool faulty = false;
        for (const Fault& fault : faults_) {
            if (touches(fault, plant_, panel_index)) {
                const auto last = static_cast<int>(
                    panel.string < 0 ? 0 : plant_.strings[static_cast<std::size_t>(panel.string)].panels.size());
                sources.add(fault,
                            fault.modules > 0 ? static_cast<double>(last - panel.position) / fault.modules : 0.0);
                faulty = true;
            }
        }
        HeatMap map = spread_map(family, panel_index);
        add_map(map, expected);
        double strongest = 0.0;
        if (faulty && std::ranges::any_of(sources.light_w_m2(), [](double value) { return value != 0.0; })) {
            add_map(map, family.of_type.sheet.solve(sources.light_w_m2()));
            strongest = std::max(strongest, *std::ranges::max_element(sources.light_w_m2()));
        }
        add_layer(heat, type, {}, std::move(map));
        add_circuit(heat, family, sources, panel, strongest);
        for (const PanelSources::Resistance& resistance : sources.resistances()) {
            strongest = std::max(strongest, *std::ranges::max_element(resistance.w_m2));
            add_layer(heat,
                      type,
                      {.kind = HeatLaw::Kind::current, .exponent = resistance.exponent},
                      family.of_type.sheet.solve(resistance.w_m2));
        }
        heat.source_w_m2 = strongest;
        return heat;
    }

  private:
    static void add_layer(PanelHeat& heat, const PanelType& type, const HeatLaw& law, HeatMap map) {
        auto means = cell_means(type, map);
        heat.layers.push_back({law, std::move(map), std::move(means)});
    }

    // Random differences between modules and between cells.
    [[nodiscard]] HeatMap spread_map(const Family& family, int panel_index) const {
        // A module that was replaced between seasons differs in its own way.
        constexpr std::uint64_t kRenewal = std::uint64_t{1} << 32U;
        const auto renewals = static_cast<std::uint64_t>(plant_.panels[static_cast<std::size_t>(panel_index)].renewals);
        Random random(seed_, Stream::panels, static_cast<std::uint64_t>(panel_index) + renewals * kRenewal);
        const ModuleSheet& sheet = family.of_type.sheet;
        const double module_offset = spec_.module_spread_k * random.normal();
        std::vector<double> cells;
        for (int cell = 0; cell < family.of_type.type->cell_count(); ++cell) {
            cells.push_back(spec_.cell_spread_k * family.spread_source_w_m2 * random.normal());
        }
        HeatMap map = sheet.empty_map();
        if (family.responses.empty()) {
            std::vector<double> sources(sheet.size(), 0.0);
            for (std::size_t cell = 0; cell < cells.size(); ++cell) {
                sheet.add_to_cell(sources, static_cast<int>(cell), cells[cell]);
            }
            map = sheet.solve(sources);
        } else {
            for (std::size_t cell = 0; cell < cells.size(); ++cell) {
                const ModuleSheet::Response& response = family.responses[cell];
                const auto factor = static_cast<float>(cells[cell]);
                const float* from = response.values.data();
                for (int iy = 0; iy < response.ny; ++iy, from += response.nx) {
                    float* const to = map.values.data() + (response.y0 + iy) * map.nx + response.x0;
                    for (int ix = 0; ix < response.nx; ++ix) {
                        to[ix] += factor * from[ix];
                    }
                }
            }
        }
        for (float& value : map.values) {
            value += static_cast<float>(module_offset);
        }
        return map;
    }

    // The circuit's heat, solved at as many loads as its string has between the lowest and the highest.
    void add_circuit(PanelHeat& heat,
                     const Family& family,
                     const PanelSources& sources,
                     const Panel& panel,
                     double& strongest) const {
        const auto [low, high] =
            panel.string < 0 ? std::pair(1.0, 1.0) : reference_.loads[static_cast<std::size_t>(panel.string)];
        if (!sources.circuit_touched() && low > 0.999) {
            return;
        }
        constexpr double kStep = 0.05;
        const int count = high - low < 0.002 ? 1 : 1 + static_cast<int>(std::ceil((high - low) / kStep));
        const auto load_at = [&](int i) {
            return count == 1 ? high : low + (high - low) * std::clamp(i, 0, count - 1) / (count - 1);
        };
        for (int i = 0; i < count; ++i) {
            const auto w_m2 = sources.circuit_w_m2(load_at(i));
            strongest = std::max(strongest, sources.circuit_touched() ? *std::ranges::max_element(w_m2) : 0.0);
            add_layer(heat,
                      *family.of_type.type,
                      {.kind = HeatLaw::Kind::circuit,
                       .load = load_at(i),
                       .load_below = load_at(i - 1),
                       .load_above = load_at(i + 1)},
                      family.of_type.sheet.solve(w_m2));
        }
    }

    const Plant& plant_;
    const HeatSpec& spec_;
    const std::vector<Fault>& faults_;
    const HeatReference& reference_;
    std::uint64_t seed_;
    RowEnds ends_;
    std::map<std::pair<int, Top>, Family> families_;
};

}  // namespace

std::vector<double> PanelHeat::cell_means_k(const HeatState& state) const {
    std::vector<double> sum(cell_expected_k.size(), 0.0);
    for (const HeatLayer& layer : layers) {
        const double factor = layer.law.factor(state);
        for (std::size_t i = 0; i < sum.size(); ++i) {
            sum[i] += factor * layer.cell_mean_k[i];
        }
    }
    return sum;
}

HeatMap PanelHeat::sum_of(const HeatState& state) const {
    HeatMap sum = layers.front().map;
    for (float& value : sum.values) {
        value *= static_cast<float>(layers.front().law.factor(state));
    }
    for (std::size_t i = 1; i < layers.size(); ++i) {
        const auto factor = static_cast<float>(layers[i].law.factor(state));
        for (std::size_t node = 0; node < sum.values.size(); ++node) {
            sum.values[node] += factor * layers[i].map.values[node];
        }
    }
    return sum;
}

std::vector<PanelHeat> build_heat(const Plant& plant,
                                  const HeatSpec& spec,
                                  const std::vector<Fault>& faults,
                                  const HeatReference& reference,
                                  std::uint64_t seed) {
    const Builder builder(plant, spec, faults, reference, seed);
    std::vector<PanelHeat> result(plant.panels.size());
    tbb::parallel_for(
        std::size_t{0}, result.size(), [&](std::size_t i) { result[i] = builder.build(static_cast<int>(i)); });
    return result;
}

}  // namespace scene
