#include "heatrow/report/string_ribbon.hpp"

#include "class_mark.hpp"
#include "conditions_text.hpp"
#include "heatrow/record/cells_seen.hpp"
#include "heatrow/report/markup.hpp"
#include "heatrow/report/number_text.hpp"
#include "ribbon_legend.hpp"
#include "ribbon_module.hpp"
#include "shown_cells.hpp"
#include "site_plan.hpp"
#include "svg.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace heatrow {
namespace {

// All lengths in px.
constexpr double kPageWidth = 1200.0;
constexpr double kMargin = 22.0;
constexpr double kPlanX = kPageWidth - kMargin - kSiteBox.width;
constexpr double kWireEnd = 26.0;  // room for the wire's end on either side
constexpr double kRibbonWidth = kPlanX - kMargin - 2.0 * kWireEnd - 18.0;
constexpr double kGap = 7.0;        // between modules
constexpr double kRail = 34.0;      // above the modules, for marks
constexpr double kFoot = 52.0;      // below them, for wire, position, id and figure
constexpr double kTallest = 118.0;  // of a module
constexpr double kWidest = 150.0;
constexpr double kSmallestShare = 0.76;  // of the largest scale, to save a line
constexpr double kHeader = 74.0;

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

// How modules are broken into lines.
struct Wrap {
    double pixels_per_metre = 0.0;
    double pitch = 0.0;   // px from module to module
    double height = 0.0;  // of the tallest module
    int per_line = 1;
    int lines = 1;
};

Wrap wrap_for(const SurveyRecord& record, const StringView& string) {
    double wide_m = 0.1;
    double tall_m = 0.1;
    for (const int module : string.modules) {
        const ModuleType& type = record.layout.type_of(record.layout.modules[at(module)]);
        wide_m = std::max(wide_m, type.width.value());
        tall_m = std::max(tall_m, type.height.value());
    }
    const int count = std::max(1, static_cast<int>(string.modules.size()));
    const double largest = std::min(kTallest / tall_m, kWidest / wide_m);
    const auto fits = [&](double scale) {
        return std::max(1, static_cast<int>((kRibbonWidth + kGap) / (wide_m * scale + kGap)));
    };
    const auto lines = [&](double scale) { return (count + fits(scale) - 1) / fits(scale); };
    Wrap wrap;
    wrap.lines = lines(largest * kSmallestShare);
    wrap.pixels_per_metre = largest;
    while (lines(wrap.pixels_per_metre) > wrap.lines) {
        wrap.pixels_per_metre *= 0.99;
    }
    wrap.per_line = (count + wrap.lines - 1) / wrap.lines;
    wrap.pitch = wide_m * wrap.pixels_per_metre + kGap;
    wrap.height = tall_m * wrap.pixels_per_metre;
    return wrap;
}

class Ribbon {
  public:
    Ribbon(const ReportModel& model, const StringView& string, RibbonUse use)
        : model_(model), record_(*model.record), string_(string), use_(use), wrap_(wrap_for(record_, string)) {}

    [[nodiscard]] double height() const { return wrap_.lines * line_height(); }

    void draw(Svg& svg) const {
        const int count = static_cast<int>(string_.modules.size());
        for (int line = 0; line < wrap_.lines; ++line) {
            const int begin = line * wrap_.per_line;
            const int end = std::min(count, begin + wrap_.per_line);
            svg.open_group("transform=\"translate(" + px(kWireEnd) + " " + px(line * line_height()) + ")\"");
            draw_bed(svg, begin, end);
            draw_string_marks(svg, begin, end);
            for (int place = begin; place < end; ++place) {
                draw_module(svg, place, (place - begin) * wrap_.pitch);
            }
            svg.close_group();
        }
    }

  private:
    [[nodiscard]] double line_height() const { return kRail + wrap_.height + kFoot; }

