#include "heatrow/report/layout_sheet.hpp"

#include "canvas.hpp"
#include "heatrow/core/fixed_text.hpp"
#include "pdf_document.hpp"
#include "sheet_plan.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>

namespace heatrow {
namespace {

constexpr double kPointsPerMetre = 72.0 / 0.0254;
constexpr double kEdge = 22.0;     // paper left free around the frame
constexpr double kColumn = 196.0;  // width of the column of words
constexpr double kAir = 12.0;
constexpr double kFoot = 30.0;  // of the plan, for north arrow and scale bar
constexpr double kIndent = 8.0;
constexpr std::string_view kRule = "#b9bcc2";

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

// The frame, the plan's window and the column of words, px.
struct SheetAreas {
    explicit SheetAreas(const Paper& paper)
        : frame{{kEdge, kEdge}, {paper.width - kEdge, paper.height - kEdge}},
          plan{{kEdge + kAir, kEdge + kAir},
               {paper.width - kEdge - kColumn - kAir, paper.height - kEdge - kAir - kFoot}} {}
    PlanRect frame;
    PlanRect plan;
    [[nodiscard]] double column() const { return frame.high.x() - kColumn; }
};

Polyline outline_of(const PlanRect& rect) {
    return rectangle(rect.low.x(), rect.low.y(), rect.high.x() - rect.low.x(), rect.high.y() - rect.low.y());
}

// Lines of words in the column, from the top down.
class Column {
  public:
    Column(Canvas& canvas, double left, double right, double top)
        : canvas_(canvas), left_(left), right_(right), y_(top) {}

    void heading(std::string_view words) {
        y_ += 16.0;
        canvas_.text(left_, y_, words, {.size = 8.0, .bold = true});
        y_ += 4.0;
        rule();
        y_ += 2.0;
    }
    void rule() { canvas_.stroke({{{left_, y_}, {right_, y_}}}, {.colour = kRule, .width = 0.5}); }
    void row(std::string_view words, std::string_view value, std::string_view fill = kInk, double indent = 0.0) {
        y_ += 11.0;
        const double value_width = text_width(value, 7.5);
        canvas_.text(left_ + indent,
                     y_,
                     fit_text(words, right_ - left_ - indent - value_width - 6.0, 7.5),
                     {.size = 7.5, .fill = fill});
        canvas_.text(right_, y_, value, {.size = 7.5, .fill = fill, .anchor = Anchor::end});
    }
    void paragraph(std::string_view words, double size, std::string_view fill = kQuietInk, bool bold = false) {
        for (const std::string& line : wrap_text(words, right_ - left_, size)) {
            y_ += 1.32 * size;
            canvas_.text(left_, y_, fit_text(line, right_ - left_, size), {.size = size, .fill = fill, .bold = bold});
        }
    }
    void skip(double height) { y_ += height; }
    [[nodiscard]] double y() const { return y_; }
    [[nodiscard]] double left() const { return left_; }
    [[nodiscard]] double right() const { return right_; }

