#include "page_finding_data.hpp"

#include "class_mark.hpp"
#include "conditions_text.hpp"
#include "heatrow/report/finding_advice.hpp"
#include "heatrow/report/markup.hpp"
#include "heatrow/report/number_text.hpp"
#include "heatrow/report/work_list.hpp"
#include "packed_text.hpp"
#include "page_ribbons.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

std::string number(double value, int decimals) {
    const std::string text = short_text(value, decimals);
    return text.empty() ? "null" : text;
}

std::string or_dash(const std::string& text) {
    return text.empty() ? "–" : text;
}

// Members of an object, one after the other.
class JsonObject {
  public:
    JsonObject& text(std::string_view name, std::string_view value) { return raw(name, json_string(value)); }
    JsonObject& integer(std::string_view name, long value) { return raw(name, std::to_string(value)); }
    JsonObject& raw(std::string_view name, std::string_view json) {
        out_ += (out_.empty() ? "\"" : ",\"") + std::string(name) + "\":" + std::string(json);
        return *this;
    }
    [[nodiscard]] std::string str() const { return "{" + out_ + "}"; }

  private:
    std::string out_;
};

// A titled list of names and values.
class Group {
  public:
    explicit Group(std::string_view title) : title_(title) {}
    Group& add(std::string_view name, const std::string& value) {
        if (!value.empty()) {
            out_ += (out_.empty() ? "[" : ",[") + json_string(name) + "," + json_string(value) + "]";
        }
        return *this;
    }
    Group& add(std::string_view name, double value, int decimals, std::string_view unit) {
        const std::string text = fixed_text(value, decimals);
        return add(name, text.empty() || unit.empty() ? text : text + " " + std::string(unit));
    }
    template <class Q>
    Group& add(std::string_view name, const Uncertain<Q>& value, int decimals, std::string_view unit) {
        const std::string text = fixed_text(value.value.value(), decimals);
        const std::string half = fixed_text(value.u95(), decimals);
        return add(name, text.empty() ? text : text + (half.empty() ? "" : " ± " + half) + " " + std::string(unit));
    }
    [[nodiscard]] std::string json() const { return "[" + json_string(title_) + ",[" + out_ + "]]"; }

  private:
    std::string title_;
    std::string out_;
};

std::string percent(double share) {
    const std::string text = fixed_text(100.0 * share, 0);
    return text.empty() ? text : text + " %";
}

std::string module_names(const SurveyRecord& record, const std::vector<int>& modules) {
    std::string text;
    for (const int module : modules) {
        text += (text.empty() ? "" : ", ") + record.layout.modules[at(module)].id;
    }
    return text;
}

std::string flag_words(Flags flags) {
    std::string text;
    for (const Flag flag : flags.list()) {
        text += (text.empty() ? "" : ", ") + in_words(to_string(flag));
    }
    return text;
}

std::string parts(const Finding& finding) {
    std::string text;
    for (const CellIndex cell : finding.cells) {
        text += (text.empty() ? "" : " ") + to_string(cell);
    }
    if (text.empty() && !finding.substrings.empty()) {
        text = finding.substrings.size() == 1 ? "substring" : "substrings";
        for (const int substring : finding.substrings) {
            text += " " + std::to_string(substring);
        }
    }
    return text;
}

std::string frames_text(const SurveyRecord& record, const std::vector<int>& frames) {
    std::string text;
    for (const int frame : frames) {
        text += (text.empty() ? "" : ", ") + record.frames[at(frame)].prior.name;
    }
    return std::to_string(frames.size()) + " in all: " + text;
}

// As the value was scaled (score/scaling.hpp): by the irradiance felt, where that is known.
double scaling_irradiance(const Finding& finding) {
    const FrameConditions& c = finding.conditions;
    return c.irradiance_felt.is_known() ? c.irradiance_felt.value.value() : c.irradiance.value.value();
}

std::string scaled_json(const Finding& finding) {
    if (!finding.delta_t_1000.is_known() || !std::isfinite(finding.exponent)) {
        return "null";
    }
    return JsonObject()
        .text("d", signed_text(finding.delta_t.value.value(), 1))
        .text("g", fixed_text(scaling_irradiance(finding), 0))
        .text("n", fixed_text(finding.exponent, 1))
        .text("d1000", with_u95_text(finding.delta_t_1000, 1))
        .str();
}

// Empty where it is not known.
std::string range_of_loss(double low, double high, std::string_view unit) {
    const std::string from = fixed_text(low, 0);
    return from.empty() ? from : from + " to " + fixed_text(high, 0) + " " + std::string(unit);
}

