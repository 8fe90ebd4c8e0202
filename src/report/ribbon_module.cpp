#include "ribbon_module.hpp"

#include <Eigen/Geometry>

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <set>

namespace heatrow {
namespace {

constexpr double kCellGapPx = 0.35;         // left free on each side of a cell
constexpr double kCellGapShare = 0.12;      // of the cell, at most
constexpr double kCoolShareOfLimit = 0.25;  // cells cooler than this share of the scale get a dash, for grey print
constexpr double kReasonSize = 9.0;

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

// Steps to the neighbours: above, right, below, left.
constexpr std::array<CellIndex, 4> kSides = {{{-1, 0}, {0, 1}, {1, 0}, {0, -1}}};

// Line segments along the axes, joined end to end where they lie in one line.
class AxisSegments {
  public:
    // Adds the side of a cell's rectangle toward a neighbour.
    void add_side(std::size_t side, const Eigen::Vector2d& low, const Eigen::Vector2d& high) {
        if (side % 2 == 0) {
            horizontal_.push_back({side == 0 ? low.y() : high.y(), low.x(), high.x()});
        } else {
            vertical_.push_back({side == 3 ? low.x() : high.x(), low.y(), high.y()});
        }
    }
    [[nodiscard]] std::string path() const {
        std::string d;
        for (const Segment& s : joined(horizontal_)) {
            d += "M" + px(s.from) + " " + px(s.line) + "H" + px(s.to);
        }
        for (const Segment& s : joined(vertical_)) {
            d += "M" + px(s.line) + " " + px(s.from) + "V" + px(s.to);
        }
        return d;
    }

  private:
    struct Segment {
        double line = 0.0;
        double from = 0.0;
        double to = 0.0;
    };
    static std::vector<Segment> joined(std::vector<Segment> segments) {
        constexpr double kSame = 1e-6;
        std::sort(segments.begin(), segments.end(), [](const Segment& a, const Segment& b) {
            return std::abs(a.line - b.line) > kSame ? a.line < b.line : a.from < b.from;
        });
        std::vector<Segment> out;
        for (const Segment& s : segments) {
            if (!out.empty() && std::abs(out.back().line - s.line) <= kSame &&
                std::abs(out.back().to - s.from) <= kSame) {
                out.back().to = s.to;
            } else {
                out.push_back(s);
            }
        }
        return out;
    }

