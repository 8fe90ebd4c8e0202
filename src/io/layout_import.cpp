#include "heatrow/io/layout_import.hpp"

#include "drawing_csv.hpp"
#include "drawing_labels.hpp"
#include "drawing_place.hpp"
#include "heatrow/core/error.hpp"
#include "module_outline.hpp"
#include "outline_overlaps.hpp"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <set>

namespace heatrow {
namespace {

using detail::fail_drawing;

std::string at_text(const DrawnOutline& outline) {
    Eigen::Vector2d sum(0.0, 0.0);
    for (const Eigen::Vector2d& point : outline.ring) {
        sum += point / static_cast<double>(outline.ring.size());
    }
    return fmt::format("at ({:.10g}, {:.10g})", sum.x(), sum.y());
}

class LayoutImporter {
  public:
    LayoutImporter(const Drawing& drawing, const ImportOptions& options, const ModuleTypeCatalogue& types)
        : drawing_(drawing), options_(options), catalogue_(types), place_(drawing, options) {}

    ImportedLayout run() {
        require_known_fields();
        const std::vector<std::string> labels =
            options_.labels ? detail::match_labels(drawing_) : std::vector<std::string>(drawing_.outlines.size());
        for (std::size_t i = 0; i < drawing_.outlines.size(); ++i) {
            outline_ = &drawing_.outlines[i];
            if (options_.tables) {
                add_table(labels[i]);
            } else {
                add_module(labels[i]);
            }
        }
        require_unique();
        require_once();
        ImportedLayout imported;
        imported.origin = place_.origin();
        imported.fit = place_.fit();
        imported.labels_left_over =
            options_.labels ? static_cast<int>(drawing_.labels.size()) - static_cast<int>(labels.size()) : 0;
        imported.modules = std::move(modules_);
        return imported;
    }

  private:
    [[noreturn]] void fail(const std::string& why, std::string_view remedy) const {
        fail_drawing(drawing_.name, outline_->entity, fmt::format("{}, {}", why, at_text(*outline_)), remedy);
    }

    // A field that is named on the command line is there in some outline at least.
    void require_known_fields() const {
        for (const auto& [field, source] : options_.fields) {
            bool found = false;
            std::set<std::string> known;
            for (const DrawnOutline& outline : drawing_.outlines) {
                found = found || outline.fields.contains(source);
                for (const auto& [name, value] : outline.fields) {
                    known.insert(name);
                }
            }
            if (!found) {
                fail_drawing(
                    drawing_.name,
                    "",
                    fmt::format("no outline has a field '{}' (for {})", source, field),
                    fmt::format("Its fields: {}", known.empty() ? "none" : fmt::format("{}", fmt::join(known, ", "))));
            }
        }
    }

    // What the drawing, the layer or the command line say about a field; empty where nobody does.
    [[nodiscard]] std::string value(const std::string& field) const {
        const auto mapped = options_.fields.find(field);
        const auto given = outline_->fields.find(mapped == options_.fields.end() ? field : mapped->second);
        if (given != outline_->fields.end() && !given->second.empty()) {
            return given->second;
        }
        if (const auto layer = options_.layer_values.find(outline_->layer); layer != options_.layer_values.end()) {
            if (const auto found = layer->second.find(field); found != layer->second.end()) {
                return found->second;
            }
        }
        const auto found = options_.values.find(field);
        return found == options_.values.end() ? std::string() : found->second;
    }

    [[nodiscard]] std::string required(const std::string& field) const {
        std::string text = value(field);
        if (text.empty()) {
            fail(fmt::format("nothing says its '{}'", field),
                 fmt::format(
                     "Name the drawing's field (--field {}=NAME) or give the value (--set {}=VALUE)", field, field));
        }
        return text;
    }

    [[nodiscard]] double number(const std::string& field, const std::string& text, double low, double high) const {
        double result = 0.0;
        const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), result);
        if (error != std::errc() || end != text.data() + text.size() || !(result >= low && result <= high)) {
            fail(fmt::format("{} = '{}' is no number from {:g} to {:g}", field, text, low, high), "Correct it");
        }
        return result;
    }

    // Everything but id, place and corners.
    [[nodiscard]] PlannedModule described() const {
        constexpr double kSteepest_deg = 85.0;  // docs/formats/layout.md
        PlannedModule module;
        module.type = required("type");
        module.tilt_deg = number("tilt", required("tilt"), 0.0, kSteepest_deg);
        module.azimuth_deg = number("azimuth", required("azimuth"), -360.0, 360.0);
        module.table = value("table");
        module.home = {value("combiner"), value("inverter"), value("input")};
        const std::string top = value("top");
        if (top == "down") {
            module.top = TopEdge::down;
        } else if (top == "left") {
            module.top = TopEdge::left;
        } else if (top == "right") {
            module.top = TopEdge::right;
        } else if (!top.empty() && top != "up") {
            fail(fmt::format("top = '{}' is no direction", top), "Use up, down, left or right");
        }
        return module;
    }