std::string groups_json(const SurveyRecord& record, const Finding& finding) {
    const FrameConditions& c = finding.conditions;
    Group difference("Difference");
    difference.add("Hot", finding.t_hot.value(), 1, "°C")
        .add("Reference", finding.t_reference.value(), 1, "°C")
        .add("Compared with", finding.reference)
        .add("Difference as measured", finding.delta_t.is_known() ? with_u95_text(finding.delta_t, 1) + " K" : "")
        .add("At 1000 W/m²", finding.delta_t_1000.is_known() ? with_u95_text(finding.delta_t_1000, 1) + " K" : "")
        .add("Exponent n", finding.exponent, 2, "");
    Group judgement("Judgement");
    const ClassMark& mark = class_mark(finding.abnormality);
    judgement.add("Class", std::string(mark.number) + ", " + std::string(mark.words))
        .add("Class probability", percent(finding.class_probability))
        .add(record.as_found.contains(finding.id) ? "Pattern, by the reviewer" : "Pattern",
             in_words(to_string(finding.pattern)))
        .add("Pattern probability", percent(finding.pattern_probability))
        .add("Second pattern", finding.pattern_second ? in_words(to_string(*finding.pattern_second)) : "");
    if (const auto found = record.as_found.find(finding.id); found != record.as_found.end()) {
        judgement.add("As found", as_found_words(found->second));
    }
    judgement.add("Loss of power now", range_of_loss(finding.loss_w_low, finding.loss_w_high, "W"))
        .add("Loss at 1000 W/m², 25 °C", range_of_loss(finding.loss_rated_w_low, finding.loss_rated_w_high, "W"))
        .add("Loss a year", range_of_loss(finding.loss_kwh_year_low, finding.loss_kwh_year_high, "kWh"));
    judgement.add("Flags", flag_words(finding.flags)).add("Finding", finding.id);
    Group conditions("Conditions, mean");
    conditions.add("First frame (UTC)", date_time_text(finding.time))
        .add(c.irradiance_is_modelled ? "Irradiance, modelled" : "Irradiance", c.irradiance, 0, "W/m²")
        .add("Irradiance felt, G", c.irradiance_felt, 0, "W/m²")
        .add("Wind", c.wind, 1, "m/s")
        .add("Air", c.air, 1, "°C")
        .add("Humidity", c.relative_humidity_percent, 0, "%")
        .add("Cloud", c.cloud_okta, 0, "okta")
        .add("Load fraction", c.load_fraction.is_known() ? fixed_text(c.load_fraction.value, 2) : "unknown");
    return "[" + difference.json() + "," + judgement.json() + "," + conditions.json() + "]";
}

std::string place_text(const ReportModel& model, const Finding& finding) {
    const SurveyRecord& record = *model.record;
    std::string text;
    if (finding.string != -1) {
        text += "String " + record.layout.strings[at(finding.string)].id;
    }
    if (finding.module != -1) {
        const Module& module = record.layout.modules[at(finding.module)];
        text += module.position > 0 ? ", position " + std::to_string(module.position) : "";
        text += module.table == -1 ? "" : " · table " + record.layout.tables[at(module.table)].id;
        text += " · type " + record.layout.type_of(module).id;
    }
    const Eigen::Vector3d place = position_of_finding(record, finding);
    if (model.context.locate && place.allFinite()) {
        const GeographicPoint point = model.context.locate(place);
        text +=
            " · latitude " + fixed_text(point.latitude_deg, 7) + ", longitude " + fixed_text(point.longitude_deg, 7);
    }
    return text;
}

std::string decision_json(const SurveyRecord& record, const Finding& finding) {
    const ReviewEntry* last = last_review(record, finding.id);
    const Decision decision = last == nullptr ? Decision{} : last->after;
    return JsonObject()
        .text("verdict", to_string(decision.verdict))
        .text("pattern", decision.pattern ? to_string(*decision.pattern) : std::string_view{})
        .text("comment", decision.comment)
        .text("work", to_string(decision.work))
        .text("reviewer", last == nullptr ? std::string_view{} : last->reviewer)
        .str();
}

// Pictures by finding; each goes into the page while the budget lasts.
class Pictures {
  public:
    explicit Pictures(const ReportModel& model) : model_(model) {}

    std::string json_of(const Finding& finding) {
        std::string out;
        for (const FindingPicture& picture : model_.record->pictures) {
            if (picture.finding != finding.id || !model_.context.is_beside || !model_.context.is_beside(picture.file)) {
                continue;
            }
            const FrameResult& frame = model_.record->frames[at(picture.frame)];
            JsonObject object;
            object.text("frame", frame.prior.name).text("file", picture.file);
            object.text("words", frame.prior.name + ", " + date_time_text(frame.prior.time).substr(11) + " UTC");
            const std::string bytes = model_.context.read_beside(picture.file);
            if (used_ + bytes.size() <= kPictureBudget) {
                used_ += bytes.size();
                object.text("data", "data:image/png;base64," + base64(bytes));
            }
            out += (out.empty() ? "" : ",") + object.str();
        }
        return "[" + out + "]";
    }

    // What a partner frame in visible light shows; null where there is none.
    [[nodiscard]] std::string visible_json_of(int finding) const {
        const VisiblePicture* picture = visible_picture_of(*model_.record, finding);
        if (picture == nullptr) {
            return "null";
        }
        std::string outline;
        for (const Eigen::Vector2d& corner : picture->module_px) {
            outline +=
                (outline.empty() ? "" : " ") + fixed_text(corner.x() + 0.5, 1) + "," + fixed_text(corner.y() + 0.5, 1);
        }
        return JsonObject()
            .text("frame", picture->frame)
            .text("words", visible_picture_text(*model_.record, *picture))
            .text("data", "data:image/jpeg;base64," + base64(picture->jpeg))
            .text("outline", outline)
            .integer("width", picture->size_px.x())
            .integer("height", picture->size_px.y())
            .str();
    }

