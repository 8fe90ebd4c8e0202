#include "class_mark.hpp"
#include "conditions_text.hpp"
#include "heatrow/report/finding_advice.hpp"
#include "heatrow/report/number_text.hpp"
#include "heatrow/report/work_list.hpp"
#include "paper_plan.hpp"
#include "paper_ribbon.hpp"
#include "pdf_parts.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

using Pairs = std::vector<std::pair<std::string, std::string>>;

std::string with_unit(double value, int decimals, std::string_view unit) {
    const std::string text = fixed_text(value, decimals);
    return text.empty() ? "unknown" : text + " " + std::string(unit);
}

// "31.00 ± 1.18 K", with the decimals of findings.csv.
std::string exact_text(const Uncertain<KelvinDelta>& value) {
    const std::string text = signed_text(value.value.value(), 2);
    const std::string half_width = fixed_text(value.u95(), 2);
    return half_width.empty() ? text + " K" : text + " ± " + half_width + " K";
}

// The irradiance by which the difference was scaled, W/m2 (docs/scoring.md).
double scaling_irradiance(const Finding& finding) {
    const FrameConditions& conditions = finding.conditions;
    return conditions.irradiance_felt.is_known() ? conditions.irradiance_felt.value.value()
                                                 : conditions.irradiance.value.value();
}

// Not scaled where scaling has no meaning.
std::string formula_text(const Finding& finding) {
    if (!finding.delta_t_1000.is_known()) {
        return "not scaled: scaling has no meaning for this pattern";
    }
    const bool felt = finding.conditions.irradiance_felt.is_known();
    return signed_text(finding.delta_t.value.value(), 2) + " K × (1000 / " +
           fixed_text(scaling_irradiance(finding), 1) + ")^" + fixed_text(finding.exponent, 2) +
           (felt ? ", as felt by the module" : "");
}

std::string frames_text(const SurveyRecord& record, const Finding& finding) {
    constexpr std::size_t kShown = 4;
    std::string text = std::to_string(finding.frames.size()) + ":";
    for (std::size_t i = 0; i < finding.frames.size() && i < kShown; ++i) {
        text += (i == 0 ? " " : ", ") + record.frames[at(finding.frames[i])].prior.name;
    }
    return finding.frames.size() > kShown ? text + ", … (all in findings.csv)" : text;
}

std::string flags_text(const Finding& finding) {
    std::string text;
    for (const Flag flag : finding.flags.list()) {
        text += (text.empty() ? "" : ", ") + in_words(to_string(flag));
    }
    return text.empty() ? "none" : text;
}

std::string candidates_text(const SurveyRecord& record, const Finding& finding) {
    std::string text;
    for (const int candidate : finding.candidates) {
        text += (text.empty() ? "" : ", ") + record.layout.modules[at(candidate)].id;
    }
    return text;
}

std::string probability_text(std::string_view name, double probability) {
    const std::string text = fixed_text(probability, 3);
    return std::string(name) + (text.empty() ? "" : ", probability " + text);
}

class FindingPage {
  public:
    FindingPage(PdfPages& pages, const ReportModel& model, int index)
        : pages_(pages),
          text_(pages.text()),
          canvas_(pages.canvas()),
          model_(model),
          record_(*model.record),
          finding_(record_.findings[at(index)]),
          index_(index) {}

    void draw() {
        draw_title();
        draw_figures();
        draw_pictures();
        draw_ribbon();
        draw_words();
        draw_facts();
        draw_review();
    }

  private:
    static constexpr double kAir = 11.0;         // between pictures
    static constexpr double kColumnAir = 16.0;   // between columns of words
    static constexpr double kLeftNames = 104.0;  // widths of the names of facts
    static constexpr double kRightNames = 88.0;
    static constexpr double kScaleRoom = 46.0;  // below a thermal picture, for its scale