    // The bed under the modules and the wire along it.
    void draw_bed(Svg& svg, int begin, int end) const {
        const double width = (end - begin) * wrap_.pitch - kGap;
        const double y = kRail + wrap_.height + 9.0;
        svg.rect(-6.0, kRail - 5.0, width + 12.0, wrap_.height + 14.0, "rx=\"4\" fill=\"" + std::string(kBand) + "\"");
        if (string_.string == -1) {
            return;
        }
        const bool is_first = begin == 0;
        const bool is_last = end == static_cast<int>(string_.modules.size());
        svg.line(-18.0, y, width + 18.0, y, "stroke=\"" + std::string(kThisString) + "\" stroke-width=\"2.4\"");
        draw_wire_end(svg, -18.0, y, is_first ? "+" : "");
        draw_wire_end(svg, width + 18.0, y, is_last ? "−" : "");
    }

    // Findings on the whole string: a bracket over the line with the marks at its beginning.
    void draw_string_marks(Svg& svg, int begin, int end) const {
        double x = -16.0;
        bool any = false;
        for (const int number : string_.findings) {
            const Finding& finding = record_.findings[at(number)];
            if (finding.module == -1) {
                if (!any) {
                    const double right = (end - begin) * wrap_.pitch - kGap + 6.0;
                    svg.path("M" + px(x) + " " + px(kRail - 9.0) + "H" + px(right) + "v4",
                             "fill=\"none\" stroke=\"" + std::string(kInk) + "\" stroke-width=\"1\"");
                }
                any = true;
                svg.raw(class_mark_svg(finding.abnormality, x, kRail - 14.0));
                x += 20.0;
            }
        }
    }

    // The pole of the string, or an arrow where it goes on in another line.
    static void draw_wire_end(Svg& svg, double x, double y, std::string_view pole) {
        if (pole.empty()) {
            svg.path("M" + px(x - 3.0) + " " + px(y - 4.0) + "l6 4l-6 4z", "fill=\"" + std::string(kThisString) + "\"");
            return;
        }
        svg.raw("<circle cx=\"" + px(x) + "\" cy=\"" + px(y) + "\" r=\"7\" fill=\"" + std::string(kThisString) +
                "\"/>\n");
        svg.text(x, y + 4.0, pole, {.size = 12.0, .fill = "#ffffff", .anchor = Anchor::middle, .bold = true});
    }

    void draw_module(Svg& svg, int place, double x) const {
        const int index = string_.modules[at(place)];
        const Module& module = record_.layout.modules[at(index)];
        const RibbonModule drawing(model_, index, wrap_.pixels_per_metre);
        const double left = x + (wrap_.pitch - kGap - drawing.width()) / 2.0;
        const double top = kRail + wrap_.height - drawing.height();
        svg.open_group("class=\"module\" transform=\"translate(" + px(left) + " " + px(top) + ")\"");
        if (use_ == RibbonUse::file) {
            svg.title(tooltip(index));
        }
        drawing.draw(svg, use_);
        drawing.draw_finding_outlines(svg);
        draw_marks(svg, drawing, index, kRail - top);
        svg.close_group();

        const double middle = x + (wrap_.pitch - kGap) / 2.0;
        const double foot = kRail + wrap_.height;
        if (string_.string != -1) {
            svg.raw("<circle cx=\"" + px(middle) + "\" cy=\"" + px(foot + 9.0) +
                    "\" r=\"8\" fill=\"#ffffff\" stroke=\"" + std::string(kThisString) + "\" stroke-width=\"1.6\"/>\n");
            svg.text(middle,
                     foot + 12.2,
                     std::to_string(module.position > 0 ? module.position : place + 1),
                     {.size = 9.0, .anchor = Anchor::middle, .bold = true});
        }
        svg.text(
            middle, foot + 29.0, fit_text(module.id, wrap_.pitch - 2.0, 9.5), {.size = 9.5, .anchor = Anchor::middle});
        if (const std::string text = figure(index); !text.empty()) {
            svg.text(middle, foot + 41.0, text, {.size = 10.0, .anchor = Anchor::middle, .bold = true});
        }
    }

