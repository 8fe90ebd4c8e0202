#include "module_sheet.hpp"

#include <algorithm>
#include <cmath>

namespace scene {
namespace {

// Conductivities, W/mK, from memory of handbooks: soda-lime glass 0.9 to 1.4; silicon 148 at 300 K and 99 at 400 K, so
// 130 at a module's 325 K; encapsulant and back sheet 0.2 to 0.35. docs/scenes.md.
constexpr double kGlass = 1.0;
constexpr double kSilicon = 130.0;
constexpr double kPolymer = 0.3;

// Width of the part of [at - half, at + half] that lies within [low, high].
double overlap(double at, double half, double low, double high) {
    return std::max(0.0, std::min(at + half, high) - std::max(at - half, low));
}

// Rails run along the row, under a fifth and four fifths of the module's height on the slope.
double rail_share(const PanelType& type, Top top, const HeatMap& raster, double x, double y, double width_m) {
    const bool landscape = top == Top::left || top == Top::right;
    const double length = landscape ? type.width_m : type.height_m;
    const double pitch = landscape ? raster.dx_m : raster.dy_m;
    const double at = landscape ? x : y;
    double share = 0.0;
    for (const double place : {0.2 * length, 0.8 * length}) {
        share += overlap(at, 0.5 * pitch, place - 0.5 * width_m, place + 0.5 * width_m) / pitch;
    }
    return share;
}

// In-plane conductances of the layers, W/K a square.
struct Layers {
    double sheet = 0.0;    // everywhere
    double silicon = 0.0;  // where cells are
    double ribbons = 0.0;  // along the columns, over the gaps too
};

Layers layers_of(const PanelType& type, const HeatSpec& spec) {
    const double glass = kGlass * spec.glass_mm * 1e-3;
    const double polymer = kPolymer * spec.encapsulant_mm * 1e-3;
    if (type.technology == PanelType::Technology::thin_film) {
        return {2.0 * glass + polymer, 0.0, 0.0};  // two panes; the film itself carries next to nothing
    }
    const bool ribbons = type.technology == PanelType::Technology::crystalline;
    return {glass + polymer, kSilicon * spec.silicon_mm * 1e-3, ribbons ? spec.ribbon_w_k : 0.0};
}

// The conductance of a link from node to node, each point of the way in series, ways side by side in parallel.
class Links {
  public:
    Links(const PanelType& type, const HeatSpec& spec, const Layers& layers)
        : type_(type), spec_(spec), layers_(layers) {}

    // From (x, y) by `pitch` to the right, `width` wide.
    [[nodiscard]] double along_x(double x, double y, double pitch, double width) const {
        return link(pitch, width, [&](double along, double across) { return conductance(x + along, y + across, 0.0); });
    }
    [[nodiscard]] double along_y(double x, double y, double pitch, double width) const {
        return link(pitch, width, [&](double along, double across) {
            return conductance(x + across, y + along, layers_.ribbons);
        });
    }

  private:
    static constexpr int kPoints = 8;

    [[nodiscard]] double conductance(double x, double y, double ribbons) const {
        const bool in_column = type_.cells_left_m <= x && x <= type_.cells_left_m + type_.cells_width_m;
        return layers_.sheet + (on_cell(type_, spec_, x, y) ? layers_.silicon : 0.0) + (in_column ? ribbons : 0.0);
    }
    template <class Function>
    static double link(double pitch, double width, Function conductance_at) {
        double sum = 0.0;
        for (int i = 0; i < kPoints; ++i) {
            double resistance = 0.0;
            for (int k = 0; k < kPoints; ++k) {
                const double along = (k + 0.5) / kPoints * pitch;
                const double across = ((i + 0.5) / kPoints - 0.5) * width;
                resistance += pitch / kPoints / conductance_at(along, across);
            }
            sum += width / kPoints / resistance;
        }
        return sum;
    }

    const PanelType& type_;
    const HeatSpec& spec_;
    Layers layers_;
};

struct Gaps {
    double x = 0.0;
    double y = 0.0;
};

Gaps gaps_of(const PanelType& type, const HeatSpec& spec) {
    switch (type.technology) {
        case PanelType::Technology::crystalline:
            return {spec.cell_gap_m, spec.cell_gap_m};
        case PanelType::Technology::shingled:
            return {spec.cell_gap_m, 0.0};  // strips overlap along the column
        case PanelType::Technology::thin_film:
            break;
    }
    return {0.0, 0.0};
}

std::vector<std::vector<CellPart>> parts_of(const PanelType& type, const HeatSpec& spec, const HeatMap& raster) {
    const Gaps gaps = gaps_of(type, spec);
    std::vector<std::vector<CellPart>> parts;
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        const auto box = type.cell_box(cell);
        std::vector<CellPart> of_cell;
        const int x0 = std::max(0, static_cast<int>(box.left / raster.dx_m));
        const int y0 = std::max(0, static_cast<int>(box.top / raster.dy_m));
        for (int iy = y0; iy < raster.ny && iy * raster.dy_m < box.bottom; ++iy) {
            for (int ix = x0; ix < raster.nx && ix * raster.dx_m < box.right; ++ix) {
                const double wide = overlap(
                    (ix + 0.5) * raster.dx_m, 0.5 * raster.dx_m, box.left + 0.5 * gaps.x, box.right - 0.5 * gaps.x);
                const double high = overlap(
                    (iy + 0.5) * raster.dy_m, 0.5 * raster.dy_m, box.top + 0.5 * gaps.y, box.bottom - 0.5 * gaps.y);
                if (wide * high > 0.0) {
                    of_cell.push_back({static_cast<std::size_t>(iy) * static_cast<std::size_t>(raster.nx) +
                                           static_cast<std::size_t>(ix),
                                       wide * high / (raster.dx_m * raster.dy_m)});
                }
            }
        }
        parts.push_back(std::move(of_cell));
    }
    return parts;
}

std::vector<double> cover_of(const std::vector<std::vector<CellPart>>& parts, const HeatMap& raster) {
    std::vector<double> cover(static_cast<std::size_t>(raster.nx) * static_cast<std::size_t>(raster.ny), 0.0);
    for (const auto& of_cell : parts) {
        for (const CellPart& part : of_cell) {
            cover[part.node] += part.share;
        }
    }
    return cover;
}

}  // namespace

