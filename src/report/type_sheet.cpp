#include "heatrow/report/type_sheet.hpp"

#include "canvas.hpp"
#include "heatrow/report/number_text.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace heatrow {
namespace {

// All lengths in px.
constexpr double kPerMetre = 105.0;
constexpr int kMostAcross = 4;
constexpr double kTileWidth = 268.0;
constexpr double kMargin = 30.0;
constexpr double kHead = 66.0;   // of a tile, for its words
constexpr double kGap = 34.0;    // below a tile
constexpr double kTitle = 58.0;  // of the sheet

// One tint for each substring, apart in lightness; ink can be read on them.
constexpr std::array<std::string_view, 4> kTints = {"#9db4cc", "#d3dde7", "#7c97b4", "#b9c9d9"};
constexpr std::string_view kFrame = "#8d939b";
constexpr std::string_view kPane = "#f4f6f7";
constexpr std::string_view kFilm = "#3f4a5a";

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

double height_of(const ModuleType& type) {
    return kHead + type.height.value() * kPerMetre + 18.0;
}

std::string technology_words(const ModuleType& type) {
    switch (type.technology) {
        case ModuleType::Technology::shingled:
            return std::to_string(type.cell_count()) + " strips in " + std::to_string(type.columns) + " parallel rows";
        case ModuleType::Technology::thin_film:
            return std::to_string(type.cell_count()) + " scribed strips";
        case ModuleType::Technology::crystalline:
            break;
    }
    return std::to_string(type.rows) + " x " + std::to_string(type.columns) + (type.half_cut ? " cut cells" : " cells");
}

std::string substring_words(const ModuleType& type) {
    const int count = type.substring_count();
    return std::to_string(count) + (count == 1 ? " bypass diode" : " bypass diodes");
}

class TypeDrawing {
  public:
    TypeDrawing(Canvas& canvas, const ModuleType& type, double left, double top)
        : canvas_(canvas), type_(type), left_(left), top_(top) {}

    void draw() {
        draw_pane();
        draw_cells();
        draw_borders();
        draw_marks();
        draw_boxes();
        draw_sizes();
    }

  private:
    [[nodiscard]] Eigen::Vector2d to_px(const Eigen::Vector2d& in_plane) const {
        return {left_ + in_plane.x() * kPerMetre, top_ + in_plane.y() * kPerMetre};
    }
    [[nodiscard]] double width() const { return type_.width.value() * kPerMetre; }
    [[nodiscard]] double height() const { return type_.height.value() * kPerMetre; }

    void draw_pane() {
        const double rim = type_.frame_width.value() * kPerMetre;
        const Polyline outline = rectangle(left_, top_, width(), height());
        canvas_.fill(outline, rim > 0.0 ? kFrame : kPane);
        if (rim > 0.0) {
            canvas_.fill(rectangle(left_ + rim, top_ + rim, width() - 2.0 * rim, height() - 2.0 * rim), "#ffffff");
        }
        canvas_.stroke({outline},
                       {.colour = rim > 0.0 ? kInk : kQuietInk, .width = rim > 0.0 ? 0.9 : 0.7, .closed = true});
    }

    // Gaps between cells; strips of shingled and thin-film types touch.
    void draw_cells() {
        const bool film = type_.technology == ModuleType::Technology::thin_film;
        const double gap_x = type_.technology == ModuleType::Technology::crystalline ? 0.55 : film ? 0.16 : 0.6;
        const double gap_y = type_.technology == ModuleType::Technology::crystalline ? 0.55 : film ? 0.0 : 0.14;
        for (int cell = 0; cell < type_.cell_count(); ++cell) {
            const auto corners = type_.cell_corners(type_.cell_at(cell));
            const Eigen::Vector2d low = to_px(corners[0]) + Eigen::Vector2d(gap_x, gap_y);
            const Eigen::Vector2d size = to_px(corners[2]) - Eigen::Vector2d(gap_x, gap_y) - low;
            const std::string_view tint =
                film ? kFilm : kTints[at(type_.substring_of_cell[at(cell)] - 1) % kTints.size()];
            canvas_.fill(rectangle(low.x(), low.y(), size.x(), size.y()), tint);
        }
    }