    void draw_title() {
        const double top = pages_.y;
        draw_class_mark(canvas_, finding_.abnormality, kPageLeft + 15.0, top + 15.0, 1.55);
        const double x = kPageLeft + 38.0;
        text_.line(x, top + 17.0, finding_place(record_, finding_), {.size = 19.0, .weight = Weight::bold}, 330.0);
        text_.line(x, top + 32.0, place_line(), {.size = 8.6, .colour = kQuietInk}, 380.0);
        text_.line(kPageRight,
                   top + 10.0,
                   "Finding " + std::to_string(index_ + 1) + " of " + std::to_string(record_.findings.size()),
                   {.size = 9.0, .weight = Weight::bold, .anchor = Anchor::end});
        text_.line(
            kPageRight, top + 21.0, finding_.id, {.size = 6.8, .colour = kQuietInk, .anchor = Anchor::end}, 240.0);
        const ClassMark& mark = class_mark(finding_.abnormality);
        text_.line(kPageLeft,
                   top + 56.0,
                   finding_pattern(finding_) + " · class " + std::string(mark.number) + ", " + std::string(mark.words),
                   {.size = 12.5, .weight = Weight::bold},
                   kTextWidth);
        pages_.y = top + 66.0;
        if (!finding_.candidates.empty()) {
            pages_.y += text_.paragraph(kPageLeft,
                                        pages_.y,
                                        kTextWidth,
                                        "The frames do not tell which module this is. It may also be: " +
                                            candidates_text(record_, finding_) + ".",
                                        {.size = 9.0, .colour = "#a33b00", .weight = Weight::medium}) +
                        4.0;
        }
    }

    [[nodiscard]] std::string place_line() const {
        std::string text =
            finding_.string == -1 ? "no string" : "String " + record_.layout.strings[at(finding_.string)].id;
        if (finding_.module == -1) {
            return text + " · " + std::to_string(record_.layout.strings[at(finding_.string)].modules.size()) +
                   " modules";
        }
        const Module& module = record_.layout.modules[at(finding_.module)];
        if (module.position > 0) {
            text += " · position " + std::to_string(module.position) + " from the + end";
        }
        if (module.table != -1) {
            text += " · table " + record_.layout.tables[at(module.table)].id;
        }
        return text;
    }

    // Four numbers that a reader wants first.
    void draw_figures() {
        const double width = kTextWidth / 4.0;
        const double top = pages_.y;
        const auto figure =
            [&](int place, const std::string& value, const std::string& unit, const std::string& label) {
                const double x = kPageLeft + place * width;
                canvas_.stroke({{{x, top}, {x, top + 38.0}}}, {.colour = kThisString, .width = 1.4});
                const double used = text_.line(x + 7.0, top + 17.0, value, {.size = 17.0, .weight = Weight::bold});
                text_.line(x + 10.0 + used, top + 17.0, unit, {.size = 8.6, .colour = kQuietInk}, width - used - 14.0);
                text_.paragraph(
                    x + 7.0, top + 23.0, width - 12.0, label, {.size = 7.4, .colour = kQuietInk, .leading = 1.2});
            };
        const auto kelvin = [](const Uncertain<KelvinDelta>& value) {
            const std::string half = fixed_text(value.u95(), 1);
            return half.empty() ? std::string("K") : "± " + half + " K";
        };
        const std::string irradiance = with_unit(scaling_irradiance(finding_), 0, "W/m²");
        if (finding_.delta_t_1000.is_known()) {
            figure(0,
                   signed_text(finding_.delta_t_1000.value.value(), 1),
                   kelvin(finding_.delta_t_1000),
                   "difference at 1000 W/m²");
        } else {
            figure(0, "–", "", "not scaled to 1000 W/m²");
        }
        figure(1,
               signed_text(finding_.delta_t.value.value(), 1),
               kelvin(finding_.delta_t),
               "as measured, at " + irradiance);
        figure(2, fixed_text(finding_.t_hot.value(), 1), "°C", finding_.module == -1 ? "the string" : "the hot part");
        figure(3, fixed_text(finding_.t_reference.value(), 1), "°C", "its reference");
        pages_.y = top + 52.0;
    }

