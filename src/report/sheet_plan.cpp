#include "sheet_plan.hpp"

#include "string_colours.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <numbers>

namespace heatrow {
namespace {

constexpr double kSmallestText = 3.1;  // pt, still read in print
constexpr double kLargestText = 7.0;

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

PlanRect around(const Polyline& points) {
    PlanRect rect{points.front(), points.front()};
    for (const Eigen::Vector2d& point : points) {
        rect.low = rect.low.cwiseMin(point);
        rect.high = rect.high.cwiseMax(point);
    }
    return rect;
}

// A table's part of a module's id is said by the table.
std::string short_id(const Layout& layout, const Module& module) {
    if (module.table < 0) {
        return module.id;
    }
    const std::string& table = layout.tables[at(module.table)].id;
    if (!module.id.starts_with(table) || module.id.size() <= table.size()) {
        return module.id;
    }
    const std::string rest = module.id.substr(table.size());
    const auto first = rest.find_first_not_of("-._/ :");
    return first == std::string::npos ? module.id : rest.substr(first);
}

class SheetPlan {
  public:
    SheetPlan(Canvas& canvas, const Layout& layout, const PlanRect& window, double px_per_m)
        : canvas_(canvas),
          layout_(layout),
          window_(window),
          scale_(px_per_m),
          ground_(ground_of(layout)),
          modules_room_(20.0),
          labels_room_(20.0) {
        for (const Module& module : layout.modules) {
            Polyline outline;
            for (const Eigen::Vector3d& corner : module.corners_in_site) {
                outline.push_back(to_px(corner));
            }
            boxes_.push_back(around(outline));
            modules_room_.take(boxes_.back());
            outlines_.push_back(std::move(outline));
        }
        measure_modules();
    }

    PlanOmissions draw() {
        draw_modules();
        draw_string_borders();
        draw_wiring();
        draw_ids();
        draw_string_ids();
        draw_table_ids();
        return omissions_;
    }

  private:
    [[nodiscard]] Eigen::Vector2d to_px(const Eigen::Vector3d& point) const {
        const Eigen::Vector2d from_middle = (point.head<2>() - 0.5 * (ground_.low + ground_.high)) * scale_;
        const Eigen::Vector2d middle = 0.5 * (window_.low + window_.high);
        return {middle.x() + from_middle.x(), middle.y() - from_middle.y()};
    }

    // Typical size of a module on paper: the smaller of its upright box, median over the modules.
    [[nodiscard]] double module_px() const { return module_px_; }
    void measure_modules() {
        std::vector<double> sizes;
        for (const PlanRect& box : boxes_) {
            sizes.push_back((box.high - box.low).minCoeff());
            largest_ = std::max(largest_, (box.high - box.low).maxCoeff());
        }
        std::nth_element(sizes.begin(), sizes.begin() + static_cast<std::ptrdiff_t>(sizes.size() / 2), sizes.end());
        module_px_ = sizes[sizes.size() / 2];
    }

    void draw_modules() {
        const auto colours = string_colours(layout_);
        for (std::size_t i = 0; i < outlines_.size(); ++i) {
            const int string = layout_.modules[i].string;
            canvas_.fill(outlines_[i], string < 0 ? kNoString : colours[at(string)]);
        }
        std::vector<Polyline> in_string;
        std::vector<Polyline> alone;
        for (std::size_t i = 0; i < outlines_.size(); ++i) {
            (layout_.modules[i].string < 0 ? alone : in_string).push_back(outlines_[i]);
        }
        const double width = std::clamp(0.03 * module_px(), 0.08, 0.5);
        if (!in_string.empty()) {
            canvas_.stroke(in_string, {.colour = kQuietInk, .width = width, .closed = true});
        }
        if (!alone.empty()) {
            canvas_.stroke(
                alone, {.colour = kQuietInk, .width = 1.5 * width, .closed = true, .dash = std::max(0.6, 3.0 * width)});
        }
    }

    // Ids in the modules, all of one size, or none.
    void draw_ids() {
        double size = kLargestText;
        std::vector<std::string> ids;
        for (std::size_t i = 0; i < outlines_.size(); ++i) {
            ids.push_back(short_id(layout_, layout_.modules[i]));
            const Eigen::Vector2d box = boxes_[i].high - boxes_[i].low;
            constexpr double kShareOfWidth = 0.92;
            constexpr double kShareOfHeight = 0.30;
            const double width = text_width(ids.back(), 1.0);
            size = std::min({size, kShareOfWidth * box.x() / std::max(width, 0.1), kShareOfHeight * box.y()});
        }
        if (size < kSmallestText) {
            omissions_.module_ids = true;
            return;
        }
        for (std::size_t i = 0; i < outlines_.size(); ++i) {
            // In the upper left part: wires run through the middle.
            const Eigen::Vector2d box = boxes_[i].high - boxes_[i].low;
            const double x = boxes_[i].low.x() + std::min(0.12 * box.x(), 0.5 * (box.x() - text_width(ids[i], size)));
            const double y = boxes_[i].low.y() + 0.1 * box.y() + size;
            canvas_.text(x, y, ids[i], {.size = size});
            labels_room_.take({{x, y - size}, {x + text_width(ids[i], size), y + 0.2 * size}});
        }
    }