    [[nodiscard]] double height_m() const {
        constexpr double kHighest_m = 1e4;
        const std::string text = value("height");
        return text.empty() ? 0.0 : number("height", text, -kHighest_m, kHighest_m);
    }

    const ModuleType& type_of(const PlannedModule& module) {
        auto found = types_.find(module.type);
        if (found == types_.end()) {
            try {
                found = types_.emplace(module.type, catalogue_.read(module.type)).first;
            } catch (const Error& problem) {
                if (problem.kind() == ErrorKind::input) {
                    fail(problem.what(), "Correct the type, or add its file with --module-types");
                }
                throw;
            }
        }
        return found->second;
    }

    // Corners of the outline in space with `top` up the slope, or as the module has it.
    [[nodiscard]] std::array<Eigen::Vector3d, 4> corners(const PlannedModule& module, TopEdge top) const {
        detail::OutlineFromAbove above;
        for (const Eigen::Vector2d& point : outline_->ring) {
            above.ring.push_back(place_.to_site(point, outline_->entity));
        }
        above.tilt = degrees(module.tilt_deg);
        above.azimuth = wrap_full_turn(degrees(module.azimuth_deg));
        above.height = Metres(height_m());
        above.top = top;
        const auto found = detail::corners_in_space(above);
        if (!found) {
            fail(found.error(), "Correct the outline or its azimuth");
        }
        return *found;
    }

    void add_module(const std::string& label) {
        PlannedModule module = described();
        const ModuleType& type = type_of(module);
        module.id = options_.labels ? label : required("module");
        module.string = value("string");
        if (!module.string.empty()) {
            constexpr double kMost = 1e6;
            const double position = number("position", required("position"), 1.0, kMost);
            if (position != std::floor(position)) {
                fail(fmt::format("position = {:g} is no whole number", position), "Count from 1 in wiring order");
            }
            module.position = static_cast<int>(position);
        }
        if (outline_->ring.size() == 1) {
            module.corners_in_site = around_centre(module, type);
        } else {
            module.corners_in_site = corners(module, module.top);
            if (const std::string mismatch = detail::size_mismatch(module.corners_in_site, type); !mismatch.empty()) {
                fail(mismatch, detail::kSizeRemedy);
            }
        }
        add(std::move(module));
    }

    [[nodiscard]] std::array<Eigen::Vector3d, 4> around_centre(const PlannedModule& module,
                                                               const ModuleType& type) const {
        const bool upright = module.top == TopEdge::up || module.top == TopEdge::down;
        const double width = upright ? type.width.value() : type.height.value();
        const double height = upright ? type.height.value() : type.width.value();
        const PlaneFrame plane(module.tilt_deg, module.azimuth_deg);
        const Eigen::Vector2d centre = place_.to_site(outline_->ring.front(), outline_->entity);
        const Eigen::Vector3d middle(centre.x(), centre.y(), height_m());
        return corners_of_place(
            plane, middle - 0.5 * width * plane.right - 0.5 * height * plane.up, width, height, module.top);
    }

    void add_table(const std::string& label) {
        if (outline_->ring.size() != 4) {
            fail("a table needs its four corners", "Draw its outline");
        }
        PlannedModule rule = described();
        rule.table = options_.labels ? label : value("table").empty() ? required("module") : rule.table;
        const ModuleType& type = type_of(rule);
        const auto outline = corners(rule, TopEdge::up);
        const TableGrid grid = grid_of_table();
        const bool upright = rule.top == TopEdge::up || rule.top == TopEdge::down;
        const double width = upright ? type.width.value() : type.height.value();
        const double height = upright ? type.height.value() : type.width.value();
        const Eigen::Vector3d across = 0.5 * (outline[1] - outline[0] + outline[2] - outline[3]);
        const Eigen::Vector3d along = 0.5 * (outline[0] - outline[3] + outline[1] - outline[2]);
        const double step_across = step(across.norm(), width, grid.along, "along the row");
        const double step_up = step(along.norm(), height, grid.up, "up the slope");
        const PlaneFrame drawn = [&] {
            PlaneFrame plane(rule.tilt_deg, rule.azimuth_deg);
            plane.right = across.normalized();
            plane.up = along.normalized();
            return plane;
        }();
        const Eigen::Vector3d lower_left =
            0.25 * (outline[0] + outline[1] + outline[2] + outline[3]) - 0.5 * across - 0.5 * along;
        int number = 0;
        for (int t = 0; t < grid.up; ++t) {
            for (int c = 0; c < grid.along; ++c) {
                const Corner& start = options_.tables->start;
                const int tier = start.upper ? grid.up - 1 - t : t;
                const int column = start.right ? grid.along - 1 - c : c;
                PlannedModule module = rule;
                module.id = options_.tables->module.fill(
                    {{"table_id", rule.table}, {"tier", t + 1}, {"column", c + 1}, {"n", ++number}});
                module.corners_in_site =
                    corners_of_place(drawn,
                                     lower_left + column * step_across * drawn.right + tier * step_up * drawn.up,
                                     width,
                                     height,
                                     module.top);
                add(std::move(module));
            }
        }
    }