    void caption(double x, double y, std::string_view words, double width) {
        text_.line(x, y, words, {.size = 7.4, .weight = Weight::bold}, width);
    }

    void draw_pictures() {
        if (const VisiblePicture* visible = visible_picture_of(record_, index_)) {
            draw_pictures_with(*visible);
            return;
        }
        constexpr double kHeight = 182.0;
        const bool on_module = finding_.module != -1;
        const double crop_width = on_module ? 240.0 : 330.0;
        const double module_width = on_module ? 104.0 : 0.0;
        const double top = pages_.y + 8.0;
        caption(kPageLeft, top - 3.0, "What the camera saw", crop_width);
        draw_crop({kPageLeft, top, crop_width, kHeight});
        double x = kPageLeft + crop_width + kAir;
        if (on_module) {
            caption(x, top - 3.0, "Its cells, from the front", module_width);
            draw_module_chip(canvas_, model_, finding_, {x - 4.0, top, module_width, kHeight});
            x += module_width + kAir;
        }
        const double chip_width = kPageRight - x;
        caption(x, top - 3.0, "Where it is", chip_width);
        draw_site_chip(canvas_, model_, finding_, {x, top, chip_width, 78.0});
        draw_neighbour_chip(canvas_, model_, finding_, {x, top + 84.0, chip_width, kHeight - 84.0});
        pages_.y = top + kHeight + kScaleRoom;
    }

    // The same with a picture in visible light beside the thermal one.
    void draw_pictures_with(const VisiblePicture& visible) {
        constexpr double kHeight = 124.0;
        constexpr double kCropWidth = 155.0;
        constexpr double kModuleWidth = 78.0;
        const double top = pages_.y + 8.0;
        caption(kPageLeft, top - 3.0, "What the camera saw", kCropWidth);
        draw_crop({kPageLeft, top, kCropWidth, kHeight});
        double x = kPageLeft + kCropWidth + kAir;
        caption(x, top - 3.0, "In visible light", kCropWidth);
        draw_visible(visible, {x, top, kCropWidth, kHeight});
        x += kCropWidth + kAir;
        caption(x, top - 3.0, "Its cells", kModuleWidth);
        draw_module_chip(canvas_, model_, finding_, {x - 4.0, top, kModuleWidth, kHeight});
        x += kModuleWidth + kAir;
        const double chip_width = kPageRight - x;
        caption(x, top - 3.0, "Where it is", chip_width);
        const double chip_height = 0.5 * (kHeight - 6.0);
        draw_site_chip(canvas_, model_, finding_, {x, top, chip_width, chip_height});
        draw_neighbour_chip(canvas_, model_, finding_, {x, top + chip_height + 6.0, chip_width, chip_height});
        pages_.y = top + kHeight + kScaleRoom;
    }

    void draw_visible(const VisiblePicture& shown, const Box& room) {
        const double zoom = std::min(room.width / shown.size_px.x(), room.height / shown.size_px.y());
        const Box box{room.x, room.y, zoom * shown.size_px.x(), zoom * shown.size_px.y()};
        pages_.document().jpeg(shown.jpeg, shown.size_px.x(), shown.size_px.y(), box.x, box.y, zoom);
        canvas_.stroke({placed_in(box, zoom, shown.module_px)},
                       {.colour = "#ffffff", .width = 0.9, .closed = true, .dash = 3.0});
        draw_frame(box);
        text_.paragraph(box.x,
                        box.y + box.height + 4.0,
                        room.width,
                        visible_picture_text(record_, shown),
                        {.size = 6.6, .colour = kQuietInk, .leading = 1.2});
    }