  private:
    Canvas& canvas_;
    double left_;
    double right_;
    double y_;
};

std::string counted(int number, std::string_view thing) {
    return std::to_string(number) + " " + std::string(thing) + (number == 1 ? "" : "s");
}

// Largest first, at most `most` lines; the rest in one.
template <class Members>
void sizes_rows(Column& column, const Members& members, std::string_view things, int most) {
    std::map<int, int, std::greater<>> counts;
    for (const auto& member : members) {
        ++counts[static_cast<int>(member.modules.size())];
    }
    int line = 0;
    int rest = 0;
    for (const auto& [modules, count] : counts) {
        if (++line > most) {
            rest += count;
            continue;
        }
        column.row(
            std::string(things) + " of " + counted(modules, "module"), std::to_string(count), kQuietInk, kIndent);
    }
    if (rest > 0) {
        column.row(std::string(things) + " of fewer", std::to_string(rest), kQuietInk, kIndent);
    }
}

void draw_counts(Column& column, const Layout& layout) {
    std::vector<int> modules(layout.types.size());
    double power_w = 0.0;
    int alone = 0;
    for (const Module& module : layout.modules) {
        ++modules[at(module.type)];
        power_w += layout.type_of(module).rated_power_w;
        alone += module.string < 0 ? 1 : 0;
    }
    column.heading("Counts");
    column.row("Modules", std::to_string(layout.modules.size()));
    for (std::size_t i = 0; i < modules.size(); ++i) {
        column.row(layout.types[i].id, std::to_string(modules[i]), kQuietInk, kIndent);
    }
    column.row("Rated power", fixed_text(power_w / 1000.0, 2) + " kW");
    column.row("Strings", std::to_string(layout.strings.size()));
    constexpr int kMostSizes = 6;
    sizes_rows(column, layout.strings, "strings", kMostSizes);
    if (alone > 0) {
        column.row("Modules in no string", std::to_string(alone));
    }
    column.row("Tables", std::to_string(layout.tables.size()));
    sizes_rows(column, layout.tables, "tables", kMostSizes);
}

void draw_legend(Canvas& canvas, Column& column, const PlanOmissions& omissions) {
    column.heading("How to read");
    const double x = column.left();
    double y = column.y() + 12.0;
    constexpr double kSign = 24.0;
    canvas.stroke({{{x + 4.0, y}, {x + kSign - 3.0, y}}}, {.colour = kInk, .width = 0.8});
    Polyline disc;
    Polyline dot;
    for (int i = 0; i < 16; ++i) {
        const Eigen::Vector2d turn(std::cos(std::numbers::pi * i / 8.0), std::sin(std::numbers::pi * i / 8.0));
        disc.push_back(Eigen::Vector2d(x + 4.0, y) + 3.6 * turn);
        dot.push_back(Eigen::Vector2d(x + kSign - 3.0, y) + 2.0 * turn);
    }
    canvas.fill(disc, "#ffffff");
    canvas.stroke({disc, {{x + 1.9, y}, {x + 6.1, y}}, {{x + 4.0, y - 2.1}, {x + 4.0, y + 2.1}}},
                  {.colour = kInk, .width = 0.7, .closed = true});
    canvas.fill(dot, kInk);
    Column words(canvas, x + kSign + 4.0, column.right(), y - 8.0);
    words.paragraph("wiring order of a string, from its positive end to its negative end", 7.5, kInk);
    y = words.y() + 9.0;
    canvas.stroke({rectangle(x + 4.0, y - 3.0, 13.0, 9.0)},
                  {.colour = kQuietInk, .width = 0.6, .closed = true, .dash = 1.4});
    Column more(canvas, x + kSign + 4.0, column.right(), y - 5.0);
    more.paragraph("module in no string", 7.5, kInk);
    column.skip(more.y() - column.y() + 2.0);
    column.paragraph("Colours only tell neighbouring strings apart. Outlines as seen from above.", 7.0);
    if (omissions.module_ids) {
        column.paragraph("Ids of modules cannot be read at this scale and are left out.", 7.0);
    }
    if (omissions.string_ids > 0) {
        column.paragraph(counted(omissions.string_ids, "id") + " of strings left out for want of room.", 7.0);
    }
    if (omissions.table_ids > 0) {
        column.paragraph(counted(omissions.table_ids, "id") + " of tables left out for want of room.", 7.0);
    }
}

void draw_doubts(Column& column, const LayoutSheet& sheet, double bottom) {
    column.heading("Checked by the program");
    if (sheet.doubts.empty()) {
        column.paragraph("No duplicate, overlap, odd string or other doubt was found.", 7.0);
        return;
    }
    std::size_t shown = 0;
    for (const std::string& doubt : sheet.doubts) {
        const auto lines = wrap_text("– " + doubt, column.right() - column.left(), 7.0).size();
        if (column.y() + 9.3 * static_cast<double>(lines + 1) > bottom) {
            column.paragraph(counted(static_cast<int>(sheet.doubts.size() - shown), "more doubt"), 7.0, kInk, true);
            return;
        }
        column.paragraph("– " + doubt, 7.0, kInk);
        ++shown;
    }
}

// From the bottom of the frame upward.
double draw_title_block(Canvas& canvas, const LayoutSheet& sheet, const SheetAreas& areas, int scale) {
    constexpr double kHeight = 176.0;
    const double left = areas.column() + kAir;
    const double right = areas.frame.high.x() - kAir;
    const double top = areas.frame.high.y() - kHeight;
    const auto line = [&](double y) {
        canvas.stroke({{{areas.column(), y}, {areas.frame.high.x(), y}}}, {.colour = kInk, .width = 0.7});
    };
    line(top);
    Column column(canvas, left, right, top + 3.0);
    column.paragraph(sheet.title, 12.0, kInk, true);
    column.skip(3.0);
    const Layout& layout = *sheet.layout;
    column.row("Scale", "1 : " + std::to_string(scale) + " on " + std::string(sheet.paper.name));
    column.row("Origin of the site",
               fixed_text(layout.origin.longitude_deg, 6) + ", " + fixed_text(layout.origin.latitude_deg, 6));
    column.row("File", fit_text(sheet.file, right - left - 40.0, 7.5));
    if (sheet.sha256.size() == 64) {
        column.row("SHA-256 of it", "");
        column.skip(1.0);
        for (const std::size_t from : {0U, 32U}) {
            column.skip(9.0);
            canvas.text(right,
                        column.y(),
                        sheet.sha256.substr(from, 32),
                        {.size = 7.0, .fill = kQuietInk, .anchor = Anchor::end});
        }
    }
    column.row("Drawn by", sheet.program);
    const double signs = areas.frame.high.y() - 52.0;
    line(signs);
    for (const auto& [words, y] :
         {std::pair("Checked on site", signs + 26.0), std::pair("Date, signature", signs + 52.0)}) {
        canvas.text(left, y - 17.0, words, {.size = 6.5, .fill = kQuietInk});
        if (y < areas.frame.high.y() - 1.0) {
            canvas.stroke({{{areas.column(), y}, {areas.frame.high.x(), y}}}, {.colour = kRule, .width = 0.5});
        }
    }
    return top;
}

// Marks along the frame, so that people can name a part of the sheet.
void draw_frame(Canvas& canvas, const SheetAreas& areas) {
    canvas.stroke({outline_of(areas.frame)}, {.colour = kInk, .width = 1.1, .closed = true});
    canvas.stroke({{{areas.column(), areas.frame.low.y()}, {areas.column(), areas.frame.high.y()}}},
                  {.colour = kInk, .width = 0.7});
    const Eigen::Vector2d size = areas.frame.high - areas.frame.low;
    const int columns = size.x() > size.y() ? 8 : 6;
    const int rows = size.x() > size.y() ? 6 : 8;
    const TextStyle style{.size = 6.5, .fill = kQuietInk, .anchor = Anchor::middle};
    std::vector<Polyline> ticks;
    constexpr double kTick = 5.0;
    for (int i = 0; i < columns; ++i) {
        const double x = areas.frame.low.x() + (i + 0.5) * size.x() / columns;
        canvas.text(x, areas.frame.low.y() - 5.0, std::to_string(i + 1), style);
        canvas.text(x, areas.frame.high.y() + 10.0, std::to_string(i + 1), style);
        const double edge = areas.frame.low.x() + i * size.x() / columns;
        if (i > 0) {
            ticks.push_back({{edge, areas.frame.low.y() - kTick}, {edge, areas.frame.low.y()}});
            ticks.push_back({{edge, areas.frame.high.y()}, {edge, areas.frame.high.y() + kTick}});
        }
    }
    for (int i = 0; i < rows; ++i) {
        const double y = areas.frame.low.y() + (i + 0.5) * size.y() / rows + 2.3;
        const std::string letter(1, static_cast<char>('A' + i));
        canvas.text(areas.frame.low.x() - 8.0, y, letter, style);
        canvas.text(areas.frame.high.x() + 8.0, y, letter, style);
        const double edge = areas.frame.low.y() + i * size.y() / rows;
        if (i > 0) {
            ticks.push_back({{areas.frame.low.x() - kTick, edge}, {areas.frame.low.x(), edge}});
            ticks.push_back({{areas.frame.high.x(), edge}, {areas.frame.high.x() + kTick, edge}});
        }
    }
    canvas.stroke(ticks, {.colour = kInk, .width = 0.6});
}

// Black and white by turns, four parts of a round length.
void draw_scale_bar(Canvas& canvas, double x, double y, double px_per_m) {
    constexpr double kLongestPart = 40.0;
    const double longest_m = kLongestPart / px_per_m;
    const double decade = std::pow(10.0, std::floor(std::log10(longest_m)));
    double part_m = decade;
    for (const double step : {2.0, 5.0}) {
        part_m = step * decade <= longest_m ? step * decade : part_m;
    }
    const double part = part_m * px_per_m;
    constexpr int kParts = 4;
    for (int i = 0; i < kParts; ++i) {
        const Polyline box = rectangle(x + i * part, y, part, 4.0);
        canvas.fill(box, i % 2 == 0 ? kInk : "#ffffff");
        canvas.stroke({box}, {.colour = kInk, .width = 0.6, .closed = true});
    }
    const int decimals = part_m < 1.0 ? 1 : 0;
    for (int i = 0; i <= kParts; i += 2) {
        canvas.text(x + i * part,
                    y - 3.0,
                    fixed_text(i * part_m, decimals) + (i == kParts ? " m" : ""),
                    {.size = 7.0, .anchor = i == 0 ? Anchor::start : Anchor::middle});
    }
}

void draw_north(Canvas& canvas, double x, double y) {
    canvas.fill({{x, y - 15.0}, {x, y + 7.0}, {x - 5.5, y + 11.0}}, kInk);
    canvas.stroke({{{x, y - 15.0}, {x, y + 7.0}, {x + 5.5, y + 11.0}}}, {.colour = kInk, .width = 0.7, .closed = true});
    canvas.text(x + 9.0, y - 7.0, "N", {.size = 9.0, .bold = true});
}

int scale_for(const Layout& layout, const SheetAreas& areas) {
    const PlanRect ground = ground_of(layout);
    const Eigen::Vector2d room = areas.plan.high - areas.plan.low;
    constexpr double kLabels = 8.0;  // for ids above and below the outermost tables
    const Eigen::Vector2d size = (ground.high - ground.low).cwiseMax(0.5);
    const double needed =
        std::max(size.x() * kPointsPerMetre / room.x(), size.y() * kPointsPerMetre / (room.y() - 2.0 * kLabels));
    for (int decade = 1; decade <= 1000000; decade *= 10) {
        for (const double step : {1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 7.5}) {
            if (step * decade >= needed && std::floor(step * decade) == step * decade) {
                return static_cast<int>(step * decade);
            }
        }
    }
    return 10000000;
}

// The paper on its side or upright, whichever shows the array larger.
Paper laid(const LayoutSheet& sheet) {
    const Paper upright{sheet.paper.name, sheet.paper.height, sheet.paper.width};
    return scale_for(*sheet.layout, SheetAreas(upright)) < scale_for(*sheet.layout, SheetAreas(sheet.paper))
               ? upright
               : sheet.paper;
}

void draw_sheet(Canvas& canvas, const LayoutSheet& sheet, const Paper& paper) {
    canvas.fill(rectangle(0.0, 0.0, paper.width, paper.height), "#ffffff");
    const SheetAreas areas(paper);
    const int scale = scale_for(*sheet.layout, areas);
    const double px_per_m = kPointsPerMetre / scale;
    const PlanOmissions omissions = draw_sheet_plan(canvas, *sheet.layout, areas.plan, px_per_m);
    draw_frame(canvas, areas);
    const double foot = areas.frame.high.y() - 18.0;
    draw_north(canvas, areas.frame.low.x() + 20.0, foot);
    draw_scale_bar(canvas, areas.frame.low.x() + 52.0, foot, px_per_m);
    const double block = draw_title_block(canvas, sheet, areas, scale);
    Column column(canvas, areas.column() + kAir, areas.frame.high.x() - kAir, areas.frame.low.y());
    draw_counts(column, *sheet.layout);
    draw_legend(canvas, column, omissions);
    draw_doubts(column, sheet, block - 4.0);
}

}  // namespace

const std::vector<Paper>& paper_sizes() {
    static const std::vector<Paper> sizes{{"A4", 841.89, 595.28},
                                          {"A3", 1190.55, 841.89},
                                          {"A2", 1683.78, 1190.55},
                                          {"A1", 2383.94, 1683.78},
                                          {"A0", 3370.39, 2383.94}};
    return sizes;
}

std::string layout_sheet_svg(const LayoutSheet& sheet) {
    const Paper paper = laid(sheet);
    const auto canvas = make_svg_canvas(paper.width, paper.height);
    draw_sheet(*canvas, sheet, paper);
    return canvas->finish();
}

std::string layout_sheet_pdf(const LayoutSheet& sheet) {
    const Paper paper = laid(sheet);
    PdfDocument document({sheet.title, "Plan of the array", sheet.program, std::nullopt}, paper.width, paper.height);
    draw_sheet(document.canvas(), sheet, paper);
    document.end_last_page();
    return document.finish();
}

}  // namespace heatrow
