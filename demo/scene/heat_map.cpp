#include "heat_map.hpp"

#include "random.hpp"

#include <tbb/parallel_for.h>

#include <algorithm>
#include <cmath>

namespace scene {
namespace {

using heatrow::Pattern;

HeatMap empty_map(const PanelType& type) {
    constexpr double kNode = 0.01;
    HeatMap map;
    map.nx = std::max(4, static_cast<int>(std::lround(type.width_m / kNode)));
    map.ny = std::max(4, static_cast<int>(std::lround(type.height_m / kNode)));
    map.dx_m = type.width_m / map.nx;
    map.dy_m = type.height_m / map.ny;
    map.values.assign(static_cast<std::size_t>(map.nx) * static_cast<std::size_t>(map.ny), 0.0F);
    return map;
}

template <class Function>
void fill(HeatMap& map, Function value_at) {
    for (int iy = 0; iy < map.ny; ++iy) {
        for (int ix = 0; ix < map.nx; ++ix) {
            map.values[static_cast<std::size_t>(iy * map.nx + ix)] =
                static_cast<float>(value_at((ix + 0.5) * map.dx_m, (iy + 0.5) * map.dy_m));
        }
    }
}

// One direction of a Gaussian spread; heat does not leave through the edges (values mirrored there).
void spread_line(const float* from, float* to, int count, std::ptrdiff_t stride, const std::vector<float>& weights) {
    const int reach = static_cast<int>(weights.size()) - 1;
    for (int i = 0; i < count; ++i) {
        float sum = weights[0] * from[i * stride];
        for (int k = 1; k <= reach; ++k) {
            const int before = i - k < 0 ? k - i - 1 : i - k;
            const int after = i + k >= count ? 2 * count - 1 - i - k : i + k;
            sum += weights[static_cast<std::size_t>(k)] * (from[before * stride] + from[after * stride]);
        }
        to[i * stride] = sum;
    }
}

std::vector<float> gaussian_weights(double sigma_nodes) {
    const int reach = std::max(1, static_cast<int>(std::ceil(3.5 * sigma_nodes)));
    std::vector<double> weights;
    double sum = 0.0;
    for (int k = 0; k <= reach; ++k) {
        weights.push_back(sigma_nodes > 0.0 ? std::exp(-0.5 * k * k / (sigma_nodes * sigma_nodes))
                                            : (k == 0 ? 1.0 : 0.0));
        sum += (k == 0 ? 1.0 : 2.0) * weights.back();
    }
    std::vector<float> result;
    for (const double weight : weights) {
        result.push_back(static_cast<float>(weight / sum));
    }
    return result;
}

void spread(HeatMap& map, double sigma_m) {
    if (sigma_m <= 0.0) {
        return;
    }
    std::vector<float> other(map.values.size());
    const auto along_x = gaussian_weights(sigma_m / map.dx_m);
    for (int iy = 0; iy < map.ny; ++iy) {
        const std::ptrdiff_t start = static_cast<std::ptrdiff_t>(iy) * map.nx;
        spread_line(map.values.data() + start, other.data() + start, map.nx, 1, along_x);
    }
    const auto along_y = gaussian_weights(sigma_m / map.dy_m);
    for (int ix = 0; ix < map.nx; ++ix) {
        spread_line(other.data() + ix, map.values.data() + ix, map.ny, map.nx, along_y);
    }
}

// What every healthy module of this type shows: cooler at the edges, warmer at the boxes and up the slope.
double healthy(const PanelType& type, const HeatSpec& spec, const PanelTable& table, int tier, double x, double y) {
    const double edge = std::min({x, y, type.width_m - x, type.height_m - y});
    double value = -spec.edge_cooling_k * std::exp(-edge / spec.edge_depth_m);
    for (const Eigen::Vector2d& box : type.junction_boxes) {
        const double r2 = (Eigen::Vector2d(x, y) - box).squaredNorm();
        value += spec.box_warming_k * std::exp(-0.5 * r2 / (spec.box_sigma_m * spec.box_sigma_m));
    }
    const Placing& p = table.placing;
    const double up_slope = p.xv * (x - p.x0) + p.yv * (y - p.y0) + tier * (table.place_height_m + table.gap_m);
    return value + spec.slope_warming_k_per_m * (up_slope - 0.5 * table.face.height_m);
}

// The box nearest to the middle of a substring: its diode conducts when the substring is bypassed.
Eigen::Vector2d box_of_substring(const PanelType& type, int substring) {
    Eigen::Vector2d middle(0.0, 0.0);
    int count = 0;
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        if (type.substring_of_cell[static_cast<std::size_t>(cell)] == substring) {
            const auto box = type.cell_box(cell);
            middle += Eigen::Vector2d(0.5 * (box.left + box.right), 0.5 * (box.top + box.bottom));
            ++count;
        }
    }
    middle /= std::max(1, count);
    return *std::ranges::min_element(type.junction_boxes, [&middle](const auto& a, const auto& b) {
        return (a - middle).squaredNorm() < (b - middle).squaredNorm();
    });
}

class SourceMap {
  public:
    SourceMap(const PanelType& type, const HeatSpec& spec) : type_(type), spec_(spec), map_(empty_map(type)) {}

