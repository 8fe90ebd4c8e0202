#include "heatrow/io/changes_gpkg.hpp"

#include "gis_style.hpp"
#include "gpkg_file.hpp"
#include "heatrow/io/changes_csv.hpp"

#include <algorithm>

namespace heatrow {
namespace {

using detail::GpkgSchema;
using detail::GpkgTable;
using detail::MapPoints;
using enum detail::GpkgType;

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

const GpkgSchema& modules_schema() {
    static const GpkgSchema schema = {"changed_modules",
                                      wkbPolygon25D,
                                      "Modules by change",
                                      {{"module", text, "Module"},
                                       {"module_before", text, "Module in the survey before"},
                                       {"string", text, "String"},
                                       {"kind", text, "Change since the survey before"},
                                       {"parts", integer, "Parts told of"}}};
    return schema;
}

const GpkgSchema& parts_schema() {
    static const GpkgSchema schema = {"changes",
                                      wkbPoint25D,
                                      "Changes",
                                      {{"from_survey", text, "Earlier survey"},
                                       {"to_survey", text, "Later survey"},
                                       {"kind", text, "Change"},
                                       {"level", text, "Part"},
                                       {"module", text, "Module"},
                                       {"string", text, "String"},
                                       {"part", text, "Cells or substrings"},
                                       {"pattern_before", text, "Pattern before"},
                                       {"pattern", text, "Pattern"},
                                       {"class", integer, "Higher class of abnormality of the two (1, 2, 3)"},
                                       {"normalised_before_k", real, "Before, normalised [K]"},
                                       {"normalised_k", real, "Now, normalised [K]"},
                                       {"change_k", real, "Change [K]"},
                                       {"change_u95_k", real, "Change, 95 % half width [K]"},
                                       {"detectable_k", real, "Change found in 95 % [K]"},
                                       {"p", real, "Probability of as much by chance"},
                                       {"reason", text, "What to know"}}};
    return schema;
}

// Colours by Okabe and Ito, as the classes have them; shape and words tell kinds apart without colour.
struct KindStyle {
    ChangeKind kind;
    std::string_view words;
    std::string_view colour;
    std::string_view shape;
};
constexpr std::array<KindStyle, kChangeKinds> kStyles{{
    {ChangeKind::new_finding, "new", "213,94,0,255", "star"},
    {ChangeKind::grown, "grown", "230,159,0,255", "triangle"},
    {ChangeKind::pattern_changed, "another pattern", "204,121,167,255", "diamond"},
    {ChangeKind::gone, "gone", "0,114,178,255", "cross_fill"},
    {ChangeKind::shrunk, "shrunk", "86,180,233,255", "equilateral_triangle"},
    {ChangeKind::unchanged, "no change that the surveys can tell", "214,222,221,255", "circle"},
    {ChangeKind::not_comparable, "not comparable: not called unchanged", "255,255,255,255", "square"},
}};
constexpr std::string_view kInk = "28,35,48,255";

std::string modules_style() {
    std::vector<detail::StyleCategory> categories;
    for (const KindStyle& style : kStyles) {
        std::string layers = detail::fill(style.colour, "solid", kInk, "0.1");
        if (style.kind == ChangeKind::not_comparable) {
            layers += detail::fill("139,143,148,255", "f_diagonal", kInk, "0.1");
        }
        categories.push_back({std::string(to_string(style.kind)), std::string(style.words), layers});
    }
    return detail::gis_style(detail::categorised_renderer("fill", "kind", categories), "", modules_schema());
}

std::string parts_style() {
    std::vector<detail::StyleCategory> categories;
    for (const KindStyle& style : kStyles) {
        categories.push_back({std::string(to_string(style.kind)),
                              std::string(style.words),
                              detail::symbol_layer("SimpleMarker",
                                                   {{"name", std::string(style.shape)},
                                                    {"color", std::string(style.colour)},
                                                    {"size", "4"},
                                                    {"size_unit", "MM"},
                                                    {"outline_color", std::string(kInk)},
                                                    {"outline_width", "0.3"},
                                                    {"outline_width_unit", "MM"}})});
    }
    return detail::gis_style(detail::categorised_renderer("marker", "kind", categories, "class"), "", parts_schema());
}

class Writer {
  public:
    Writer(const Comparison& comparison, std::span<const SurveyRecord* const> surveys)
        : comparison_(comparison), surveys_(surveys), last_(static_cast<int>(surveys.size()) - 1) {}

