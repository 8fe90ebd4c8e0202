// Drafts of a layout from rendered surveys, held against the layout that was rendered; a Markdown table on stdout.
// Called by tests/scenes/segmentation.
//
// Arguments: NAME FOLDER...: FOLDER/survey as heatrow sees it, FOLDER/truth beside it; folders of one name follow each
// other. The draft is told the module types on site; of surveys without poses also the frame that shows most whole
// modules, and how those are tilted and which way they face. It reads no layout. With --least-drafted PERCENT and
// --most-invented COUNT the exit code is 1 where a name misses them.
#include "heatrow/core/units.hpp"
#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/layout_reader.hpp"
#include "heatrow/io/survey_settings.hpp"
#include "heatrow/io/text_table.hpp"
#include "heatrow/pipeline/draft_layout.hpp"
#include "true_outlines.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <map>
#include <numbers>
#include <optional>
#include <set>
#include <string>
#include <vector>

using namespace heatrow;
using Eigen::Vector2d;
using Eigen::Vector3d;

namespace {

struct Place {
    std::string id;
    Vector3d middle;  // site frame, m
};

struct Figures {
    int on_site = 0;
    int drafted = 0;
    int invented = 0;
    int ids_alike = 0;
    std::vector<double> off_m;     // horizontal distance once the mean is taken out
    std::vector<double> height_m;  // the same of heights
    double shift_m = 0.0;          // that was taken out, the largest of the surveys
    double lift_m = 0.0;
};

// Pairs of drafted and true modules, each at most once.
struct Match {
    std::vector<std::pair<std::size_t, std::size_t>> pairs;
    double sum_m = 0.0;
};

Match match_at(const std::vector<Place>& draft, const std::vector<Place>& truth, const Vector2d& shift) {
    constexpr double kSame = 0.35;  // m, a third of a module's width
    Match match;
    std::set<std::size_t> taken;
    for (std::size_t i = 0; i < draft.size(); ++i) {
        std::size_t nearest = truth.size();
        double least = kSame;
        for (std::size_t j = 0; j < truth.size(); ++j) {
            const double off = (truth[j].middle.head<2>() - draft[i].middle.head<2>() - shift).norm();
            if (off < least) {
                least = off;
                nearest = j;
            }
        }
        if (nearest < truth.size() && taken.insert(nearest).second) {
            match.pairs.emplace_back(i, nearest);
            match.sum_m += least;
        }
    }
    return match;
}

Vector3d mean_difference(const std::vector<Place>& draft, const std::vector<Place>& truth, const Match& match) {
    Vector3d sum = Vector3d::Zero();
    for (const auto& [i, j] : match.pairs) {
        sum += truth[j].middle - draft[i].middle;
    }
    return sum / static_cast<double>(match.pairs.size());
}

// Under the horizontal shift that brings most modules onto one another. Ids are not looked at.
Match best_match(const std::vector<Place>& draft, const std::vector<Place>& truth) {
    Match best;
    for (const Place& drafted : draft) {
        for (const Place& real : truth) {
            const Match match = match_at(draft, truth, (real.middle - drafted.middle).head<2>());
            if (match.pairs.size() > best.pairs.size() ||
                (match.pairs.size() == best.pairs.size() && match.sum_m < best.sum_m)) {
                best = match;
            }
        }
    }
    return best.pairs.empty() ? best : match_at(draft, truth, mean_difference(draft, truth, best).head<2>());
}

// Alike, or but for letters of the area before one of them.
bool same_id(const std::string& a, const std::string& b) {
    return a.ends_with(b) || b.ends_with(a);
}

void add(Figures& figures, const std::vector<Place>& draft, const std::vector<Place>& truth) {
    const Match match = best_match(draft, truth);
    figures.on_site += static_cast<int>(truth.size());
    figures.drafted += static_cast<int>(match.pairs.size());
    figures.invented += static_cast<int>(draft.size() - match.pairs.size());
    if (match.pairs.empty()) {
        return;
    }
    const Vector3d shift = mean_difference(draft, truth, match);
    figures.shift_m = std::max(figures.shift_m, shift.head<2>().norm());
    figures.lift_m = std::max(figures.lift_m, std::abs(shift.z()));
    for (const auto& [i, j] : match.pairs) {
        const Vector3d off = truth[j].middle - draft[i].middle - shift;
        figures.off_m.push_back(off.head<2>().norm());
        figures.height_m.push_back(off.z());
        figures.ids_alike += same_id(draft[i].id, truth[j].id) ? 1 : 0;
    }
}

std::set<std::string> missing_modules(const std::filesystem::path& faults) {
    const TextTable table = read_text_table(faults);
    std::set<std::string> missing;
    for (const TextRow& row : table.rows) {
        if (cell(row, table.find_column("pattern").value()) == "module_missing") {
            missing.emplace(cell(row, table.find_column("module").value()));
        }
    }
    return missing;
}

// What somebody on the roof would tell of a survey without poses, and the modules that the frame shows whole.
UnposedFrame tell_frame(const std::filesystem::path& outlines, const Layout& layout, std::set<std::string>& shown) {
    UnposedFrame frame;
    for (const auto& [name, modules] : read_true_outlines(outlines)) {
        std::set<std::string> whole;
        for (const TrueModule& module : modules) {
            if (module.whole) {
                whole.insert(module.id);
            }
        }
        if (whole.size() > shown.size()) {
            shown = whole;
            frame.name = name;
        }
    }
    constexpr double kDegrees = 180.0 / std::numbers::pi;
    const Module& first = layout.modules[static_cast<std::size_t>(layout.find_module(*shown.begin()).value())];
    frame.tilt_deg = first.tilt.value() * kDegrees;
    frame.azimuth_deg = first.azimuth.value() * kDegrees;
    return frame;
}

void add_survey(Figures& figures, const std::filesystem::path& folder) {
    const SurveySettings settings = read_survey_settings(folder / "survey");
    const Layout layout =
        read_layout(settings.site.layout, find_module_types(settings.site.module_types), settings.site.origin);
    DraftOptions options;
    for (const ModuleType& type : layout.types) {
        options.types.push_back(type.id);
    }
    std::set<std::string> shown;
    if (settings.frames.placement == FrameSettings::Placement::corner_points) {
        options.frame = tell_frame(folder / "truth" / "outlines.csv", layout, shown);
    }
    const std::set<std::string> missing = missing_modules(folder / "truth" / "faults.csv");
    std::vector<Place> truth;
    for (const Module& module : layout.modules) {
        if (!missing.contains(module.id) && (!options.frame || shown.contains(module.id))) {
            truth.push_back({module.id, module.centre_in_site()});
        }
    }
    std::vector<Place> draft;
    for (const PlannedModule& module : draft_layout(folder / "survey", options).modules) {
        const auto& corners = module.corners_in_site;
        draft.push_back({module.id, 0.25 * (corners[0] + corners[1] + corners[2] + corners[3])});
    }
    add(figures, draft, truth);
}

double rms_cm(const std::vector<double>& metres) {
    double sum = 0.0;
    for (const double off : metres) {
        sum += off * off;
    }
    return 100.0 * std::sqrt(sum / static_cast<double>(metres.size()));
}

}  // namespace