    // Points of a picture on the page, inside the picture's box.
    static Polyline placed_in(const Box& box, double zoom, const std::vector<Eigen::Vector2d>& outline) {
        Polyline points;
        for (const Eigen::Vector2d& point : outline) {
            const Eigen::Vector2d on_page(box.x + (point.x() + 0.5) * zoom, box.y + (point.y() + 0.5) * zoom);
            points.emplace_back(std::clamp(on_page.x(), box.x, box.x + box.width),
                                std::clamp(on_page.y(), box.y, box.y + box.height));
        }
        return points;
    }

    void draw_frame(const Box& box) {
        canvas_.stroke({rectangle(box.x, box.y, box.width, box.height)},
                       {.colour = kInk, .width = 0.6, .closed = true});
    }

    [[nodiscard]] const FindingCrop* picture() const {
        const auto& all = record_.crops;
        const auto found =
            std::find_if(all.begin(), all.end(), [this](const FindingCrop& p) { return p.finding == index_; });
        return found == all.end() ? nullptr : &*found;
    }

    void draw_crop(const Box& room) {
        const FindingCrop* shown = picture();
        if (shown == nullptr) {
            canvas_.stroke({rectangle(room.x, room.y, room.width, room.height)},
                           {.colour = kOtherModules, .width = 0.6, .closed = true});
            text_.paragraph(room.x + 10.0,
                            room.y + 0.5 * room.height - 8.0,
                            room.width - 20.0,
                            "No thermal picture is kept for this finding.",
                            {.size = 8.6, .colour = kQuietInk, .anchor = Anchor::middle});
            return;
        }
        const double zoom =
            std::min(room.width / shown->temperature_c.width(), room.height / shown->temperature_c.height());
        const Box box{room.x, room.y, zoom * shown->temperature_c.width(), zoom * shown->temperature_c.height()};
        draw_crop_pixels(*shown, box, zoom);
        draw_temperature_bar(canvas_, scale_of(*shown), room.x, box.y + box.height + 11.0, 0.62 * box.width);
        const FramePrior& frame = record_.frames[at(shown->frame)].prior;
        const double x = room.x + 0.62 * box.width + 10.0;
        text_.line(
            x, box.y + box.height + 11.0, frame.name, {.size = 6.6, .colour = kQuietInk}, 0.38 * box.width - 10.0);
        text_.line(x,
                   box.y + box.height + 19.5,
                   date_time_text(frame.time).substr(11) + " UTC",
                   {.size = 6.6, .colour = kQuietInk},
                   0.38 * box.width - 10.0);
        if (shown->hottest.is_known()) {
            text_.line(x,
                       box.y + box.height + 28.0,
                       "3 × 3 px " + fixed_text(shown->hottest.value(), 1) + " °C",
                       {.size = 6.6, .colour = kQuietInk},
                       0.38 * box.width - 10.0);
        }
    }

    static TemperatureScale scale_of(const FindingCrop& shown) {
        return {shown.scale_low, shown.scale_high, Palette::inferno};
    }

    void draw_crop_pixels(const FindingCrop& shown, const Box& box, double zoom) {
        const auto view = shown.temperature_c.view();
        Image<Colour> colours(view.width(), view.height());
        const TemperatureScale scale = scale_of(shown);
        for (int y = 0; y < view.height(); ++y) {
            for (int x = 0; x < view.width(); ++x) {
                const Celsius value(static_cast<double>(view(x, y)));
                colours.view()(x, y) = value.is_known() ? scale.colour(value) : Colour{139, 143, 148};
            }
        }
        canvas_.pixels(colours, box.x, box.y, zoom);
        for (const auto& outline : shown.modules_px) {
            canvas_.stroke({placed_in(box, zoom, outline)}, {.colour = "#ffffff", .width = 0.7, .closed = true});
        }
        for (const auto& outline : shown.parts_px) {
            canvas_.stroke({placed_in(box, zoom, outline)}, {.colour = kInk, .width = 2.2, .closed = true});
            canvas_.stroke({placed_in(box, zoom, outline)}, {.colour = "#ffffff", .width = 1.1, .closed = true});
        }
        if (shown.hottest_px) {
            const double x = box.x + (shown.hottest_px->x() - 1.0) * zoom;
            const double y = box.y + (shown.hottest_px->y() - 1.0) * zoom;
            canvas_.stroke({rectangle(x, y, 3.0 * zoom, 3.0 * zoom)}, {.colour = kInk, .width = 0.9, .closed = true});
        }
        draw_length(shown, box, zoom);
        draw_frame(box);
    }