    detail::TableCount write_modules(GpkgTable table, const MapPoints& points) const {
        const Layout& layout = surveys_[at(last_)]->layout;
        const std::vector<ChangeKind> kinds = kinds_of_modules(comparison_, surveys_);
        std::vector<int> parts(layout.modules.size(), 0);
        for (const PartHistory& history : comparison_.parts) {
            if (const int index = module_index(history.part); index >= 0) {
                ++parts[at(index)];
            }
        }
        for (int m = 0; m < static_cast<int>(comparison_.site.modules.size()); ++m) {
            const int index = comparison_.site.modules[at(m)].index.back();
            if (index < 0) {
                continue;
            }
            const Module& module = layout.modules[at(index)];
            table.text(module.id).text(module_id(comparison_, surveys_, m, last_ - 1));
            table.text(module.string < 0 ? std::string() : layout.strings[at(module.string)].id);
            table.text(to_string(kinds[at(index)])).integer(parts[at(index)]);
            table.end_row(points.polygon({module.corners_in_site.begin(), module.corners_in_site.end()}, true));
        }
        return {table.name(), table.rows()};
    }

    detail::TableCount write_parts(GpkgTable table, const MapPoints& points) const {
        for (std::size_t s = 0; s < comparison_.steps.size(); ++s) {
            for (const PartHistory& history : comparison_.parts) {
                write_part(table, points, history, s);
            }
        }
        return {table.name(), table.rows()};
    }

  private:
    // In the last survey's layout; -1 for strings and modules that it does not have.
    [[nodiscard]] int module_index(const SitePart& part) const {
        return part.module < 0 ? -1 : comparison_.site.modules[at(part.module)].index.back();
    }

    void write_part(GpkgTable& table, const MapPoints& points, const PartHistory& history, std::size_t s) const {
        const StepSummary& step = comparison_.steps[s];
        const PartChange& change = history.changes[s];
        const PartSeason& before = history.seasons[at(step.from)];
        const PartSeason& now = history.seasons[at(step.to)];
        const auto pattern = [&](const PartSeason& season, int survey) {
            return season.finding < 0 ? std::string_view()
                                      : to_string(surveys_[at(survey)]->findings[at(season.finding)].pattern);
        };
        table.text(surveys_[at(step.from)]->survey_id).text(surveys_[at(step.to)]->survey_id);
        table.text(to_string(change.kind)).text(to_string(history.part.level));
        table.text(module_id(comparison_, surveys_, history.part.module, step.to));
        table.text(string_id(comparison_, surveys_, history.part, step.to)).text(part_text(history.part));
        table.text(pattern(before, step.from)).text(pattern(now, step.to));
        before.finding >= 0 || now.finding >= 0
            ? table.integer(static_cast<int>(class_of_step(history, surveys_, step)))
            : table.null();
        table.real(before.normalised.value.value()).real(now.normalised.value.value());
        table.real(change.change.value.value()).real(change.change.u95()).real(change.detectable.value());
        table.real(change.p).text(change.reason);
        table.end_row(place_of(points, history.part));
    }