    // Marks of the findings in the rail above a module, led down to their cells; `rail` is the rail's foot there.
    void draw_marks(Svg& svg, const RibbonModule& drawing, int index, double rail) const {
        std::vector<const Finding*> shown;
        for (const int number : string_.findings) {
            const Finding& finding = record_.findings[at(number)];
            if (finding.module == index) {
                shown.push_back(&finding);
            }
        }
        const bool is_ambiguous = record_.modules[at(index)].placement == Placement::ambiguous;
        const int count = static_cast<int>(shown.size()) + (is_ambiguous ? 1 : 0);
        const double spacing = std::min(20.0, drawing.width() / std::max(1, count));
        double x = drawing.width() / 2.0 - spacing * (count - 1) / 2.0;
        const double y = rail - 20.0;
        for (const Finding* finding : shown) {
            const Eigen::Vector2d foot = drawing.leader_foot(*finding);
            const std::string d = "M" + px(x) + " " + px(y + 8.0) + "L" + px(foot.x()) + " " + px(foot.y());
            svg.path(d, "fill=\"none\" stroke=\"#ffffff\" stroke-width=\"2.6\"");
            svg.path(d, "fill=\"none\" stroke=\"" + std::string(kInk) + "\" stroke-width=\"1\"");
            svg.raw(class_mark_svg(finding->abnormality, x, y));
            x += spacing;
        }
        if (is_ambiguous) {
            svg.raw(ambiguous_mark_svg(x, y));
        }
    }

    // The largest difference among the module's findings.
    [[nodiscard]] std::string figure(int index) const {
        double largest = kNaN;
        for (const int number : string_.findings) {
            const Finding& finding = record_.findings[at(number)];
            if (finding.module == index) {
                const Uncertain<KelvinDelta>& value =
                    finding.delta_t_1000.is_known() ? finding.delta_t_1000 : finding.delta_t;
                largest = std::fmax(largest, value.value.value());
            }
        }
        return std::isnan(largest) ? std::string{} : signed_text(largest, 1) + " K";
    }

    [[nodiscard]] std::string tooltip(int index) const {
        const Module& module = record_.layout.modules[at(index)];
        const ModuleResult& result = record_.modules[at(index)];
        std::string words = module.id;
        if (!result.assessed) {
            words += ": not assessed, " + in_words(result.assessed_reason);
            return shows_cells(result) ? words + ", " + std::to_string(cells_seen(result)) + " of " +
                                             std::to_string(result.cells.size()) + " cells"
                                       : words;
        }
        words += ": " + fixed_text(result.temperature.value.value(), 1) + " °C";
        if (result.hottest_cell >= 0) {
            const ModuleType& type = record_.layout.type_of(module);
            words += ", hottest cell " + to_string(type.cell_at(result.hottest_cell)) + " " +
                     signed_text(result.hottest_cell_delta_t_1000.value(), 1) + " K at 1000 W/m²";
        }
        return words;
    }