    void draw_length(const FindingCrop& shown, const Box& box, double zoom) {
        if (!(shown.metres_per_pixel.value() > 0.0)) {
            return;
        }
        const double metre = zoom / shown.metres_per_pixel.value();
        const double length_m = 0.4 * box.width / metre >= 1.0 ? 1.0 : 0.2;
        const double right = box.x + box.width - 8.0;
        const double y = box.y + box.height - 7.0;
        const std::vector<Polyline> bar{{{right - length_m * metre, y}, {right, y}}};
        canvas_.stroke(bar, {.colour = kInk, .width = 3.2});
        canvas_.stroke(bar, {.colour = "#ffffff", .width = 1.6});
        const double middle = right - 0.5 * length_m * metre;
        canvas_.fill(rectangle(middle - 12.0, y - 11.5, 24.0, 8.5), "#ffffff");
        canvas_.text(
            middle, y - 5.0, short_text(length_m, 1) + " m", {.size = 6.8, .anchor = Anchor::middle, .bold = true});
    }

    void draw_ribbon() {
        const auto view = std::find_if(model_.strings.begin(), model_.strings.end(), [this](const StringView& string) {
            return std::find(string.findings.begin(), string.findings.end(), index_) != string.findings.end();
        });
        if (view == model_.strings.end()) {
            return;
        }
        const std::string name = view->string == -1 ? view->title : "String " + view->title;
        caption(kPageLeft, pages_.y, name + ", in wiring order, differences in K at 1000 W/m²", 300.0);
        draw_difference_bar(canvas_, model_.scale, kPageRight - 150.0, pages_.y - 8.0, 150.0);
        pages_.y += 7.0;
        pages_.y += draw_paper_ribbon(canvas_, model_, *view, {kPageLeft, pages_.y}, kTextWidth, finding_.module) + 8.0;
    }

    void draw_words() {
        const double width = 0.5 * (kTextWidth - kColumnAir);
        const double right = kPageLeft + width + kColumnAir;
        const std::string action = in_words(to_string(action_for(finding_.pattern)));
        const std::string sentence = advice_text(finding_);
        const TextLook look{.size = 8.6, .leading = 1.35};
        const double height =
            std::max(text_.height(width - 16.0, finding_.evidence, look), text_.height(width - 16.0, sentence, look)) +
            26.0;
        pages_.need(height);
        const double top = pages_.y;
        canvas_.fill(rectangle(kPageLeft, top, width, height), "#f6f5f1");
        canvas_.fill(rectangle(right, top, width, height), "#e9f0ef");
        caption(kPageLeft + 8.0, top + 12.0, "Evidence", width);
        caption(right + 8.0, top + 12.0, "To do: " + action, width);
        text_.paragraph(kPageLeft + 8.0, top + 17.0, width - 16.0, finding_.evidence, look);
        text_.paragraph(right + 8.0, top + 17.0, width - 16.0, sentence, look);
        pages_.y = top + height + 10.0;
    }