    // Sides between modules of two strings, drawn strongly.
    void draw_string_borders() {
        std::vector<Polyline> borders;
        const double reach = std::max(0.08, 0.25 * module_px() / scale_);  // m beyond the side
        for (std::size_t i = 0; i < outlines_.size(); ++i) {
            const Module& module = layout_.modules[i];
            if (module.string < 0) {
                continue;
            }
            const Eigen::Vector3d centre = module.centre_in_site();
            for (std::size_t side = 0; side < 4; ++side) {
                const Eigen::Vector3d middle =
                    0.5 * (module.corners_in_site[side] + module.corners_in_site[(side + 1) % 4]);
                const Eigen::Vector3d beyond = middle + reach * (middle - centre).normalized();
                if (string_at(beyond, i) != module.string) {
                    borders.push_back({outlines_[i][side], outlines_[i][(side + 1) % 4]});
                }
            }
        }
        if (!borders.empty()) {
            canvas_.stroke(borders, {.colour = kInk, .width = std::clamp(0.06 * module_px(), 0.2, 0.9)});
        }
    }

    // The string of the module that holds a point other than `except`; -1 where there is none.
    [[nodiscard]] int string_at(const Eigen::Vector3d& point, std::size_t except) {
        if (by_square_.empty()) {
            for (std::size_t i = 0; i < boxes_.size(); ++i) {
                by_square_[square_of(0.5 * (boxes_[i].low + boxes_[i].high))].push_back(i);
            }
        }
        const Eigen::Vector2d here = to_px(point);
        const auto [column, row] = square_of(here);
        for (long x = column - 1; x <= column + 1; ++x) {
            for (long y = row - 1; y <= row + 1; ++y) {
                const auto found = by_square_.find({x, y});
                if (found == by_square_.end()) {
                    continue;
                }
                for (const std::size_t i : found->second) {
                    const PlanRect& box = boxes_[i];
                    if (i != except && here.x() >= box.low.x() && here.y() >= box.low.y() && here.x() <= box.high.x() &&
                        here.y() <= box.high.y()) {
                        return layout_.modules[i].string;
                    }
                }
            }
        }
        return -1;
    }
    [[nodiscard]] std::pair<long, long> square_of(const Eigen::Vector2d& point) const {
        const double square = std::max(1e-6, largest_);
        return {std::lround(point.x() / square), std::lround(point.y() / square)};
    }
    // Leaps over modules of the same string bow aside, so that out and back can be told.
    static Polyline bowed(const Polyline& way) {
        Polyline line{way.front()};
        for (std::size_t i = 1; i < way.size(); ++i) {
            const Eigen::Vector2d step = way[i] - way[i - 1];
            const Eigen::Vector2d middle = 0.5 * (way[i] + way[i - 1]);
            const bool leaps = std::ranges::any_of(
                way, [&](const Eigen::Vector2d& other) { return (other - middle).norm() < 0.3 * step.norm(); });
            if (leaps) {
                const Eigen::Vector2d aside(0.15 * step.y(), -0.15 * step.x());
                line.emplace_back(way[i - 1] + 0.2 * step + 0.7 * aside);
                line.emplace_back(middle + aside);
                line.emplace_back(way[i] - 0.2 * step + 0.7 * aside);
            }
            line.push_back(way[i]);
        }
        return line;
    }

    void draw_wiring() {
        std::vector<Polyline> ways;
        std::vector<Polyline> lines;
        for (const ModuleString& string : layout_.strings) {
            Polyline way;
            for (const int index : string.modules) {
                way.push_back(to_px(layout_.modules[at(index)].centre_in_site()));
            }
            lines.push_back(bowed(way));
            ways.push_back(std::move(way));
        }
        const double size = module_px();
        const double width = std::clamp(0.05 * size, 0.18, 0.9);
        canvas_.stroke(lines, {.colour = "#ffffff", .width = 2.6 * width});
        canvas_.stroke(lines, {.colour = kInk, .width = width});
        const double radius = std::clamp(0.2 * size, 0.7, 4.2);
        for (const Polyline& way : ways) {
            draw_plus(way.front(), radius);
            if (way.size() > 1) {
                canvas_.fill(disc(way.back(), 0.55 * radius), kInk);
            }
        }
    }

    void draw_plus(const Eigen::Vector2d& place, double radius) {
        canvas_.fill(disc(place, radius), "#ffffff");
        canvas_.stroke({disc(place, radius)}, {.colour = kInk, .width = 0.22 * radius, .closed = true});
        const double arm = 0.6 * radius;
        canvas_.stroke({{{place.x() - arm, place.y()}, {place.x() + arm, place.y()}},
                        {{place.x(), place.y() - arm}, {place.x(), place.y() + arm}}},
                       {.colour = kInk, .width = 0.3 * radius});
    }