    std::vector<Segment> horizontal_;
    std::vector<Segment> vertical_;
};

}  // namespace

RibbonModule::RibbonModule(const ReportModel& model, int module, double pixels_per_metre)
    : model_(model),
      module_(model.record->layout.modules[at(module)]),
      result_(model.record->modules[at(module)]),
      type_(model.record->layout.type_of(module_)),
      scale_(pixels_per_metre),
      index_(module) {}

double RibbonModule::width() const {
    return type_.width.value() * scale_;
}

double RibbonModule::height() const {
    return type_.height.value() * scale_;
}

Eigen::Vector2d RibbonModule::cell_low(int cell) const {
    return type_.cell_corners(type_.cell_at(cell))[0] * scale_;
}

Eigen::Vector2d RibbonModule::cell_high(int cell) const {
    return type_.cell_corners(type_.cell_at(cell))[2] * scale_;
}

void RibbonModule::draw(Svg& svg, RibbonUse use) const {
    const std::string outline = "stroke=\"" + std::string(kInk) + "\" stroke-width=\"0.9\"";
    if (!shows_cells()) {
        svg.rect(0.0, 0.0, width(), height(), "rx=\"1.5\" fill=\"url(#hatch)\" " + outline);
        draw_reason(svg, Eigen::Vector2d::Zero(), {width(), height()});
        return;
    }
    svg.rect(0.0, 0.0, width(), height(), "rx=\"1.5\" fill=\"#ffffff\" " + outline);
    if (use == RibbonUse::file) {
        draw_cells(svg);
    } else {
        svg.raw("<g class=\"cells\" data-module=\"" + std::to_string(index_) + "\" transform=\"scale(" + px(scale_) +
                ")\"></g>\n");
    }
    draw_substring_borders(svg);
    draw_cell_glyphs(svg);
    if (!result_.assessed) {
        draw_reason_on_unseen_cells(svg);
    }
}

void RibbonModule::draw_cells(Svg& svg) const {
    std::array<std::string, kScaleSteps> paths;
    std::string unknown;
    for (int cell = 0; cell < type_.cell_count(); ++cell) {
        // Strips narrower than the gap would vanish.
        const Eigen::Vector2d gap =
            (kCellGapShare * (cell_high(cell) - cell_low(cell))).cwiseMin(Eigen::Vector2d::Constant(kCellGapPx));
        const Eigen::Vector2d low = cell_low(cell) + gap;
        const Eigen::Vector2d size = cell_high(cell) - gap - low;
        const KelvinDelta difference = result_.cells[at(cell)].delta_t_1000;
        std::string& path = difference.is_known() ? paths[at(model_.scale.step_of(difference))] : unknown;
        path += rect_path(low.x(), low.y(), size.x(), size.y());
    }
    for (std::size_t step = 0; step < paths.size(); ++step) {
        if (!paths[step].empty()) {
            svg.path(paths[step], "fill=\"" + to_hex(scale_colours()[step]) + "\"");
        }
    }
    if (!unknown.empty()) {
        svg.path(unknown, "fill=\"url(#hatch)\"");
    }
}

void RibbonModule::draw_cell_glyphs(Svg& svg) const {
    std::string clipped;
    std::string cool;
    for (int cell = 0; cell < type_.cell_count(); ++cell) {
        const KelvinDelta difference = result_.cells[at(cell)].delta_t_1000;
        if (!difference.is_known()) {
            continue;
        }
        const Eigen::Vector2d middle = (cell_low(cell) + cell_high(cell)) / 2.0;
        const Eigen::Vector2d size = cell_high(cell) - cell_low(cell);
        const double reach = 0.26 * std::min(size.x(), size.y());
        const bool is_clipped = model_.scale.is_clipped(difference);
        if (is_clipped) {
            const double tip = difference.value() > 0.0 ? -reach : reach;
            clipped += "M" + px(middle.x() - reach) + " " + px(middle.y() - tip / 2.0) + "l" + px(reach) + " " +
                       px(tip) + "l" + px(reach) + " " + px(-tip);
        } else if (difference < model_.scale.limit() * -kCoolShareOfLimit) {
            cool += "M" + px(middle.x() - reach) + " " + px(middle.y()) + "h" + px(2.0 * reach);
        }
    }
    if (!clipped.empty()) {
        svg.path(clipped, "fill=\"none\" stroke=\"#ffffff\" stroke-width=\"1.3\"");
    }
    if (!cool.empty()) {
        svg.path(cool, "fill=\"none\" stroke=\"" + std::string(kInk) + "\" stroke-width=\"0.9\"");
    }
}

void RibbonModule::draw_substring_borders(Svg& svg) const {
    AxisSegments borders;
    for (int cell = 0; cell < type_.cell_count(); ++cell) {
        const CellIndex here = type_.cell_at(cell);
        for (const std::size_t side : {1U, 2U}) {
            const CellIndex next = {here.row + kSides[side].row, here.column + kSides[side].column};
            if (next.row >= type_.rows || next.column >= type_.columns) {
                continue;
            }
            const int other = type_.cell_number(next);
            if (type_.substring_of_cell[at(cell)] != type_.substring_of_cell[at(other)]) {
                borders.add_side(side, cell_low(cell), cell_high(cell));
            }
        }
    }
    if (const std::string d = borders.path(); !d.empty()) {
        svg.path(d, "fill=\"none\" stroke=\"" + std::string(kInk) + "\" stroke-width=\"0.8\"");
    }
}

// Why it is not assessed, in the middle of an area.
void RibbonModule::draw_reason(Svg& svg, const Eigen::Vector2d& low, const Eigen::Vector2d& high) const {
    const Eigen::Vector2d size = high - low;
    const std::string reason =
        result_.placement == Placement::ambiguous ? "may be another module" : in_words(result_.assessed_reason);
    const std::vector<std::string> lines = wrap_text(reason, size.x() - 6.0, kReasonSize);
    const double line_height = kReasonSize + 2.0;
    const double block = static_cast<double>(lines.size()) * line_height + 6.0;
    double y = low.y() + (size.y() - block) / 2.0;
    svg.rect(low.x() + 1.0, y, size.x() - 2.0, block, "fill=\"#ffffff\" fill-opacity=\"0.92\"");
    for (const std::string& line : lines) {
        y += line_height;
        svg.text(low.x() + size.x() / 2.0,
                 y,
                 fit_text(line, size.x() - 3.0, kReasonSize),
                 {.size = kReasonSize, .fill = kInk, .anchor = Anchor::middle});
    }
}

void RibbonModule::draw_reason_on_unseen_cells(Svg& svg) const {
    Eigen::AlignedBox2d unseen;
    for (int cell = 0; cell < type_.cell_count(); ++cell) {
        if (!result_.cells[at(cell)].temperature.is_known()) {
            unseen.extend(cell_low(cell));
            unseen.extend(cell_high(cell));
        }
    }
    if (!unseen.isEmpty()) {
        draw_reason(svg, unseen.min(), unseen.max());
    }
}

void RibbonModule::draw_finding_outlines(Svg& svg) const {
    AxisSegments outline;
    for (const Finding& finding : model_.record->findings) {
        if (finding.module != index_ || !shows_cells()) {
            continue;
        }
        const std::vector<int> list = cells_of_finding(*model_.record, finding);
        const std::set<int> cells(list.begin(), list.end());
        for (const int cell : cells) {
            const CellIndex here = type_.cell_at(cell);
            for (std::size_t side = 0; side < kSides.size(); ++side) {
                const CellIndex next = {here.row + kSides[side].row, here.column + kSides[side].column};
                const bool inside = next.row >= 0 && next.row < type_.rows && next.column >= 0 &&
                                    next.column < type_.columns && cells.contains(type_.cell_number(next));
                if (!inside) {
                    outline.add_side(side, cell_low(cell), cell_high(cell));
                }
            }
        }
    }
    if (const std::string d = outline.path(); !d.empty()) {
        svg.path(d, "fill=\"none\" stroke=\"#ffffff\" stroke-width=\"3.6\" stroke-linecap=\"square\"");
        svg.path(d,
                 "fill=\"none\" stroke=\"" + std::string(kInk) + "\" stroke-width=\"1.7\" stroke-linecap=\"square\"");
    }
}

Eigen::Vector2d RibbonModule::leader_foot(const Finding& finding) const {
    if (!shows_cells()) {
        return {width() / 2.0, 0.0};
    }
    double left = std::numeric_limits<double>::max();
    double right = 0.0;
    double top = std::numeric_limits<double>::max();
    for (const int cell : cells_of_finding(*model_.record, finding)) {
        left = std::min(left, cell_low(cell).x());
        right = std::max(right, cell_high(cell).x());
        top = std::min(top, cell_low(cell).y());
    }
    return {(left + right) / 2.0, top};
}

}  // namespace heatrow