    // Between cells of two substrings.
    void draw_borders() {
        std::vector<Polyline> borders;
        for (int cell = 0; cell < type_.cell_count(); ++cell) {
            const CellIndex here = type_.cell_at(cell);
            const auto corners = type_.cell_corners(here);
            const auto differs = [&](int row, int column) {
                return row < type_.rows && column < type_.columns &&
                       type_.substring_of_cell[at(type_.cell_number({row, column}))] !=
                           type_.substring_of_cell[at(cell)];
            };
            if (differs(here.row, here.column + 1)) {
                borders.push_back({to_px(corners[1]), to_px(corners[2])});
            }
            if (differs(here.row + 1, here.column)) {
                borders.push_back({to_px(corners[3]), to_px(corners[2])});
            }
        }
        if (!borders.empty()) {
            canvas_.stroke(borders, {.colour = kInk, .width = 1.3});
        }
    }

    // The number of a substring, on each of its parts: cells that the middle gap keeps apart are two parts.
    void draw_marks() {
        for (int substring = 1; substring <= type_.substring_count(); ++substring) {
            const int halves = type_.half_cut ? 2 : 1;
            for (int half = 0; half < halves; ++half) {
                Eigen::Vector2d low(1e9, 1e9);
                Eigen::Vector2d high(-1e9, -1e9);
                for (const int cell : type_.cells_of_substring(substring)) {
                    const CellIndex index = type_.cell_at(cell);
                    if (halves == 2 && (index.row >= type_.rows / 2) != (half == 1)) {
                        continue;
                    }
                    const auto corners = type_.cell_corners(index);
                    low = low.cwiseMin(to_px(corners[0]));
                    high = high.cwiseMax(to_px(corners[2]));
                }
                if (low.x() < high.x()) {
                    draw_tag(0.5 * (low + high), std::to_string(substring));
                }
            }
        }
    }

    void draw_tag(const Eigen::Vector2d& middle, std::string_view words) {
        canvas_.fill(rectangle(middle.x() - 7.0, middle.y() - 7.0, 14.0, 14.0), "#ffffff");
        canvas_.stroke({rectangle(middle.x() - 7.0, middle.y() - 7.0, 14.0, 14.0)},
                       {.colour = kInk, .width = 0.7, .closed = true});
        canvas_.text(middle.x(), middle.y() + 3.6, words, {.size = 10.0, .anchor = Anchor::middle, .bold = true});
    }

    // Boxes on the back, dashed; the leads leave the outermost ones.
    void draw_boxes() {
        if (type_.junction_boxes.empty()) {
            return;
        }
        constexpr double kBox = 9.0;
        const auto by_x = [](const Eigen::Vector2d& a, const Eigen::Vector2d& b) { return a.x() < b.x(); };
        for (const Eigen::Vector2d& box : type_.junction_boxes) {
            const Eigen::Vector2d middle = to_px(box);
            const Polyline outline = rectangle(middle.x() - kBox, middle.y() - 4.5, 2.0 * kBox, 9.0);
            canvas_.fill(outline, "#ffffff");
            canvas_.stroke({outline}, {.colour = kInk, .width = 0.9, .closed = true, .dash = 2.0});
        }
        const auto [left, right] = std::minmax_element(type_.junction_boxes.begin(), type_.junction_boxes.end(), by_x);
        const Eigen::Vector2d at_left = to_px(*left) - Eigen::Vector2d(kBox, 0.0);
        const Eigen::Vector2d at_right = to_px(*right) + Eigen::Vector2d(kBox, 0.0);
        draw_lead(at_left, -1.0, type_.positive_lead_left);
        draw_lead(at_right, 1.0, !type_.positive_lead_left);
    }

    void draw_lead(const Eigen::Vector2d& from, double side, bool positive) {
        const Eigen::Vector2d to = from + Eigen::Vector2d(side * 8.0, 0.0);
        const Eigen::Vector2d sign = to + Eigen::Vector2d(side * 4.6, 0.0);
        canvas_.stroke({{from, to}}, {.colour = kInk, .width = 1.4});
        Polyline disc;
        for (int i = 0; i < 20; ++i) {
            disc.push_back(sign + 4.6 * Eigen::Vector2d(std::cos(0.314159 * i), std::sin(0.314159 * i)));
        }
        canvas_.fill(disc, positive ? kInk : std::string_view("#ffffff"));
        canvas_.stroke({disc}, {.colour = kInk, .width = 0.9, .closed = true});
        const std::string_view colour = positive ? std::string_view("#ffffff") : kInk;
        std::vector<Polyline> arms{{{sign.x() - 2.5, sign.y()}, {sign.x() + 2.5, sign.y()}}};
        if (positive) {
            arms.push_back({{sign.x(), sign.y() - 2.5}, {sign.x(), sign.y() + 2.5}});
        }
        canvas_.stroke(arms, {.colour = colour, .width = 1.2});
    }