    static Polyline disc(const Eigen::Vector2d& middle, double radius) {
        constexpr int kSides = 16;
        Polyline outline;
        for (int i = 0; i < kSides; ++i) {
            const double turn = 2.0 * std::numbers::pi * i / kSides;
            outline.emplace_back(middle.x() + radius * std::cos(turn), middle.y() + radius * std::sin(turn));
        }
        return outline;
    }

    // On a white tag in the string, where no other word stands.
    void draw_string_ids() {
        for (const ModuleString& string : layout_.strings) {
            Polyline corners;
            for (const int index : string.modules) {
                corners.insert(corners.end(), outlines_[at(index)].begin(), outlines_[at(index)].end());
            }
            const Eigen::Vector2d room = around(corners).high - around(corners).low;
            const double width = text_width(string.id, 1.0);
            const double size = std::min({kLargestText,
                                          std::max(kSmallestText + 0.2, 0.5 * module_px()),
                                          0.45 * room.x() / std::max(width, 0.1),
                                          0.8 * room.y()});
            if (size < kSmallestText || !place_string_id(string, size)) {
                ++omissions_.string_ids;
            }
        }
    }

    bool place_string_id(const ModuleString& string, double size) {
        const double half = 0.5 * text_width(string.id, size) + 0.25 * size;
        const auto centre = [&](std::size_t i) {
            const PlanRect& box = boxes_[at(string.modules[i])];
            return Eigen::Vector2d(0.5 * (box.low + box.high));
        };
        // Between two modules, so that ids stay free; nearest to the middle of the string first.
        std::vector<Eigen::Vector2d> places;
        Eigen::Vector2d middle(0.0, 0.0);
        const std::size_t count = string.modules.size();
        for (std::size_t i = 0; i < count; ++i) {
            middle += centre(i) / static_cast<double>(count);
            places.emplace_back(i + 1 < count ? Eigen::Vector2d(0.5 * (centre(i) + centre(i + 1))) : centre(i));
        }
        std::ranges::stable_sort(places, [&](const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
            return (a - middle).norm() < (b - middle).norm();
        });
        for (const Eigen::Vector2d& place : places) {
            const PlanRect tag{{place.x() - half, place.y() - 0.62 * size},
                               {place.x() + half, place.y() + 0.62 * size}};
            if (!labels_room_.is_free(tag)) {
                continue;
            }
            labels_room_.take(tag);
            canvas_.fill(rectangle(tag.low.x(), tag.low.y(), 2.0 * half, 1.24 * size), "#ffffff");
            canvas_.text(
                place.x(), place.y() + 0.36 * size, string.id, {.size = size, .anchor = Anchor::middle, .bold = true});
            return true;
        }
        return false;
    }

    // Above the upper left corner of the table, where the ground is free.
    void draw_table_ids() {
        for (const Table& table : layout_.tables) {
            Polyline corners;
            for (const int index : table.modules) {
                corners.insert(corners.end(), outlines_[at(index)].begin(), outlines_[at(index)].end());
            }
            const PlanRect box = around(corners);
            const double size = std::clamp(0.35 * module_px(), kSmallestText + 0.4, kLargestText);
            const double width = text_width(table.id, size);
            bool placed = false;
            for (const double y : {box.low.y() - 1.5, box.high.y() + size + 0.8}) {
                const PlanRect room{{box.low.x(), y - 0.8 * size}, {box.low.x() + width, y + 0.15 * size}};
                if (!modules_room_.is_free(room) || !labels_room_.is_free(room) ||
                    width > 1.3 * (box.high.x() - box.low.x())) {
                    continue;
                }
                labels_room_.take(room);
                canvas_.text(box.low.x(), y, table.id, {.size = size, .fill = kQuietInk});
                placed = true;
                break;
            }
            omissions_.table_ids += placed ? 0 : 1;
        }
    }

    Canvas& canvas_;
    const Layout& layout_;
    PlanRect window_;
    double scale_;
    PlanRect ground_;
    std::vector<Polyline> outlines_;  // of each module, px
    std::vector<PlanRect> boxes_;
    LabelRoom modules_room_;
    LabelRoom labels_room_;
    std::map<std::pair<long, long>, std::vector<std::size_t>> by_square_;
    double module_px_ = 0.0;
    double largest_ = 0.0;  // side of a box
    PlanOmissions omissions_;
};

}  // namespace

PlanRect ground_of(const Layout& layout) {
    PlanRect ground{Eigen::Vector2d::Constant(std::numeric_limits<double>::max()),
                    Eigen::Vector2d::Constant(std::numeric_limits<double>::lowest())};
    for (const Module& module : layout.modules) {
        for (const Eigen::Vector3d& corner : module.corners_in_site) {
            ground.low = ground.low.cwiseMin(corner.head<2>());
            ground.high = ground.high.cwiseMax(corner.head<2>());
        }
    }
    return ground;
}

PlanOmissions draw_sheet_plan(Canvas& canvas, const Layout& layout, const PlanRect& window, double px_per_m) {
    return SheetPlan(canvas, layout, window, px_per_m).draw();
}

}  // namespace heatrow
