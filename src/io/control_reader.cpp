#include "heatrow/io/control_reader.hpp"

#include "control_settings.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/core/nearest_word.hpp"
#include "heatrow/io/decode_text.hpp"
#include "heatrow/io/pose_reader.hpp"
#include "heatrow/io/site_crs.hpp"
#include "heatrow/io/text_table.hpp"
#include "mapped_columns.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <set>

namespace heatrow {
namespace {

std::vector<std::string> names_of(const std::vector<FrameFile>& files) {
    std::vector<std::string> names;
    for (const FrameFile& file : files) {
        names.push_back(file.name);
    }
    return names;
}

std::vector<std::string> ids_of(const Layout& layout) {
    std::vector<std::string> ids;
    for (const Module& module : layout.modules) {
        ids.push_back(module.id);
    }
    return ids;
}

// Place in the list, or an Error that tells the nearest name.
int place_of(const std::string& name,
             const std::vector<std::string>& known,
             std::string_view what,
             std::string_view where) {
    const auto found = std::find(known.begin(), known.end(), name);
    if (found != known.end()) {
        return static_cast<int>(found - known.begin());
    }
    const auto nearest = nearest_word(name, known);
    throw Error(ErrorKind::usage,
                "cannot read the control of the survey",
                where,
                fmt::format("there is no {} '{:.60}'", what, name),
                nearest ? fmt::format("Did you mean '{}'?", *nearest)
                        : fmt::format("Name a {} of this survey, e.g. '{}'", what, known.empty() ? "" : known.front()));
}

// Standard deviation of a place anywhere on a module: even over its longer side.
double sd_within(const ModuleType& type) {
    constexpr double kTwelve = 12.0;  // the variance of an even distribution is its width squared over 12
    return std::max(type.width.value(), type.height.value()) / std::sqrt(kTwelve);
}

constexpr std::string_view kFailed = "cannot read the control points";
constexpr std::string_view kRemedy = "docs/formats/control.md describes the tables";
// Heights of points above the highest or below the lowest module corner, m; beyond them heights count from elsewhere
// (own choice: masts and ditches are nearer).
constexpr double kFarthestUp_m = 30.0;

[[noreturn]] void fail(const std::string& where, const std::string& why, std::string_view remedy) {
    throw Error(ErrorKind::input, kFailed, where, why, remedy);
}

double number_in(const TextTable& table, const TextRow& row, std::size_t column) {
    const auto number = table.number(cell(row, column));
    if (!number) {
        fail(table.place(row, table.header.cells[column]),
             fmt::format("'{:.40}' is no number", cell(row, column)),
             "Correct it, or leave the row out");
    }
    return *number;
}

struct SurveyedPoint {
    Eigen::Vector3d in_site;
    std::string where;
};
using SurveyedPoints = std::map<std::string, SurveyedPoint>;

void require_near(const Layout& layout, const SiteCrs& crs, double x, double y, const SurveyedPoint& point) {
    const double distance = distance_from_layout(layout, point.in_site.head<2>());
    if (layout.modules.empty() || distance < kFarthestFromLayout_m) {
        return;
    }
    fail(point.where,
         fmt::format("{} {:.10g}, {} {:.10g} lies {:.0f} km from the layout",
                     crs.x_name(),
                     x,
                     crs.y_name(),
                     y,
                     distance / 1000.0),
         is_near_if_swapped(crs, x, y, layout)
             ? fmt::format("{0} and {1} look swapped: correct the points, or map them in control.columns",
                           crs.x_name(),
                           crs.y_name())
             : std::string("Check the coordinates of points and layout, and the CRS of each"));
}

void require_height(const Layout& layout, double low_m, double high_m, const SurveyedPoint& point) {
    const double up_m = point.in_site.z();
    if (!layout.modules.empty() && (up_m < low_m - kFarthestUp_m || up_m > high_m + kFarthestUp_m)) {
        fail(point.where,
             fmt::format("its height is {:.1f} m above the site origin, the modules lie from {:.1f} to {:.1f} m",
                         up_m,
                         low_m,
                         high_m),
             "Check control.heights, control.height_unit and site.origin.height_m; heights = \"none\" does without");
    }
}

SurveyedPoints read_points(const TextTable& table, const ControlSettings& settings, const Layout& layout) {
    const detail::ColumnNames names{settings.columns, "control.columns", kFailed, kRemedy};
    const SiteProjection projection(layout.origin);
    const SiteCrs crs(settings.crs, projection, std::string(kFailed), "control.crs");
    double low_m = HUGE_VAL;
    double high_m = -HUGE_VAL;
    for (const Module& module : layout.modules) {
        for (const Eigen::Vector3d& corner : module.corners_in_site) {
            low_m = std::min(low_m, corner.z());
            high_m = std::max(high_m, corner.z());
        }
    }
    const bool has_heights = settings.heights != ControlSettings::Heights::none;
    const std::size_t name_column = detail::require_mapped(table, "point", names);
    const std::size_t x_column = detail::require_mapped(table, crs.x_name(), names);
    const std::size_t y_column = detail::require_mapped(table, crs.y_name(), names);
    const std::size_t height_column = has_heights ? detail::require_mapped(table, "height", names) : 0;
    SurveyedPoints points;
    for (const TextRow& row : table.rows) {
        const std::string name(cell(row, name_column));
        if (name.empty()) {
            fail(table.place(row, table.header.cells[name_column]), "it is empty", "Name the point");
        }
        const double x = number_in(table, row, x_column);
        const double y = number_in(table, row, y_column);
        // Without heights the points lie where the layout's heights count from.
        const double height_m = has_heights ? settings.metres_per_unit * number_in(table, row, height_column) : 0.0;
        const Metres above_ellipsoid = settings.heights == ControlSettings::Heights::ellipsoid
                                           ? Metres(height_m)
                                           : layout.origin.height + Metres(height_m);
        SurveyedPoint point{crs.to_site(x, y, above_ellipsoid, table.place(row)), table.place(row)};
        require_near(layout, crs, x, y, point);
        if (has_heights) {
            require_height(layout, low_m, high_m, point);
        }
        const auto [first, is_new] = points.emplace(name, point);
        if (!is_new) {
            fail(table.place(row), fmt::format("point '{}' is already in {}", name, first->second.where), "Keep one");
        }
    }
    return points;
}

// The table of marks: a point in a frame (frame, x, y), or at a corner of a module (module, corner).
class MarkRows {
  public:
    MarkRows(const TextTable& table,
             const ControlSettings& settings,
             const CameraSettings& camera,
             const std::vector<FrameFile>& files,
             const Layout& layout)
        : table_(table), settings_(settings), camera_(camera), frames_(names_of(files)), modules_(ids_of(layout)) {
        const detail::ColumnNames names{settings.columns, "control.columns", kFailed, kRemedy};
        point_ = detail::require_mapped(table, "point", names);
        frame_ = detail::find_mapped(table, "frame", names);
        module_ = detail::find_mapped(table, "module", names);
        if (frame_ || !module_) {
            frame_ = detail::require_mapped(table, "frame", names);
            x_ = detail::require_mapped(table, "x", names);
            y_ = detail::require_mapped(table, "y", names);
        }
        if (module_) {
            corner_ = detail::require_mapped(table, "corner", names);
        }
    }