    // Middle of the cells, module or string on the last plan.
    [[nodiscard]] std::unique_ptr<OGRGeometry> place_of(const MapPoints& points, const SitePart& part) const {
        const Layout& layout = surveys_[at(last_)]->layout;
        std::vector<int> modules;
        if (const int index = module_index(part); index >= 0) {
            modules = {index};
        } else if (part.string >= 0 && comparison_.site.strings[at(part.string)].index.back() >= 0) {
            modules = layout.strings[at(comparison_.site.strings[at(part.string)].index.back())].modules;
        }
        if (modules.empty()) {
            return nullptr;
        }
        Eigen::Vector3d middle(0.0, 0.0, 0.0);
        for (const int module : modules) {
            middle += layout.modules[at(module)].centre_in_site();
        }
        middle /= static_cast<double>(modules.size());
        if (!part.cells.empty()) {
            const Module& module = layout.modules[at(modules.front())];
            const ModuleType& type = layout.type_of(module);
            Eigen::Vector2d in_plane(0.0, 0.0);
            for (const CellIndex cell : part.cells) {
                for (const Eigen::Vector2d& corner : type.cell_corners(cell)) {
                    in_plane += corner / (4.0 * static_cast<double>(part.cells.size()));
                }
            }
            middle = module.point_in_site(type, in_plane);
        }
        return std::make_unique<OGRPoint>(points.at(middle));
    }

    const Comparison& comparison_;
    std::span<const SurveyRecord* const> surveys_;
    int last_;
};

}  // namespace

std::vector<ChangeKind> kinds_of_modules(const Comparison& comparison, std::span<const SurveyRecord* const> surveys) {
    const Layout& layout = surveys.back()->layout;
    const std::size_t step = surveys.size() - 2;
    std::vector<ChangeKind> kinds(layout.modules.size(), ChangeKind::not_comparable);
    for (const SiteModule& module : comparison.site.modules) {
        const int now = module.index.back();
        const int before = module.index[surveys.size() - 2];
        if (now >= 0 && before >= 0 && module.identity.back() == Identity::same &&
            surveys.back()->modules[at(now)].assessed && surveys[surveys.size() - 2]->modules[at(before)].assessed) {
            kinds[at(now)] = ChangeKind::unchanged;
        }
    }
    // The kinds that stand first in the styles go before the others.
    const auto rank = [](ChangeKind kind) {
        return std::find_if(kStyles.begin(), kStyles.end(), [kind](const KindStyle& s) { return s.kind == kind; });
    };
    const auto raise = [&](int module, ChangeKind kind) {
        if (kind != ChangeKind::not_comparable && rank(kind) < rank(kinds[at(module)])) {
            kinds[at(module)] = kind;
        }
    };
    const auto mark = [&](const PartHistory& history) {
        const ChangeKind kind = history.changes[step].kind;
        if (history.part.module >= 0) {
            if (const int index = comparison.site.modules[at(history.part.module)].index.back(); index >= 0) {
                raise(index, kind);
            }
        } else if (const int string = comparison.site.strings[at(history.part.string)].index.back(); string >= 0) {
            for (const int module : layout.strings[at(string)].modules) {
                raise(module, kind);
            }
        }
    };
    // What findings name speaks for a module; what the search found only where that is silent.
    for (const PartHistory& history : comparison.parts) {
        if (!history.changes[step].searched) {
            mark(history);
        }
    }
    const std::vector<ChangeKind> by_findings = kinds;
    for (const PartHistory& history : comparison.parts) {
        if (history.changes[step].searched) {
            mark(history);
        }
    }
    for (std::size_t m = 0; m < kinds.size(); ++m) {
        const bool spoken = by_findings[m] != ChangeKind::unchanged && by_findings[m] != ChangeKind::not_comparable;
        kinds[m] = spoken ? by_findings[m] : kinds[m];
    }
    return kinds;
}

void write_changes_gpkg(const Comparison& comparison,
                        std::span<const SurveyRecord* const> surveys,
                        const std::filesystem::path& path) {
    const Writer writer(comparison, surveys);
    const SiteProjection projection(surveys.back()->layout.origin);
    const UtcTime time = std::chrono::floor<std::chrono::seconds>(survey_time(*surveys.back()));
    detail::write_gpkg_file(
        path,
        projection,
        time,
        {{modules_schema(), modules_style()}, {parts_schema(), parts_style()}},
        [&](GDALDataset& dataset, const MapPoints& points, const OGRSpatialReference& reference) {
            return std::vector{writer.write_modules(GpkgTable(dataset, modules_schema(), &reference, path), points),
                               writer.write_parts(GpkgTable(dataset, parts_schema(), &reference, path), points)};
        });
}

}  // namespace heatrow
