#include "visible_looks.hpp"

#include "heatrow/core/homography.hpp"
#include "heatrow/core/median.hpp"
#include "hot_modules.hpp"
#include "parallel_items.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <cmath>
#include <map>

namespace heatrow {
namespace {

using Eigen::Vector2d;

constexpr std::size_t kMostPictures = 3;
constexpr std::size_t kFewestOthers = 5;  // modules, for the scatter to mean something
const Radians kShallowest = degrees(70.0);

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

double level_of(Colour colour) {
    return (colour.red + colour.green + colour.blue) / 3.0;
}

struct FrontLevels {
    std::vector<double> cells;  // mean levels, less their median
    double median = 0.0;
};

// Nothing where the picture does not show the module whole, from the front.
std::optional<FrontLevels> front_levels(const LaidPicture& picture, const Layout& layout, const Module& module) {
    constexpr int kSamples = 6;      // across a cell
    constexpr double kInside = 0.8;  // of a cell: without the lines between cells
    const PosedCamera& camera = picture.camera;
    if (camera.view_angle(module.centre_in_site(), module.normal_in_site()) > kShallowest) {
        return std::nullopt;
    }
    std::vector<Vector2d> corners_px;
    for (const Eigen::Vector3d& corner : module.corners_in_site) {
        const auto pixel = camera.project(corner);
        if (!pixel || !inside_picture(camera.lens(), *pixel, 1.0)) {
            return std::nullopt;
        }
        corners_px.push_back(*pixel);
    }
    const ModuleType& type = layout.type_of(module);
    const double width = type.width.value();
    const double height = type.height.value();
    const auto pixel_from_plane = homography({{0.0, 0.0}, {width, 0.0}, {width, height}, {0.0, height}}, corners_px);
    if (!pixel_from_plane) {
        return std::nullopt;
    }
    FrontLevels front;
    for (int cell = 0; cell < type.cell_count(); ++cell) {
        const auto corners = type.cell_corners(type.cell_at(cell));
        const Vector2d low = corners[0];
        const Vector2d sides = corners[2] - corners[0];
        double sum = 0.0;
        for (int i = 0; i < kSamples * kSamples; ++i) {
            const Vector2d share = Vector2d::Constant(0.5 * (1.0 - kInside)) +
                                   kInside / kSamples * Vector2d(i % kSamples + 0.5, i / kSamples + 0.5);
            const Vector2d pixel = (*pixel_from_plane * (low + sides.cwiseProduct(share)).homogeneous()).hnormalized();
            sum += level_of(picture.pixels.view()(static_cast<int>(std::lround(pixel.x())),
                                                  static_cast<int>(std::lround(pixel.y()))));
        }
        front.cells.push_back(sum / (kSamples * kSamples));
    }
    front.median = median_of(front.cells);
    for (double& level : front.cells) {
        level -= front.median;
    }
    return front;
}

using ShownModules = std::map<int, FrontLevels>;  // by layout index

// The modules of one type that a picture shows whole.
ShownModules shown_in(const LaidPicture& picture, const LayoutIndex& site, const std::string& type) {
    ShownModules shown;
    const auto footprint = picture.camera.footprint(Metres(site.lowest_m()));
    if (!footprint) {
        return shown;
    }
    Vector2d low = (*footprint)[0].head<2>();
    Vector2d high = low;
    for (const Eigen::Vector3d& corner : *footprint) {
        low = low.cwiseMin(corner.head<2>());
        high = high.cwiseMax(corner.head<2>());
    }
    for (const int index : site.modules_in_box(low, high)) {
        const Module& module = site.module(index);
        if (site.layout().type_of(module).id != type) {
            continue;
        }
        if (auto front = front_levels(picture, site.layout(), module)) {
            shown.emplace(index, std::move(*front));
        }
    }
    return shown;
}

// Robust standard deviation from absolute deviations; pictures have whole levels.
double scatter_of(std::vector<double> deviations) {
    constexpr double kOfNormal = 1.4826;  // standard deviation of a normal distribution over its median deviation
    constexpr double kStep = 1.0;
    return std::max(kStep, kOfNormal * take_median(deviations));
}

// A module against the others of a picture; nothing where these are too few.
std::optional<VisibleLook> look_in(const ShownModules& shown, int module) {
    const auto own = shown.find(module);
    if (own == shown.end() || shown.size() <= kFewestOthers) {
        return std::nullopt;
    }
    VisibleLook look;
    look.pictures = 1;
    look.others = static_cast<int>(shown.size()) - 1;
    // By how much the others' values lie off what is usual among them goes to `off`.
    const auto usual_of = [&](const auto& value, std::vector<double>& off) {
        std::vector<double> same;
        for (const auto& [index, front] : shown) {
            if (index != module) {
                same.push_back(value(front));
            }
        }
        const double usual = median_of(same);
        for (const double other : same) {
            off.push_back(std::abs(other - usual));
        }
        return usual;
    };
    std::vector<double> off;
    for (std::size_t cell = 0; cell < own->second.cells.size(); ++cell) {
        const double usual = usual_of([cell](const FrontLevels& front) { return front.cells[cell]; }, off);
        look.brighter.push_back(own->second.cells[cell] - usual);
    }
    look.scatter = scatter_of(std::move(off));
    std::vector<double> fronts_off;
    const double usual_front = usual_of([](const FrontLevels& front) { return front.median; }, fronts_off);
    look.front_brighter = own->second.median - usual_front;
    look.front_scatter = scatter_of(std::move(fronts_off));
    return look;
}

// What two pictures agree on.
double lesser(double a, double b) {
    return a * b <= 0.0 ? 0.0 : std::abs(a) < std::abs(b) ? a : b;
}

void add_picture(VisibleLook&& look, std::optional<VisibleLook>& sum) {
    if (!sum) {
        sum = std::move(look);
        return;
    }
    for (std::size_t cell = 0; cell < look.brighter.size(); ++cell) {
        sum->brighter[cell] = lesser(sum->brighter[cell], look.brighter[cell]);
    }
    sum->front_brighter = lesser(sum->front_brighter, look.front_brighter);
    sum->front_scatter = std::max(sum->front_scatter, look.front_scatter);
    sum->scatter = std::max(sum->scatter, look.scatter);
    sum->others = std::min(sum->others, look.others);
    ++sum->pictures;
}

// Up to kMostPictures partners of the frames that show the module largest, each once.
std::vector<std::size_t> pictures_of(const VisiblePartners& partners, std::vector<const PlacedView*> views) {
    sort_largest_first(views);
    std::vector<std::size_t> pictures;
    for (const PlacedView* view : views) {
        const auto partner = partners.of_frame(view->frame);
        if (partner && std::find(pictures.begin(), pictures.end(), *partner) == pictures.end() &&
            pictures.size() < kMostPictures) {
            pictures.push_back(*partner);
        }
    }
    return pictures;
}

}  // namespace

void look_at_visible_frames(const SurveyInputs& inputs,
                            const LayoutIndex& site,
                            const VisiblePartners& partners,
                            std::span<const PlacedView> views,
                            int threads,
                            const Progress& progress,
                            std::vector<ModuleInput>& modules) {
    if (inputs.visible.frames.empty()) {
        return;
    }
    const ViewsByModule by_module = views_by_module(views);
    std::map<std::size_t, std::vector<std::size_t>> by_picture;  // indices of the run's modules
    for (std::size_t m = 0; m < modules.size(); ++m) {
        const auto own = by_module.find(modules[m].fused.module);
        if (own == by_module.end() || modules[m].placement != Placement::placed ||
            cells_above(modules[m].fused, KelvinDelta(inputs.profile.candidate_cell_k.value)).empty()) {
            continue;
        }
        for (const std::size_t picture : pictures_of(partners, own->second)) {
            by_picture[picture].push_back(m);
        }
    }
    const std::vector<std::pair<std::size_t, std::vector<std::size_t>>> jobs(by_picture.begin(), by_picture.end());
    std::vector<std::vector<std::optional<VisibleLook>>> looks(jobs.size());
    for_each_item(jobs.size(), threads, "looking at visible frames", progress, [&](std::size_t job) {
        const auto& [picture, members] = jobs[job];
        const auto laid = partners.lay(picture);
        if (!laid || !laid->fits) {
            return;
        }
        std::map<std::string, ShownModules> shown;  // by module type
        for (const std::size_t m : members) {
            const int module = modules[m].fused.module;
            const std::string& type = inputs.layout.type_of(inputs.layout.modules[at(module)]).id;
            auto known = shown.find(type);
            if (known == shown.end()) {
                known = shown.emplace(type, shown_in(*laid, site, type)).first;
            }
            looks[job].push_back(look_in(known->second, module));
        }
    });
    for (std::size_t job = 0; job < jobs.size(); ++job) {
        for (std::size_t i = 0; i < looks[job].size(); ++i) {
            if (looks[job][i]) {
                looks[job][i]->frame = inputs.visible.frames[jobs[job].first].file.name;
                add_picture(std::move(*looks[job][i]), modules[jobs[job].second[i]].visible);
            }
        }
    }
}

}  // namespace heatrow