    [[nodiscard]] std::string point(const TextRow& row) const { return std::string(cell(row, point_)); }
    [[nodiscard]] bool is_corner(const TextRow& row) const {
        const bool has_frame = frame_ && !cell(row, *frame_).empty();
        const bool has_module = module_ && !cell(row, *module_).empty();
        if (has_frame == has_module) {
            fail(table_.place(row),
                 has_frame ? "it names a frame and a module" : "it names neither a frame nor a module",
                 "Give frame, x and y of a point in a picture, or module and corner of a surveyed corner");
        }
        return has_module;
    }
    [[nodiscard]] ControlMark mark(const TextRow& row) const {
        ControlMark mark;
        mark.name = point(row);
        const std::string frame(cell(row, *frame_));
        mark.frame = place_of(frame, frames_, "frame", table_.place(row, table_.header.cells[*frame_]));
        mark.pixel = {number_in(table_, row, x_), number_in(table_, row, y_)};
        if (!is_in_picture(camera_, mark.pixel.x(), mark.pixel.y())) {
            fail(table_.place(row),
                 fmt::format("({:g}, {:g}) lies outside the picture of {} x {} px",
                             mark.pixel.x(),
                             mark.pixel.y(),
                             camera_.width_px,
                             camera_.height_px),
                 "Give column and row, from 0, 0 at the centre of the top left pixel");
        }
        mark.sd_m = settings_.sd_m;
        mark.held = is_held(mark.name) || is_held(frame);
        mark.where = table_.place(row);
        return mark;
    }
    [[nodiscard]] SurveyedCorner corner(const TextRow& row) const {
        SurveyedCorner surveyed;
        surveyed.name = point(row);
        surveyed.module = place_of(
            std::string(cell(row, *module_)), modules_, "module", table_.place(row, table_.header.cells[*module_]));
        surveyed.corner = corner_named(cell(row, corner_), table_.place(row, table_.header.cells[corner_]));
        surveyed.has_height = settings_.heights != ControlSettings::Heights::none;
        surveyed.held = is_held(surveyed.name);
        surveyed.where = table_.place(row);
        return surveyed;
    }