  private:
    const ReportModel& model_;
    std::size_t used_ = 0;
};

std::vector<std::size_t> section_of_finding(const ReportModel& model) {
    std::vector<std::size_t> section(model.record->findings.size(), 0);
    for (std::size_t i = 0; i < model.strings.size(); ++i) {
        for (const int finding : model.strings[i].findings) {
            section[at(finding)] = i;
        }
    }
    return section;
}

void add_module(const ReportModel& model, const Finding& finding, JsonObject& json) {
    const SurveyRecord& record = *model.record;
    if (finding.module == -1) {
        json.text("module", "").integer("index", -1).raw("cells", "null").text("table", "");
        return;
    }
    const Module& module = record.layout.modules[at(finding.module)];
    const ModuleResult& result = record.modules[at(finding.module)];
    json.text("module", module.id).integer("index", finding.module).integer("type", module.type);
    json.integer("position", module.position);
    json.text("table", module.table == -1 ? std::string{} : record.layout.tables[at(module.table)].id);
    const std::string picture = module.table == -1 ? std::string{} : model.table_pictures[at(module.table)];
    if (model.context.is_beside && model.context.is_beside(picture)) {
        json.text("tableFile", picture);
    }
    json.raw("cells", result.cells.empty() ? "null" : "\"" + cells_text(result) + "\"");
    std::string outlined;
    if (!finding.cells.empty() || !finding.substrings.empty()) {
        for (const int cell : cells_of_finding(record, finding)) {
            outlined += (outlined.empty() ? "" : ",") + std::to_string(cell);
        }
    }
    json.raw("outlined", "[" + outlined + "]");
}

std::string finding_json(const ReportModel& model, std::size_t index, std::size_t section, Pictures& pictures) {
    const SurveyRecord& record = *model.record;
    const Finding& finding = record.findings[index];
    JsonObject json;
    json.text("id", finding.id).raw("class", class_mark(finding.abnormality).number);
    add_module(model, finding, json);
    json.text("string", finding.string == -1 ? std::string("none") : record.layout.strings[at(finding.string)].id);
    json.integer("section", static_cast<long>(section));
    json.text("patternName", to_string(pattern_as_found(record, finding)));
    json.text("pattern", in_words(to_string(finding.pattern)));
    json.raw("probability", number(100.0 * finding.pattern_probability, 0)).text("parts", parts(finding));
    json.raw("d1000", number(finding.delta_t_1000.value.value(), 2));
    json.text("d1000Text", with_u95_text(finding.delta_t_1000, 1));
    json.raw("d", number(finding.delta_t.value.value(), 2)).text("dText", with_u95_text(finding.delta_t, 1));
    json.raw("hot", number(finding.t_hot.value(), 2)).text("hotText", or_dash(fixed_text(finding.t_hot.value(), 1)));
    json.text("flags", flag_words(finding.flags)).text("candidates", module_names(record, finding.candidates));
    json.text("headline", finding_headline(record, finding)).text("place", place_text(model, finding));
    json.text("evidence", finding.evidence)
        .raw("scaled", scaled_json(finding))
        .raw("groups", groups_json(record, finding));
    json.text("action", in_words(to_string(action_for(finding.pattern)))).text("advice", advice_text(finding));
    json.raw("pictures", pictures.json_of(finding))
        .raw("visible", pictures.visible_json_of(static_cast<int>(index)))
        .text("frames", frames_text(record, finding.frames));
    json.raw("decision", decision_json(record, finding));
    if (const Eigen::Vector3d place = position_of_finding(record, finding); place.allFinite()) {
        json.raw("xy", "[" + number(place.x(), 2) + "," + number(place.y(), 2) + "]");
    }
    return json.str();
}

}  // namespace

std::vector<std::string> page_findings_json(const ReportModel& model) {
    const std::vector<std::size_t> sections = section_of_finding(model);
    Pictures pictures(model);
    std::vector<std::string> list;
    for (std::size_t i = 0; i < sections.size(); ++i) {
        list.push_back(finding_json(model, i, sections[i], pictures));
    }
    return list;
}

std::string review_words(const ReviewEntry& entry) {
    std::string changes;
    for (const ReviewChange& change : changes_of(entry)) {
        if (change.what == "comment") {
            changes += change.after.empty() ? "; comment taken away" : "; “" + change.after + "”";
        } else {
            changes +=
                "; " + in_words(change.what) + " " + in_words(change.before) + ", then " + in_words(change.after);
        }
    }
    return date_time_text(entry.time) + " UTC, " + entry.reviewer + ": " + (changes.empty() ? "" : changes.substr(2)) +
           " (" + entry.source + ")";
}

}  // namespace heatrow