    const ReportModel& model_;
    const SurveyRecord& record_;
    const StringView& string_;
    RibbonUse use_;
    Wrap wrap_;
};

constexpr double kPlansHeight = kSiteBox.height + kStringBox.height + 46.0;

void draw_plans(Svg& svg, const ReportModel& model, const StringView& string, RibbonUse use) {
    const std::string base = use == RibbonUse::file ? "<path d=\"" + site_base_path(*model.record) + "\" fill=\"" +
                                                          std::string(kOtherModules) + "\"/>\n"
                                                    : "<use href=\"#site-base\"/>\n";
    svg.text(0.0, 12.0, "On site", {.size = 10.5, .bold = true});
    svg.open_group("transform=\"translate(0 18)\"");
    draw_site_plan(svg, model, string, base);
    svg.close_group();
    svg.text(0.0, kSiteBox.height + 36.0, "The string in place", {.size = 10.5, .bold = true});
    svg.open_group("transform=\"translate(0 " + px(kSiteBox.height + 42.0) + ")\"");
    draw_string_plan(svg, model, string);
    svg.close_group();
}

void draw_header(Svg& svg, const ReportModel& model, const StringView& string) {
    const SurveyRecord& record = *model.record;
    const std::string kind = string.string == -1 ? "" : "String ";
    svg.text(0.0, 22.0, fit_text(kind + string.title, 700.0, 21.0), {.size = 21.0, .bold = true});
    svg.text(
        kPageWidth - 2.0 * kMargin, 18.0, fit_text(record.title, 420.0, 12.0), {.size = 12.0, .anchor = Anchor::end});
    svg.text(kPageWidth - 2.0 * kMargin,
             34.0,
             record.profile_id + " " + record.profile_version + (record.program.empty() ? "" : " · ") + record.program,
             {.size = 10.0, .fill = kQuietInk, .anchor = Anchor::end});
    svg.text(0.0, 42.0, string_count_text(model, string), {.size = 12.0});
    svg.text(0.0, 58.0, conditions_text(string.conditions), {.size = 11.0, .fill = kQuietInk});
}

// One line or more for each finding; returns the height used.
double draw_findings(Svg& svg, const ReportModel& model, const StringView& string) {
    const SurveyRecord& record = *model.record;
    double y = 12.0;
    if (string.findings.empty()) {
        const std::string text = string.assessed > 0
                                     ? "No finding on the " + std::to_string(string.assessed) + " assessed modules."
                                     : "No module of this string could be assessed.";
        svg.text(0.0, y, text, {.size = 11.0});
        return y + 14.0;
    }
    for (const int number : string.findings) {
        const Finding& finding = record.findings[at(number)];
        svg.raw(class_mark_svg(finding.abnormality, 9.0, y - 2.0, 0.85));
        svg.text(24.0, y + 2.0, finding_headline(record, finding), {.size = 11.5, .bold = true});
        for (const std::string& line :
             wrap_text(finding_detail(record, finding), kPageWidth - 2.0 * kMargin - 30.0, 10.5)) {
            y += 14.0;
            svg.text(24.0, y + 2.0, line, {.size = 10.5, .fill = kQuietInk});
        }
        y += 24.0;
    }
    return y;
}

}  // namespace

std::string string_ribbon_svg(const ReportModel& model, const StringView& string, RibbonUse use) {
    const Ribbon ribbon(model, string, use);
    const double body = std::max(ribbon.height(), kPlansHeight);
    const bool is_file = use == RibbonUse::file;
    Svg inner;
    double y = is_file ? kMargin : 0.0;
    const auto at_y = [&](double x) { return "transform=\"translate(" + px(x) + " " + px(y) + ")\""; };
    if (is_file) {
        inner.open_group(at_y(kMargin));
        draw_header(inner, model, string);
        inner.close_group();
        y += kHeader;
    }
    inner.open_group(at_y(is_file ? kMargin : 0.0));
    ribbon.draw(inner);
    inner.close_group();
    inner.open_group(at_y(kPlanX));
    draw_plans(inner, model, string, use);
    inner.close_group();
    y += body;
    if (is_file) {
        y += 8.0;
        inner.open_group(at_y(kMargin));
        const double used = draw_findings(inner, model, string);
        inner.close_group();
        y += used + 10.0;
        inner.open_group(at_y(kMargin));
        draw_legend(inner, model.scale);
        inner.close_group();
        y += kLegendHeight + 14.0;
        inner.text(kMargin, y, kCaution, {.size = 10.0, .fill = kQuietInk});
        y += kMargin;
    }
    std::string out;
    if (is_file) {
        out += "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n";
    }
    out += open_drawing(kPageWidth, y, is_file ? "role=\"img\"" : "class=\"ribbon\" role=\"img\"");
    out += "<title>" + escape_xml("String ribbon of " + string.title) + "</title>\n";
    if (is_file) {
        out += "<defs>" + hatch_definition() + string_window_definition() + "</defs>\n";
        out += "<rect width=\"" + px(kPageWidth) + "\" height=\"" + px(y) + "\" fill=\"#ffffff\"/>\n";
    }
    return out + inner.str() + "</svg>\n";
}

}  // namespace heatrow