    [[nodiscard]] TableGrid grid_of_table() const {
        constexpr double kMostAlong = 10000.0;
        TableGrid grid = options_.tables->grid;
        if (const std::string rows = value("rows"); !rows.empty()) {
            grid.up = static_cast<int>(number("rows", rows, 1.0, kMostAlong));
        }
        if (const std::string columns = value("columns"); !columns.empty()) {
            grid.along = static_cast<int>(number("columns", columns, 1.0, kMostAlong));
        }
        if (grid.up < 1 || grid.along < 1) {
            fail("nothing says how many modules it has",
                 "Give --tables ROWSxCOLUMNS, or fields with --field rows=NAME --field columns=NAME");
        }
        return grid;
    }

    // From module to module, so that the table's outline is filled. The gaps between modules must be gaps.
    [[nodiscard]] double step(double length_m, double module_m, int count, std::string_view direction) const {
        constexpr double kWidestGap_m = 0.3;
        constexpr double kDrawingError = 0.02;  // of the length
        const double gap = count > 1 ? (length_m - count * module_m) / (count - 1) : 0.0;
        const double missing = count * module_m - length_m;
        if (missing > kDrawingError * length_m || gap > kWidestGap_m ||
            (count == 1 && -missing > kDrawingError * length_m + kWidestGap_m)) {
            fail(fmt::format("the table is {:.3f} m {}, {} module{} of {:.3f} m take {:.3f} m",
                             length_m,
                             direction,
                             count,
                             count == 1 ? "" : "s",
                             module_m,
                             count * module_m),
                 "Correct rows and columns, the type, its tilt, or 'top' (left or right for modules on their side)");
        }
        return module_m + gap;
    }

    void add(PlannedModule module) {
        owners_.push_back(outline_);
        modules_.push_back(std::move(module));
    }

    void require_unique() {
        std::map<std::string, const DrawnOutline*> seen;
        for (std::size_t i = 0; i < modules_.size(); ++i) {
            const auto [known, is_new] = seen.emplace(modules_[i].id, owners_[i]);
            if (!is_new) {
                outline_ = owners_[i];
                fail(fmt::format("its id \"{}\" is that of {} too", modules_[i].id, known->second->entity),
                     "Ids are unique on a site");
            }
        }
    }

    // An outline drawn twice (a line and its hatch, a copy on the same spot) is not two modules.
    void require_once() {
        std::vector<detail::PlanOutline> outlines;
        for (const PlannedModule& module : modules_) {
            detail::PlanOutline outline;
            for (const Eigen::Vector3d& corner : module.corners_in_site) {
                outline.ring.emplace_back(corner.x(), corner.y());
            }
            outline.height_m = module.corners_in_site[0].z();
            outlines.push_back(std::move(outline));
        }
        constexpr double kSamePlace = 0.9;
        for (const detail::Overlap& overlap : detail::find_overlaps(outlines)) {
            if (overlap.share > kSamePlace) {
                outline_ = owners_[overlap.second];
                fail(fmt::format("module \"{}\" lies on module \"{}\" of {}",
                                 modules_[overlap.second].id,
                                 modules_[overlap.first].id,
                                 owners_[overlap.first]->entity),
                     "Delete one of them, or leave its layer out");
            }
        }
    }

    const Drawing& drawing_;
    const ImportOptions& options_;
    const ModuleTypeCatalogue& catalogue_;
    detail::DrawingPlace place_;
    const DrawnOutline* outline_ = nullptr;  // the one being read
    std::map<std::string, ModuleType> types_;
    std::vector<PlannedModule> modules_;
    std::vector<const DrawnOutline*> owners_;  // of each module
};

}  // namespace

const std::vector<std::string>& import_fields() {
    static const std::vector<std::string> fields{"module",
                                                 "type",
                                                 "string",
                                                 "position",
                                                 "table",
                                                 "combiner",
                                                 "inverter",
                                                 "input",
                                                 "tilt",
                                                 "azimuth",
                                                 "height",
                                                 "top",
                                                 "rows",
                                                 "columns"};
    return fields;
}

ImportedLayout import_layout(const Drawing& drawing, const ImportOptions& options, const ModuleTypeCatalogue& types) {
    return LayoutImporter(drawing, options, types).run();
}

}  // namespace heatrow