  private:
    [[nodiscard]] bool is_held(const std::string& name) const {
        return std::find(settings_.hold.begin(), settings_.hold.end(), name) != settings_.hold.end();
    }

    const TextTable& table_;
    const ControlSettings& settings_;
    const CameraSettings& camera_;
    std::vector<std::string> frames_;
    std::vector<std::string> modules_;
    std::size_t point_ = 0;
    std::optional<std::size_t> frame_;
    std::optional<std::size_t> module_;
    std::size_t x_ = 0;
    std::size_t y_ = 0;
    std::size_t corner_ = 0;
};

const SurveyedPoint& point_named(const std::string& name, const SurveyedPoints& points, const std::string& where) {
    const auto found = points.find(name);
    if (found == points.end()) {
        std::vector<std::string> names;
        for (const auto& [known, point] : points) {
            names.push_back(known);
        }
        const auto nearest = nearest_word(name, names);
        fail(where,
             fmt::format("the table of points has no '{:.60}'", name),
             nearest ? fmt::format("Did you mean '{}'?", *nearest) : std::string("Add its coordinates there"));
    }
    return found->second;
}

// Names to hold that are neither a point nor a frame of the marks are slips.
void require_held(const ControlSettings& settings, const ControlPoints& control, const std::vector<FrameFile>& files) {
    for (const std::string& name : settings.hold) {
        const bool is_known =
            std::any_of(control.marks.begin(),
                        control.marks.end(),
                        [&](const ControlMark& mark) {
                            return mark.name == name || files[static_cast<std::size_t>(mark.frame)].name == name;
                        }) ||
            std::any_of(control.corners.begin(), control.corners.end(), [&](const SurveyedCorner& corner) {
                return corner.name == name;
            });
        if (!is_known) {
            throw Error(ErrorKind::usage,
                        kFailed,
                        "survey.toml, control.hold",
                        fmt::format("no mark has the point or frame '{:.60}'", name),
                        "Name points or frames as the table of marks does");
        }
    }
}

}  // namespace

std::vector<ControlMark> known_pixel_marks(const FrameSettings& settings,
                                           const std::vector<FrameFile>& files,
                                           const Layout& layout) {
    std::vector<ControlMark> marks;
    if (settings.known.empty()) {
        return marks;
    }
    const std::vector<std::string> frames = names_of(files);
    const std::vector<std::string> modules = ids_of(layout);
    for (const KnownPixel& known : settings.known) {
        ControlMark mark;
        mark.name = known.module;
        mark.frame = place_of(known.frame, frames, "frame", known.where + ".frame");
        mark.module = place_of(known.module, modules, "module", known.where + ".module");
        mark.pixel = {known.pixel[0], known.pixel[1]};
        const Module& module = layout.modules[static_cast<std::size_t>(mark.module)];
        mark.point_in_site = module.centre_in_site();
        mark.sd_m = sd_within(layout.type_of(module));
        mark.held = known.hold;
        mark.where = known.where;
        marks.push_back(std::move(mark));
    }
    return marks;
}

ControlPoints parse_control_points(std::string_view points_text,
                                   std::string_view marks_text,
                                   const ControlSettings& settings,
                                   const CameraSettings& camera,
                                   const std::vector<FrameFile>& files,
                                   const Layout& layout) {
    const TextTable points_table = parse_text_table(points_text, settings.points.string());
    const TextTable marks_table = parse_text_table(marks_text, settings.marks.string());
    const SurveyedPoints points = read_points(points_table, settings, layout);
    const MarkRows rows(marks_table, settings, camera, files, layout);
    ControlPoints control;
    std::set<std::pair<std::string, int>> seen;
    for (const TextRow& row : marks_table.rows) {
        const SurveyedPoint& point = point_named(rows.point(row), points, marks_table.place(row));
        if (rows.is_corner(row)) {
            SurveyedCorner corner = rows.corner(row);
            corner.point_in_site = point.in_site;
            control.corners.push_back(std::move(corner));
            continue;
        }
        ControlMark mark = rows.mark(row);
        mark.point_in_site = point.in_site;
        if (!seen.emplace(mark.name, mark.frame).second) {
            fail(mark.where, fmt::format("point '{}' is marked twice in one frame", mark.name), "Keep one of them");
        }
        control.marks.push_back(std::move(mark));
    }
    require_held(settings, control, files);
    return control;
}

ControlPoints read_control_points(const ControlSettings& settings,
                                  const CameraSettings& camera,
                                  const std::vector<FrameFile>& files,
                                  const Layout& layout) {
    return parse_control_points(
        read_text_bytes(settings.points), read_text_bytes(settings.marks), settings, camera, files, layout);
}

}  // namespace heatrow