bool on_cell(const PanelType& type, const HeatSpec& spec, double x, double y) {
    const int cell = type.cell_at(x, y);
    if (cell < 0) {
        return false;
    }
    const Gaps gaps = gaps_of(type, spec);
    const auto box = type.cell_box(cell);
    return x >= box.left + 0.5 * gaps.x && x <= box.right - 0.5 * gaps.x && y >= box.top + 0.5 * gaps.y &&
           y <= box.bottom - 0.5 * gaps.y;
}

double cell_area_m2(const PanelType& type, const HeatSpec& spec) {
    const Gaps gaps = gaps_of(type, spec);
    const auto box = type.cell_box(0);
    return (box.right - box.left - gaps.x) * (box.bottom - box.top - gaps.y);
}

ModuleSheet::ModuleSheet(const PanelType& type, Top top, const HeatSpec& spec, double loss_w_m2k)
    : raster_(heat_raster(type)),
      loss_w_m2k_(loss_w_m2k),
      parts_(parts_of(type, spec, raster_)),
      cover_(cover_of(parts_, raster_)),
      sheet_(make_grid(type, top, spec)) {}

SheetGrid ModuleSheet::make_grid(const PanelType& type, Top top, const HeatSpec& spec) const {
    const Links links(type, spec, layers_of(type, spec));
    const double dx = raster_.dx_m;
    const double dy = raster_.dy_m;
    SheetGrid grid;
    grid.nx = raster_.nx;
    grid.ny = raster_.ny;
    for (int iy = 0; iy < grid.ny; ++iy) {
        for (int ix = 0; ix < grid.nx; ++ix) {
            const double x = (ix + 0.5) * dx;
            const double y = (iy + 0.5) * dy;
            grid.along_x.push_back(links.along_x(x, y, dx, dy));
            grid.along_y.push_back(links.along_y(x, y, dy, dx));
            // Rails hinder the air behind the module; the rim is a fin that loses more.
            double loss = loss_w_m2k_ * dx * dy;
            loss *= 1.0 - spec.rail_hindrance * rail_share(type, top, raster_, x, y, spec.rail_width_m);
            if (type.frame_width_m > 0.0) {
                const double rim =
                    (ix == 0 || ix + 1 == grid.nx ? dy : 0.0) + (iy == 0 || iy + 1 == grid.ny ? dx : 0.0);
                loss += spec.frame_loss_w_mk * rim;
            }
            grid.loss.push_back(loss);
        }
    }
    return grid;
}

HeatMap ModuleSheet::empty_map() const {
    HeatMap map = raster_;
    map.values.assign(size(), 0.0F);
    return map;
}

Eigen::Vector2d ModuleSheet::node_at(std::size_t node) const {
    const auto width = static_cast<std::size_t>(raster_.nx);
    return {(static_cast<double>(node % width) + 0.5) * raster_.dx_m,
            (static_cast<double>(node / width) + 0.5) * raster_.dy_m};
}

void ModuleSheet::add_to_cell(std::vector<double>& sources_w_m2, int cell, double w_m2) const {
    for (const CellPart& part : cell_parts(cell)) {
        sources_w_m2[part.node] += part.share * w_m2;
    }
}

HeatMap ModuleSheet::solve(const std::vector<double>& sources_w_m2) const {
    std::vector<double> watts = sources_w_m2;
    for (double& value : watts) {
        value *= raster_.dx_m * raster_.dy_m;
    }
    const std::vector<double> rise = sheet_.solve(watts);
    HeatMap map = raster_;
    map.values.reserve(rise.size());
    for (const double value : rise) {
        map.values.push_back(static_cast<float>(value));
    }
    return map;
}

ModuleSheet::Response ModuleSheet::response_of_cell(int cell) const {
    std::vector<double> sources(size(), 0.0);
    add_to_cell(sources, cell, 1.0);
    const HeatMap map = solve(sources);
    const float least = 1e-3F * *std::ranges::max_element(map.values);
    int x1 = 0;
    int y1 = 0;
    Response response{map.nx, map.ny, 0, 0, {}};
    for (int iy = 0; iy < map.ny; ++iy) {
        for (int ix = 0; ix < map.nx; ++ix) {
            if (map.values[static_cast<std::size_t>(iy * map.nx + ix)] >= least) {
                response.x0 = std::min(response.x0, ix);
                response.y0 = std::min(response.y0, iy);
                x1 = std::max(x1, ix + 1);
                y1 = std::max(y1, iy + 1);
            }
        }
    }
    response.nx = x1 - response.x0;
    response.ny = y1 - response.y0;
    for (int iy = response.y0; iy < y1; ++iy) {
        const auto row = map.values.begin() + static_cast<std::ptrdiff_t>(iy) * map.nx;
        response.values.insert(response.values.end(), row + response.x0, row + x1);
    }
    return response;
}

}  // namespace scene