    [[nodiscard]] Pairs measured_facts() const {
        Pairs facts{{"Difference as measured", exact_text(finding_.delta_t)},
                    {"Difference at 1000 W/m²",
                     finding_.delta_t_1000.is_known() ? exact_text(finding_.delta_t_1000) : "not scaled"},
                    {"Scaled as", formula_text(finding_)},
                    {"Hot part", with_unit(finding_.t_hot.value(), 2, "°C")},
                    {"Its reference", with_unit(finding_.t_reference.value(), 2, "°C")},
                    {"Compared with", finding_.reference.empty() ? "unknown" : finding_.reference},
                    {"Class", probability_text(class_mark(finding_.abnormality).number, finding_.class_probability)},
                    {"Pattern", pattern_text()}};
        if (const auto found = record_.as_found.find(finding_.id); found != record_.as_found.end()) {
            facts.emplace_back("As found", as_found_words(found->second));
        }
        if (finding_.pattern_second) {
            facts.emplace_back("Runner-up", in_words(to_string(*finding_.pattern_second)));
        }
        return facts;
    }

    [[nodiscard]] std::string pattern_text() const {
        const std::string pattern = in_words(to_string(finding_.pattern));
        return record_.as_found.contains(finding_.id) ? pattern + ", by the reviewer"
                                                      : probability_text(pattern, finding_.pattern_probability);
    }

    [[nodiscard]] Pairs survey_facts() const {
        const FrameConditions& conditions = finding_.conditions;
        Pairs facts{{"First frame", date_time_text(finding_.time) + " UTC"},
                    {"Irradiance in plane",
                     with_unit(conditions.irradiance.value.value(), 1, "W/m²") +
                         (conditions.irradiance_is_modelled ? ", modelled" : "")},
                    {"Wind", with_unit(conditions.wind.value.value(), 2, "m/s")},
                    {"Air", with_unit(conditions.air.value.value(), 2, "°C")},
                    {"Load", with_unit(conditions.load_fraction.value, 3, "of the current")},
                    {"Frames used", frames_text(record_, finding_)},
                    {"Flags", flags_text(finding_)}};
        const auto loss = [&facts](
                              std::string_view name, double low, double high, int decimals, std::string_view unit) {
            if (std::isfinite(low)) {
                facts.emplace_back(std::string(name),
                                   fixed_text(low, decimals) + " to " + with_unit(high, decimals, unit));
            }
        };
        loss("Loss now", finding_.loss_w_low, finding_.loss_w_high, 1, "W");
        loss("Loss as rated", finding_.loss_rated_w_low, finding_.loss_rated_w_high, 1, "W");
        loss("Loss a year", finding_.loss_kwh_year_low, finding_.loss_kwh_year_high, 0, "kWh");
        const Eigen::Vector3d place = position_of_finding(record_, finding_);
        if (model_.context.locate && place.allFinite()) {
            const GeographicPoint point = model_.context.locate(place);
            facts.emplace_back("Latitude, longitude",
                               fixed_text(point.latitude_deg, 8) + ", " + fixed_text(point.longitude_deg, 8));
        }
        return facts;
    }

    void draw_facts() {
        const double width = 0.5 * (kTextWidth - kColumnAir);
        const Pairs left = measured_facts();
        const Pairs right = survey_facts();
        // Both stand on one page: beside each other, neither may turn it.
        pages_.need(
            std::max(pairs_height(pages_, left, width, kLeftNames), pairs_height(pages_, right, width, kRightNames)));
        const double top = pages_.y;
        draw_pairs(pages_, left, kPageLeft, width, kLeftNames);
        const double end = pages_.y;
        pages_.y = top;
        draw_pairs(pages_, right, kPageLeft + width + kColumnAir, width, kRightNames);
        pages_.y = std::max(end, pages_.y);
    }

