// Module grids found without a layout in single frames of rendered surveys, held against the true outlines; a Markdown
// table on stdout. Called by tests/scenes/segmentation.
//
// Arguments: NAME FOLDER...: FOLDER/survey as heatrow sees it, FOLDER/truth beside it; folders of one name follow each
// other. Nothing but the camera's lens and blur is read from survey.toml; the layout and the module types are not.
// With --least-found PERCENT and --most-invented COUNT the exit code is 1 where a name misses them.
#include "heatrow/core/error.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/io/frame_reader.hpp"
#include "heatrow/io/lens_settings.hpp"
#include "heatrow/io/survey_settings.hpp"
#include "heatrow/pipeline/module_grids.hpp"
#include "true_outlines.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>
#include <map>
#include <string>
#include <vector>

using namespace heatrow;
using Eigen::Vector2d;

namespace {

using Corners = std::array<Vector2d, 4>;

struct Figures {
    int frames = 0;
    int without = 0;  // frames in which no grid was found
    int whole = 0;
    int found = 0;
    int invented = 0;
    std::vector<double> corner_px;    // distance of every corner
    std::vector<double> cell_offset;  // of a module's middle, in shares of a tenth of its sides, the larger one
};

Vector2d middle_of(const Corners& corners) {
    return 0.25 * (corners[0] + corners[1] + corners[2] + corners[3]);
}

// Distances of the corners in the way round that fits best; nothing where the outline is not this module's.
std::vector<double> corner_distances(const GridModule& module, const TrueModule& truth) {
    std::vector<double> best;
    double least = HUGE_VAL;
    for (std::size_t turn = 0; turn < 4; ++turn) {
        std::vector<double> distances;
        double sum = 0.0;
        for (std::size_t k = 0; k < 4; ++k) {
            distances.push_back((module.corners_px[k] - truth.corners_px[(k + turn) % 4]).norm());
            sum += distances.back();
        }
        if (sum < least) {
            least = sum;
            best = distances;
        }
    }
    constexpr double kOther = 0.15;  // of a side
    const double side = (truth.corners_px[1] - truth.corners_px[0]).norm();
    return 0.25 * least < kOther * side ? best : std::vector<double>{};
}

// A module of ten by six cells: its short side has six.
double cell_offset(const GridModule& module, const TrueModule& truth) {
    const Vector2d off = middle_of(module.corners_px) - middle_of(truth.corners_px);
    const Vector2d a = truth.corners_px[1] - truth.corners_px[0];
    const Vector2d b = truth.corners_px[3] - truth.corners_px[0];
    const double short_side = std::min(a.norm(), b.norm());
    constexpr double kCells = 6.0;
    return off.norm() / (short_side / kCells);
}

void add(Figures& figures, const std::vector<ModuleGrid>& grids, const std::vector<TrueModule>& truth) {
    std::size_t right = 0;
    for (const TrueModule& module : truth) {
        figures.whole += module.whole ? 1 : 0;
        for (const ModuleGrid& grid : grids) {
            const GridModule* found = grid.at(middle_of(module.corners_px));
            if (found == nullptr) {
                continue;
            }
            const auto distances = corner_distances(*found, module);
            if (distances.empty()) {
                continue;
            }
            ++right;
            if (module.whole) {
                ++figures.found;
                figures.corner_px.insert(figures.corner_px.end(), distances.begin(), distances.end());
                figures.cell_offset.push_back(cell_offset(*found, module));
            }
        }
    }
    std::size_t all = 0;
    for (const ModuleGrid& grid : grids) {
        all += grid.modules.size();
    }
    figures.invented += static_cast<int>(all - right);
}

void add_survey(Figures& figures, const std::filesystem::path& folder) {
    const SurveySettings settings = read_survey_settings(folder / "survey");
    GridOptions options;
    options.lens = lens_of(settings.frame_camera());
    options.blur_sigma_px = settings.frame_camera().blur_sigma_px;
    for (const auto& [frame, modules] : read_true_outlines(folder / "truth" / "outlines.csv")) {
        const auto counts = read_frame(settings.frames.folder / frame);
        if (!counts) {
            throw Error(
                ErrorKind::input, "cannot read a frame", frame, counts.error().detail, "Render the scene again");
        }
        ++figures.frames;
        const auto grids = find_module_grids(counts->counts.view(), options);
        figures.without += grids ? 0 : 1;
        add(figures, grids ? *grids : std::vector<ModuleGrid>{}, modules);
    }
}

double quantile(std::vector<double> values, double share) {
    if (values.empty()) {
        return kNaN;
    }
    std::sort(values.begin(), values.end());
    return values[static_cast<std::size_t>(share * static_cast<double>(values.size() - 1))];
}

}  // namespace

int main(int argc, char** argv) {
    std::map<std::string, Figures> figures;
    std::vector<std::string> names;
    double least_found = 0.0;
    double most_invented = HUGE_VAL;
    std::string name;
    try {
        for (int i = 1; i < argc; ++i) {
            const std::string word = argv[i];
            if ((word == "--least-found" || word == "--most-invented") && i + 1 < argc) {
                (word == "--least-found" ? least_found : most_invented) = std::stod(argv[++i]);
            } else if (std::filesystem::is_directory(word)) {
                add_survey(figures[name], word);
            } else {
                name = word;
                names.push_back(name);
            }
        }
    } catch (const std::exception& problem) {
        fmt::print(stderr, "grid_figures: {}\n", problem.what());
        return 2;
    }
    fmt::print(
        "| scene | frames | frames without a grid | whole modules | found | invented | outline error, median | "
        "95 % | cell grid offset, median | 95 % |\n| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- "
        "|\n");
    bool met = true;
    for (const std::string& scene : names) {
        const Figures& f = figures.at(scene);
        const double share = 100.0 * f.found / std::max(f.whole, 1);
        met = met && f.whole > 0 && share >= least_found && f.invented <= most_invented;
        fmt::print("| {} | {} | {} | {} | {:.2f} % | {} | {:.3f} px | {:.3f} px | {:.3f} cells | {:.3f} cells |\n",
                   scene,
                   f.frames,
                   f.without,
                   f.whole,
                   share,
                   f.invented,
                   median_of(f.corner_px),
                   quantile(f.corner_px, 0.95),
                   median_of(f.cell_offset),
                   quantile(f.cell_offset, 0.95));
    }
    return met ? 0 : 1;
}
