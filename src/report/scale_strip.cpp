#include "scale_strip.hpp"

#include "heatrow/report/number_text.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

constexpr double kFlagRow = 15.0;
constexpr double kCounts = 34.0;
constexpr double kBar = 15.0;
constexpr double kTicks = 30.0;
constexpr int kMostRows = 4;

struct Flag {
    double x = 0.0;  // where it stands
    std::string text;
    double width = 0.0;
    int row = 0;
};

bool has_level(const PictureMark& mark) {
    return mark.level.is_known() && !mark.name.empty();
}

// Flags fly to the right of their pole, to the left where the strip ends, in the lowest row with room. What finds none
// lies in the top row, over others.
std::vector<Flag> place_flags(const ScaleStrip& strip, double left, double width) {
    std::vector<Flag> flags;
    for (const PictureMark& mark : strip.marks) {
        if (has_level(mark)) {
            const double share = std::clamp(strip.scale.share_of(mark.level), 0.0, 1.0);
            flags.push_back({left + share * width, mark.name, text_width(mark.name, 10.0) * 1.06 + 8.0, 0});
        }
    }
    std::stable_sort(flags.begin(), flags.end(), [](const Flag& a, const Flag& b) { return a.x < b.x; });
    std::vector<double> taken(kMostRows, left - 1.0);
    for (Flag& flag : flags) {
        const bool turned = flag.x + flag.width > left + width;
        const double from = turned ? flag.x - flag.width : flag.x;
        flag.row = kMostRows - 1;
        for (int row = 0; row < kMostRows; ++row) {
            if (taken[static_cast<std::size_t>(row)] < from) {
                flag.row = row;
                break;
            }
        }
        taken[static_cast<std::size_t>(flag.row)] = from + flag.width + 3.0;
        if (turned) {
            flag.width = -flag.width;
        }
    }
    return flags;
}

int rows_of(const std::vector<Flag>& flags) {
    int rows = 0;
    for (const Flag& flag : flags) {
        rows = std::max(rows, flag.row + 1);
    }
    return rows;
}

// One bar per 2 px, heights by the square root: small hot areas must show beside a wall.
void draw_counts(Canvas& canvas, const ScaleStrip& strip, const Box& room) {
    constexpr double kStep = 2.0;
    std::vector<double> counts(static_cast<std::size_t>(room.width / kStep) + 1);
    for (int y = 0; y < strip.temperature_c.height(); ++y) {
        for (int x = 0; x < strip.temperature_c.width(); ++x) {
            const Celsius value(static_cast<double>(strip.temperature_c(x, y)));
            if (value.is_known()) {
                const double share = std::clamp(strip.scale.share_of(value), 0.0, 1.0);
                counts[static_cast<std::size_t>(share * static_cast<double>(counts.size() - 1))] += 1.0;
            }
        }
    }
    const double most = std::sqrt(*std::max_element(counts.begin(), counts.end()));
    if (!(most > 0.0)) {
        return;
    }
    Polyline outline{{room.x, room.y + room.height}};
    for (std::size_t i = 0; i < counts.size(); ++i) {
        const double y = room.y + room.height * (1.0 - std::sqrt(counts[i]) / most);
        const double x = room.x + kStep * static_cast<double>(i);
        outline.emplace_back(std::min(x, room.x + room.width), y);
        outline.emplace_back(std::min(x + kStep, room.x + room.width), y);
    }
    outline.emplace_back(room.x + room.width, room.y + room.height);
    canvas.fill(outline, "#c9c5b9");
}

void draw_colours(Canvas& canvas, const ScaleStrip& strip, const Box& room) {
    const int steps = static_cast<int>(room.width);
    Image<Colour> colours(steps, 1);
    for (int i = 0; i < steps; ++i) {
        colours.view()(i, 0) = palette_colour(strip.scale.palette(), (i + 0.5) / steps);
    }
    Image<Colour> bar(steps, static_cast<int>(room.height));
    for (int y = 0; y < bar.height(); ++y) {
        std::copy_n(colours.view().row(0), steps, bar.view().row(y));
    }
    canvas.pixels(bar, room.x, room.y, 1.0);
    canvas.stroke({rectangle(room.x, room.y, steps, room.height)}, {.colour = kInk, .closed = true});
}

void draw_degrees(Canvas& canvas, const ScaleStrip& strip, const Box& room) {
    std::vector<Polyline> ticks;
    const double low = strip.scale.low().value();
    const double high = strip.scale.high().value();
    const auto values = scale_ticks(low, high);
    const bool fine = values.size() > 1 && values[1] - values[0] < 0.999;
    for (const double value : values) {
        const double x = room.x + strip.scale.share_of(Celsius(value)) * room.width;
        ticks.push_back({{x, room.y}, {x, room.y + 5.0}});
        canvas.text(x, room.y + 16.0, short_text(value, fine ? 2 : 0), {.size = 10.5, .anchor = Anchor::middle});
    }
    canvas.stroke(ticks, {.colour = kInk});
    canvas.text(room.x + room.width,
                room.y + 29.0,
                "°C, " + short_text(low, 1) + " to " + short_text(high, 1),
                {.size = 10.0, .fill = kQuietInk, .anchor = Anchor::end});
}

}  // namespace

double scale_strip_height(const ScaleStrip& strip, double width) {
    return kFlagRow * rows_of(place_flags(strip, 0.0, width)) + kCounts + kBar + kTicks + 8.0;
}

void draw_scale_strip(Canvas& canvas, const ScaleStrip& strip, const Box& room) {
    const std::vector<Flag> flags = place_flags(strip, room.x, room.width);
    const double counts_top = room.y + kFlagRow * rows_of(flags);
    const double bar_top = counts_top + kCounts;
    draw_counts(canvas, strip, {room.x, counts_top, room.width, kCounts});
    draw_colours(canvas, strip, {room.x, bar_top, room.width, kBar});
    draw_degrees(canvas, strip, {room.x, bar_top + kBar, room.width, kTicks});
    if (strip.isotherm) {
        const double share = strip.scale.share_of(*strip.isotherm);
        if (share >= 0.0 && share <= 1.0) {
            const double x = room.x + share * room.width;
            const std::vector<Polyline> line{{{x, counts_top}, {x, bar_top + kBar}}};
            canvas.stroke(line, {.colour = kInk, .width = 3.4});
            canvas.stroke(line, {.colour = strip.isotherm_colour, .width = 1.4});
        }
    }
    const auto top_of = [counts_top](const Flag& flag) { return counts_top - kFlagRow * (flag.row + 1) + 2.0; };
    for (const Flag& flag : flags) {  // all poles first: no pole runs through a name
        canvas.stroke({{{flag.x, top_of(flag)}, {flag.x, bar_top + 4.0}}}, {.colour = kInk});
    }
    for (const Flag& flag : flags) {
        const double left = flag.width < 0.0 ? flag.x + flag.width : flag.x;
        const Polyline cloth = rectangle(left, top_of(flag), std::abs(flag.width), kFlagRow - 3.0);
        canvas.fill(cloth, kPaper);
        canvas.stroke({cloth}, {.colour = kInk, .width = 0.9, .closed = true});
        canvas.text(left + 4.0, top_of(flag) + 9.4, flag.text, {.size = 10.0, .bold = true});
    }
}

}  // namespace heatrow