    // For the hand of the reviewer.
    void draw_review() {
        constexpr double kHeight = 16.0;  // reaches into the room above the foot
        pages_.need(kHeight);
        const double top = std::max(pages_.y, kPageBottom - kHeight);
        canvas_.stroke({{{kPageLeft, top}, {kPageRight, top}}}, {.colour = "#c9c5b9", .width = 0.6});
        const double base = top + 15.0;
        const ReviewEntry* last = last_review(record_, finding_.id);
        const std::string work = last == nullptr || last->after.work == WorkStatus::open
                                     ? std::string{}
                                     : ", work " + in_words(to_string(last->after.work));
        const double head = text_.line(kPageLeft,
                                       base,
                                       "Review: " + in_words(to_string(finding_.verdict)) + work,
                                       {.size = 8.0, .weight = Weight::bold});
        if (last != nullptr) {
            const std::string comment = last->after.comment.empty() ? "" : " “" + last->after.comment + "”";
            text_.line(kPageLeft + head + 12.0,
                       base,
                       last->reviewer + ", " + date_time_text(last->time).substr(0, 10) + comment,
                       {.size = 8.0},
                       kTextWidth - head - 12.0);
            return;
        }
        double x = kPageLeft + 118.0;
        for (const std::string_view word : {"confirmed", "rejected", "relabelled"}) {
            canvas_.stroke({rectangle(x, base - 6.5, 7.0, 7.0)}, {.colour = kInk, .width = 0.7, .closed = true});
            x += 11.0 + text_.line(x + 11.0, base, word, {.size = 8.0}) + 12.0;
        }
        text_.line(x + 6.0, base, "Name, date", {.size = 8.0, .colour = kQuietInk});
        canvas_.stroke({{{x + 54.0, base + 1.5}, {kPageRight, base + 1.5}}}, {.colour = kQuietInk, .width = 0.5});
    }

    PdfPages& pages_;
    PdfText& text_;
    Canvas& canvas_;
    const ReportModel& model_;
    const SurveyRecord& record_;
    const Finding& finding_;
    int index_;
};

}  // namespace

std::string finding_destination(int finding) {
    return "f" + std::to_string(finding);
}

std::string finding_place(const SurveyRecord& record, const Finding& finding) {
    return finding.module == -1 ? "String " + record.layout.strings[at(finding.string)].id
                                : record.layout.modules[at(finding.module)].id;
}

std::string finding_pattern(const Finding& finding) {
    std::string text = in_words(to_string(finding.pattern));
    text.front() = static_cast<char>(text.front() - 'a' + 'A');
    constexpr std::size_t kMostCells = 6;
    for (std::size_t i = 0; i < finding.cells.size() && i < kMostCells; ++i) {
        text += " " + to_string(finding.cells[i]);
    }
    text += finding.cells.size() > kMostCells ? " …" : "";
    if (finding.cells.empty() && !finding.substrings.empty()) {
        text += finding.substrings.size() == 1 ? ", substring" : ", substrings";
        for (const int substring : finding.substrings) {
            text += " " + std::to_string(substring);
        }
    }
    return text;
}

std::string finding_figure(const Finding& finding) {
    if (finding.delta_t_1000.is_known()) {
        return with_u95_text(finding.delta_t_1000, 1) + " K";
    }
    return finding.delta_t.is_known() ? with_u95_text(finding.delta_t, 1) + " K as measured" : "unknown";
}

void add_findings(PdfPages& pages, const ReportModel& model, int parent) {
    const SurveyRecord& record = *model.record;
    const std::string part = record_part("findings");
    pages.turn(part);
    const int own = pages.document().bookmark(parent, "Findings", 0.0);
    if (record.findings.empty()) {
        pages.chapter(own, "Findings");
        pages.paragraph(model.modules_assessed > 0
                            ? "No finding on the " + std::to_string(model.modules_assessed) + " assessed modules."
                            : std::string("No module could be assessed, so there is no finding and no all-clear."));
        return;
    }
    for (int i = 0; i < static_cast<int>(record.findings.size()); ++i) {
        if (i > 0) {
            pages.turn(part);
        }
        const Finding& finding = record.findings[at(i)];
        pages.document().bookmark(
            own,
            std::to_string(i + 1) + "  " + finding_place(record, finding) + ", " + in_words(to_string(finding.pattern)),
            0.0);
        pages.document().destination(finding_destination(i), 0.0, 0.0);
        FindingPage(pages, model, i).draw();
    }
}

}  // namespace heatrow