int main(int argc, char** argv) {
    std::map<std::string, Figures> figures;
    std::vector<std::string> names;
    double least_drafted = 0.0;
    double most_invented = HUGE_VAL;
    try {
        for (int i = 1; i < argc; ++i) {
            const std::string word = argv[i];
            if ((word == "--least-drafted" || word == "--most-invented") && i + 1 < argc) {
                (word == "--least-drafted" ? least_drafted : most_invented) = std::stod(argv[++i]);
            } else if (std::filesystem::is_directory(word)) {
                add_survey(figures[names.empty() ? word : names.back()], word);
            } else {
                names.push_back(word);
            }
        }
    } catch (const std::exception& problem) {
        fmt::print(stderr, "draft_figures: {}\n", problem.what());
        return 2;
    }
    fmt::print(
        "| scene | modules on site | drafted | invented | ids as rendered | places, RMS | worst | heights, RMS | mean "
        "shift taken out | mean height taken out |\n| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |\n");
    bool met = true;
    for (const std::string& name : names) {
        const Figures& f = figures[name];
        const double worst = f.off_m.empty() ? kNaN : *std::max_element(f.off_m.begin(), f.off_m.end());
        met = met && f.on_site > 0 && 100.0 * f.drafted / f.on_site >= least_drafted && f.invented <= most_invented;
        fmt::print("| {} | {} | {} | {} | {} | {:.2f} cm | {:.2f} cm | {:.2f} cm | {:.1f} m | {:.1f} m |\n",
                   name,
                   f.on_site,
                   f.drafted,
                   f.invented,
                   f.ids_alike,
                   rms_cm(f.off_m),
                   100.0 * worst,
                   rms_cm(f.height_m),
                   f.shift_m,
                   f.lift_m);
    }
    return met ? 0 : 1;
}
