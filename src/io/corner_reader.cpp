#include "heatrow/core/error.hpp"
#include "heatrow/core/nearest_word.hpp"
#include "heatrow/io/decode_text.hpp"
#include "heatrow/io/pose_reader.hpp"
#include "heatrow/io/text_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace heatrow {
namespace {

constexpr std::string_view kRemedy = "docs/formats/poses-csv.md describes the table";
constexpr std::array<std::string_view, 5> kCornerNames{
    "top_left", "top_right", "bottom_right", "bottom_left", "inside"};
constexpr std::size_t kInside = 4;  // any pixel of the module; the grid in the picture gives the corners

[[noreturn]] void fail(const std::string& where, const std::string& why, std::string_view remedy) {
    throw Error(ErrorKind::input, "cannot read the corner points", where, why, remedy);
}

std::string did_you_mean(std::string_view word, const std::vector<std::string>& known, std::string_view otherwise) {
    const auto nearest = nearest_word(word, known);
    return nearest ? fmt::format("Did you mean '{}'?", *nearest) : std::string(otherwise);
}

// One row of the table, and which corner of which module it means.
struct Named {
    std::string module;
    std::size_t corner = 0;
    friend bool operator==(const Named&, const Named&) = default;
};

class CornerRows {
  public:
    CornerRows(const TextTable& table, const Layout& layout) : table_(table), layout_(layout) {
        constexpr std::array<std::string_view, 5> kColumns{"frame", "x", "y", "module", "corner"};
        for (std::size_t i = 0; i < kColumns.size(); ++i) {
            const auto column = table.find_column(kColumns[i]);
            if (!column) {
                fail(table.name,
                     fmt::format(
                         "it has no column '{}'; its columns are {}", kColumns[i], fmt::join(table.header.cells, ", ")),
                     did_you_mean(kColumns[i], table.header.cells, kRemedy));
            }
            columns_[i] = *column;
        }
    }

    [[nodiscard]] std::string frame(const TextRow& row) const {
        std::string name(cell(row, columns_[0]));
        if (name.empty()) {
            fail(table_.place(row, "frame"), "it is empty", "Name the frame's file");
        }
        return name;
    }
    [[nodiscard]] Eigen::Vector2d pixel(const TextRow& row) const { return {number(row, 1, "x"), number(row, 2, "y")}; }
    [[nodiscard]] Named named(const TextRow& row) const {
        const std::string_view corner = cell(row, columns_[4]);
        const auto found = std::find(kCornerNames.begin(), kCornerNames.end(), corner);
        if (found == kCornerNames.end()) {
            const std::vector<std::string> names(kCornerNames.begin(), kCornerNames.end());
            fail(table_.place(row, "corner"),
                 fmt::format("'{:.40}' is no corner", corner),
                 did_you_mean(corner, names, "Use top_left, top_right, bottom_right, bottom_left or inside"));
        }
        return {std::string(cell(row, columns_[3])), static_cast<std::size_t>(found - kCornerNames.begin())};
    }
    [[nodiscard]] Eigen::Vector3d point(const TextRow& row, const Named& named) const {
        const auto module = layout_.find_module(named.module);
        if (!module) {
            std::vector<std::string> ids;
            for (const Module& known : layout_.modules) {
                ids.push_back(known.id);
            }
            fail(table_.place(row, "module"),
                 fmt::format("the layout has no module '{:.40}'", named.module),
                 did_you_mean(named.module, ids, "Use an id of the layout"));
        }
        const Module& found = layout_.modules[static_cast<std::size_t>(*module)];
        return named.corner == kInside ? found.centre_in_site() : found.corners_in_site[named.corner];
    }

  private:
    [[nodiscard]] double number(const TextRow& row, std::size_t column, std::string_view name) const {
        const std::string_view text = cell(row, columns_[column]);
        const auto value = table_.number(text);
        constexpr double kFarthest_px = 1e6;  // beyond any picture
        if (!value || std::abs(*value) > kFarthest_px) {
            fail(table_.place(row, name), fmt::format("'{:.40}' is no pixel", text), "Give a number");
        }
        return *value;
    }

    const TextTable& table_;
    const Layout& layout_;
    std::array<std::size_t, 5> columns_{};
};

// Points of which at most one lies off some line fix no placement. A line through all but one of the points goes
// through at least two of the first three.
bool all_but_one_on_a_line(const std::vector<CornerPoint>& points) {
    constexpr double kNear_px = 1.0;  // a pointed pixel is no better
    for (const auto& [i, j] : {std::pair<std::size_t, std::size_t>{0, 1}, {0, 2}, {1, 2}}) {
        const Eigen::Vector2d along = points[j].pixel - points[i].pixel;
        const double length = along.norm();
        const auto off = std::count_if(points.begin(), points.end(), [&](const CornerPoint& point) {
            const Eigen::Vector2d from = point.pixel - points[i].pixel;
            const double cross = along.x() * from.y() - along.y() * from.x();
            return length == 0.0 ? from.norm() > kNear_px : std::abs(cross) > kNear_px * length;
        });
        if (off <= 1) {
            return true;
        }
    }
    return false;
}

}  // namespace

int corner_named(std::string_view name, const std::string& where) {
    const auto end = kCornerNames.begin() + kInside;
    const auto found = std::find(kCornerNames.begin(), end, name);
    if (found == end) {
        const std::vector<std::string> names(kCornerNames.begin(), end);
        fail(where,
             fmt::format("'{:.40}' is no corner", name),
             did_you_mean(name, names, "Use top_left, top_right, bottom_right or bottom_left"));
    }
    return static_cast<int>(found - kCornerNames.begin());
}

CornerTable parse_corner_points(std::string_view text, const std::filesystem::path& file, const Layout& layout) {
    const TextTable table = parse_text_table(text, file.string());
    const CornerRows rows(table, layout);
    CornerTable corners;
    std::map<std::string, std::vector<Named>> seen;
    for (const TextRow& row : table.rows) {
        const std::string frame = rows.frame(row);
        const Named named = rows.named(row);
        const CornerPoint point{rows.pixel(row), rows.point(row, named)};
        auto& earlier = seen[frame];
        if (std::find(earlier.begin(), earlier.end(), named) != earlier.end()) {
            fail(
                table.place(row),
                fmt::format(
                    "frame '{}' has two points for {} of module '{}'", frame, kCornerNames[named.corner], named.module),
                "Keep one of them");
        }
        earlier.push_back(named);
        corners[frame].push_back(point);
    }
    for (const auto& [frame, points] : corners) {
        const auto& named = seen.at(frame);
        const auto inside = static_cast<std::size_t>(
            std::count_if(named.begin(), named.end(), [](const Named& point) { return point.corner == kInside; }));
        if (inside == points.size()) {
            continue;
        }
        if (inside > 0) {
            fail(file.string(),
                 fmt::format("frame '{}' has corners of modules and pixels inside modules", frame),
                 "Give either four corners or more, or only pixels inside");
        }
        if (points.size() < 4) {
            fail(file.string(),
                 fmt::format("frame '{}' has {} corner points", frame, points.size()),
                 "Give at least four, no three of them on a line; or name one module with corner = inside");
        }
        if (all_but_one_on_a_line(points)) {
            fail(file.string(),
                 fmt::format("the corner points of frame '{}' lie on a line, all or all but one", frame),
                 "Add points so that four have no three on a line, for example the four corners of one module");
        }
    }
    return corners;
}

CornerTable read_corner_points(const std::filesystem::path& file, const Layout& layout) {
    return parse_corner_points(read_text_bytes(file), file, layout);
}

}  // namespace heatrow