    void draw_sizes() {
        const double y = top_ + height() + 9.0;
        canvas_.stroke({{{left_, y - 3.0}, {left_, y + 3.0}},
                        {{left_ + width(), y - 3.0}, {left_ + width(), y + 3.0}},
                        {{left_, y}, {left_ + width(), y}}},
                       {.colour = kQuietInk, .width = 0.6});
        write_size(left_ + 0.5 * width(), y + 2.8, type_.width);
        const double x = left_ + width() + 9.0;
        canvas_.stroke({{{x - 3.0, top_}, {x + 3.0, top_}},
                        {{x - 3.0, top_ + height()}, {x + 3.0, top_ + height()}},
                        {{x, top_}, {x, top_ + height()}}},
                       {.colour = kQuietInk, .width = 0.6});
        write_size(x + 5.0, top_ + 0.5 * height() + 2.8, type_.height, Anchor::start);
    }

    void write_size(double x, double y, Metres length, Anchor anchor = Anchor::middle) {
        const std::string words = fixed_text(length.value() * 1000.0, 0) + " mm";
        const double half = 0.5 * text_width(words, 8.0) + 2.0;
        if (anchor == Anchor::middle) {
            canvas_.fill(rectangle(x - half, y - 7.5, 2.0 * half, 9.5), "#ffffff");
        }
        canvas_.text(x, y, words, {.size = 8.0, .fill = kQuietInk, .anchor = anchor});
    }

    Canvas& canvas_;
    const ModuleType& type_;
    double left_;
    double top_;
};

void draw_tile(Canvas& canvas, const ModuleType& type, double left, double top) {
    canvas.text(left, top + 12.0, type.id, {.size = 12.5, .bold = true});
    double y = top + 14.0;
    for (const std::string& line :
         wrap_text(technology_words(type) + ", " + substring_words(type) +
                       (type.frame_width.value() > 0.0 ? ", framed" : ", frameless") + ", " +
                       short_text(type.rated_power_w, 1) + " W, " + short_text(type.rated_voltage_v, 1) + " V, " +
                       short_text(type.rated_current_a, 2) + " A",
                   kTileWidth - 34.0,
                   9.0)) {
        y += 12.0;
        canvas.text(left, y, line, {.size = 9.0, .fill = kQuietInk});
    }
    TypeDrawing(canvas, type, left, top + kHead).draw();
}

}  // namespace

std::string type_sheet_svg(const std::vector<ModuleType>& types) {
    const int across = std::min<int>(kMostAcross, static_cast<int>(types.size()));
    std::vector<double> row_heights;
    for (std::size_t i = 0; i < types.size(); ++i) {
        const std::size_t row = i / at(across);
        row_heights.resize(row + 1, 0.0);
        row_heights[row] = std::max(row_heights[row], height_of(types[i]));
    }
    double height = kMargin + kTitle + kMargin;
    for (const double row : row_heights) {
        height += row + kGap;
    }
    const double width = std::max(2.0 * kMargin + across * kTileWidth, 560.0);
    const auto canvas = make_svg_canvas(width, height);
    canvas->fill(rectangle(0.0, 0.0, width, height), "#ffffff");
    canvas->text(kMargin, kMargin + 16.0, "Module types", {.size = 20.0, .bold = true});
    canvas->text(
        kMargin,
        kMargin + 34.0,
        "Seen from the front, top up, all at one scale. Numbers: groups of cells under one bypass diode. Dashed: "
        "boxes on the back, with the leads.",
        {.size = 9.5, .fill = kQuietInk});
    double y = kMargin + kTitle;
    for (std::size_t i = 0; i < types.size(); ++i) {
        const std::size_t column = i % at(across);
        draw_tile(*canvas, types[i], kMargin + static_cast<double>(column) * kTileWidth, y);
        if (column + 1 == at(across)) {
            y += row_heights[i / at(across)] + kGap;
        }
    }
    return canvas->finish();
}

}  // namespace heatrow