    // Adds a source on some cells so that their mean, after the heat has spread, is `difference_k`.
    template <class Chosen>
    void add_on_cells(Chosen chosen, double difference_k, bool exact_mean) {
        HeatMap unit = empty_map(type_);
        fill(unit, [&](double x, double y) {
            const int cell = type_.cell_at(x, y);
            return cell >= 0 && chosen(cell) ? 1.0 : 0.0;
        });
        spread(unit, spec_.lateral_sigma_m);
        double factor = difference_k;
        if (exact_mean) {
            const auto means = cell_means(type_, unit);
            double sum = 0.0;
            int count = 0;
            for (int cell = 0; cell < type_.cell_count(); ++cell) {
                if (chosen(cell)) {
                    sum += means[static_cast<std::size_t>(cell)];
                    ++count;
                }
            }
            factor = difference_k * count / sum;
        }
        for (std::size_t i = 0; i < map_.values.size(); ++i) {
            map_.values[i] += static_cast<float>(factor) * unit.values[i];
        }
    }

    void add_spot(const Eigen::Vector2d& at, double sigma_m, double difference_k) {
        HeatMap unit = empty_map(type_);
        fill(unit, [&](double x, double y) {
            return difference_k * std::exp(-0.5 * (Eigen::Vector2d(x, y) - at).squaredNorm() / (sigma_m * sigma_m));
        });
        for (std::size_t i = 0; i < map_.values.size(); ++i) {
            map_.values[i] += unit.values[i];
        }
    }

    [[nodiscard]] const HeatMap& map() const { return map_; }

  private:
    const PanelType& type_;
    const HeatSpec& spec_;
    HeatMap map_;
};

// Rise of a part that stops exporting, at the reference rise: (T_mod - T_air) eta / (alpha - eta). Faiman's fitted
// coefficients have export already taken out.
double export_loss_k(const PanelType& type, const HeatSpec& spec, double reference_rise_k) {
    return reference_rise_k * type.efficiency() / (spec.absorption - type.efficiency());
}

void add_fault(
    SourceMap& sources, const PanelType& type, const HeatSpec& spec, const Fault& fault, double reference_rise_k) {
    const double difference =
        std::isnan(fault.delta_t_1000_k) ? export_loss_k(type, spec, reference_rise_k) : fault.delta_t_1000_k;
    switch (fault.pattern) {
        case Pattern::hot_cell:
            sources.add_on_cells([&](int cell) { return cell == fault.cell; }, difference, true);
            return;
        case Pattern::substring_bypassed:
            sources.add_on_cells(
                [&](int cell) { return type.substring_of_cell[static_cast<std::size_t>(cell)] == fault.substring; },
                difference,
                false);
            if (!type.junction_boxes.empty()) {
                sources.add_spot(box_of_substring(type, fault.substring), spec.box_sigma_m, spec.bypass_box_k);
            }
            return;
        default:  // the whole module, alone or with its string
            sources.add_on_cells([](int) { return true; }, difference, false);
    }
}

PanelHeat build_panel(const Plant& plant,
                      const HeatSpec& spec,
                      const std::vector<Fault>& faults,
                      double reference_rise_k,
                      std::uint64_t seed,
                      int panel_index) {
    const Panel& panel = plant.panels[static_cast<std::size_t>(panel_index)];
    const PanelTable& table = plant.table_of(panel_index);
    const PanelType& type = plant.type_of(panel_index);
    Random random(seed, Stream::panels, static_cast<std::uint64_t>(panel_index));

    const double module_offset = spec.module_spread_k * random.normal();
    std::vector<double> cell_offset;
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        cell_offset.push_back(spec.cell_spread_k * random.normal());
    }
    HeatMap map = empty_map(type);
    fill(map, [&](double x, double y) { return cell_offset[static_cast<std::size_t>(type.nearest_cell(x, y))]; });
    spread(map, spec.lateral_sigma_m);

    HeatMap expected = empty_map(type);
    fill(expected, [&](double x, double y) { return healthy(type, spec, table, panel.tier, x, y); });

    SourceMap sources(type, spec);
    for (const Fault& fault : faults) {
        if (fault.panel == panel_index || (fault.panel < 0 && fault.string == panel.string)) {
            add_fault(sources, type, spec, fault, reference_rise_k);
        }
    }
    for (std::size_t i = 0; i < map.values.size(); ++i) {
        map.values[i] += static_cast<float>(module_offset) + expected.values[i] + sources.map().values[i];
    }
    PanelHeat heat;
    heat.cell_mean_k = cell_means(type, map);
    heat.cell_expected_k = cell_means(type, expected);
    heat.map = std::move(map);
    return heat;
}

}  // namespace

std::vector<double> cell_means(const PanelType& type, const HeatMap& map) {
    // 16 x 16 points a cell through the same interpolation as the picture.
    constexpr int kPoints = 16;
    std::vector<double> means;
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        const auto box = type.cell_box(cell);
        double sum = 0.0;
        for (int iy = 0; iy < kPoints; ++iy) {
            for (int ix = 0; ix < kPoints; ++ix) {
                sum += map.at(box.left + (ix + 0.5) / kPoints * (box.right - box.left),
                              box.top + (iy + 0.5) / kPoints * (box.bottom - box.top));
            }
        }
        means.push_back(sum / (kPoints * kPoints));
    }
    return means;
}

std::vector<PanelHeat> build_heat(const Plant& plant,
                                  const HeatSpec& spec,
                                  const std::vector<Fault>& faults,
                                  double reference_rise_k,
                                  std::uint64_t seed) {
    std::vector<PanelHeat> result(plant.panels.size());
    tbb::parallel_for(std::size_t{0}, result.size(), [&](std::size_t i) {
        result[i] = build_panel(plant, spec, faults, reference_rise_k, seed, static_cast<int>(i));
    });
    return result;
}

}  // namespace scene
