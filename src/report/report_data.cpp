#include "report_data.hpp"

#include "class_mark.hpp"
#include "conditions_text.hpp"
#include "heatrow/report/markup.hpp"
#include "heatrow/report/number_text.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

std::string number(double value, int decimals) {
    const std::string text = short_text(value, decimals);
    return text.empty() ? "null" : text;
}

// Two digits to the base 64: tenths of a kelvin above -204.8 K; 4095 = unknown. The script reads it back.
void append_cell(std::string& out, KelvinDelta difference) {
    constexpr std::string_view kDigits = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz-_";
    const int code = difference.is_known()
                         ? static_cast<int>(std::clamp(std::lround(difference.value() * 10.0) + 2048L, 0L, 4094L))
                         : 4095;
    out += kDigits[at(code / 64)];
    out += kDigits[at(code % 64)];
}

// [[start, length], ...] of the rows or columns of a type, m.
std::string spans_json(const ModuleType& type, bool rows) {
    std::string out = "[";
    for (int i = 0; i < (rows ? type.rows : type.columns); ++i) {
        const auto corners = type.cell_corners(rows ? CellIndex{i, 0} : CellIndex{0, i});
        const Eigen::Index axis = rows ? 1 : 0;
        out += (i == 0 ? "[" : ",[") + number(corners[0][axis], 4) + "," +
               number(corners[2][axis] - corners[0][axis], 4) + "]";
    }
    return out + "]";
}

std::string module_json(const SurveyRecord& record, std::size_t index) {
    const Module& module = record.layout.modules[index];
    const ModuleResult& result = record.modules[index];
    std::string cells;
    if (result.assessed) {
        for (const CellResult& cell : result.cells) {
            append_cell(cells, cell.delta_t_1000);
        }
    }
    return "{\"id\":" + json_string(module.id) + ",\"type\":" + std::to_string(module.type) + ",\"cells\":\"" + cells +
           "\"}";
}

// Pairs of name and value for the reader who wants every number.
class Numbers {
  public:
    void add(std::string_view name, const std::string& value) {
        if (!value.empty()) {
            out_ += (out_.empty() ? "[" : ",[") + json_string(name) + "," + json_string(value) + "]";
        }
    }
    void add(std::string_view name, double value, int decimals, std::string_view unit) {
        const std::string text = fixed_text(value, decimals);
        add(name, text.empty() || unit.empty() ? text : text + " " + std::string(unit));
    }
    [[nodiscard]] std::string json() const { return "[" + out_ + "]"; }

  private:
    std::string out_;
};

std::string joined(const SurveyRecord& record, const std::vector<int>& modules) {
    std::string text;
    for (const int module : modules) {
        text += (text.empty() ? "" : ", ") + record.layout.modules[at(module)].id;
    }
    return text;
}

std::string frame_names(const SurveyRecord& record, const std::vector<int>& frames) {
    constexpr std::size_t kShown = 6;
    std::string text;
    for (std::size_t i = 0; i < frames.size() && i < kShown; ++i) {
        text += (i == 0 ? "" : ", ") + record.frames[at(frames[i])].prior.name;
    }
    return frames.size() > kShown ? text + ", … " + std::to_string(frames.size()) + " in all" : text;
}

std::string flag_words(Flags flags) {
    std::string text;
    for (const Flag flag : flags.list()) {
        text += (text.empty() ? "" : ", ") + in_words(to_string(flag));
    }
    return text;
}

// Empty where it is not known.
std::string range_text(double low, double high, std::string_view unit) {
    const std::string from = fixed_text(low, 0);
    return from.empty() ? from : from + " to " + fixed_text(high, 0) + " " + std::string(unit);
}

std::string numbers_json(const ReportModel& model, const Finding& finding) {
    const SurveyRecord& record = *model.record;
    Numbers numbers;
    numbers.add("Finding", finding.id);
    numbers.add("Class probability", 100.0 * finding.class_probability, 0, "%");
    numbers.add("Pattern probability", 100.0 * finding.pattern_probability, 0, "%");
    numbers.add("Second pattern", finding.pattern_second ? in_words(to_string(*finding.pattern_second)) : "");
    numbers.add("Scaled with irradiance to the power", finding.exponent, 2, "");
    numbers.add("Hot", finding.t_hot.value(), 1, "°C");
    numbers.add("Reference", finding.t_reference.value(), 1, "°C");
    numbers.add("Compared with", finding.reference);
    numbers.add("First frame (UTC)", date_time_text(finding.time));
    numbers.add("Irradiance", finding.conditions.irradiance.value.value(), 0, "W/m²");
    numbers.add("Wind", finding.conditions.wind.value.value(), 1, "m/s");
    numbers.add("Air", finding.conditions.air.value.value(), 1, "°C");
    const std::string load = fixed_text(finding.conditions.load_fraction.value, 2);
    numbers.add("Load fraction", load.empty() ? "unknown" : load);
    numbers.add("Loss now", range_text(finding.loss_w_low, finding.loss_w_high, "W"));
    numbers.add("Loss at 1000 W/m², 25 °C", range_text(finding.loss_rated_w_low, finding.loss_rated_w_high, "W"));
    numbers.add("Loss a year", range_text(finding.loss_kwh_year_low, finding.loss_kwh_year_high, "kWh"));
    numbers.add("Flags", flag_words(finding.flags));
    numbers.add("Verdict", std::string(to_string(finding.verdict)));
    numbers.add("Frames used", frame_names(record, finding.frames));
    const Eigen::Vector3d place = position_of_finding(record, finding);
    if (model.context.locate && place.allFinite()) {
        const GeographicPoint point = model.context.locate(place);
        numbers.add("Latitude, longitude",
                    fixed_text(point.latitude_deg, 7) + ", " + fixed_text(point.longitude_deg, 7));
    }
    return numbers.json();
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

std::size_t section_of(const ReportModel& model, int finding) {
    for (std::size_t i = 0; i < model.strings.size(); ++i) {
        const std::vector<int>& findings = model.strings[i].findings;
        if (std::binary_search(findings.begin(), findings.end(), finding)) {
            return i;
        }
    }
    return 0;
}

std::string finding_json(const ReportModel& model, int index) {
    const SurveyRecord& record = *model.record;
    const Finding& finding = record.findings[at(index)];
    const Module* module = finding.module == -1 ? nullptr : &record.layout.modules[at(finding.module)];
    std::string out = "{\"id\":" + json_string(finding.id);
    out += ",\"class\":" + std::string(class_mark(finding.abnormality).number);
    out += ",\"module\":" + json_string(module == nullptr ? "" : module->id);
    out += ",\"string\":" + json_string(finding.string == -1 ? "none" : record.layout.strings[at(finding.string)].id);
    out += ",\"position\":" + std::to_string(module == nullptr ? 0 : module->position);
    out += ",\"section\":" + std::to_string(section_of(model, index));
    out += ",\"pattern\":" + json_string(in_words(to_string(finding.pattern)));
    out += ",\"probability\":" + number(finding.pattern_probability, 2);
    out += ",\"parts\":" + json_string(parts(finding));
    out += ",\"d1000\":" + number(finding.delta_t_1000.value.value(), 2);
    out += ",\"d1000u\":" + number(finding.delta_t_1000.u95(), 2);
    out += ",\"d\":" + number(finding.delta_t.value.value(), 2);
    out += ",\"du\":" + number(finding.delta_t.u95(), 2);
    out += ",\"hot\":" + number(finding.t_hot.value(), 2);
    out += ",\"frames\":" + std::to_string(finding.frames.size());
    out += ",\"candidates\":" + json_string(joined(*model.record, finding.candidates));
    out += ",\"evidence\":" + json_string(finding.evidence);
    return out + ",\"numbers\":" + numbers_json(model, finding) + "}";
}

}  // namespace

std::string report_data_json(const ReportModel& model) {
    const SurveyRecord& record = *model.record;
    std::string out = "{\"limit\":" + number(model.scale.limit().value(), 1) + ",\"colours\":[";
    for (std::size_t i = 0; i < scale_colours().size(); ++i) {
        out += (i == 0 ? "\"" : ",\"") + to_hex(scale_colours()[i]) + "\"";
    }
    out += "],\n\"types\":[";
    for (std::size_t i = 0; i < record.layout.types.size(); ++i) {
        const ModuleType& type = record.layout.types[i];
        out += std::string(i == 0 ? "" : ",") + "{\"rows\":" + spans_json(type, true) +
               ",\"columns\":" + spans_json(type, false) + "}";
    }
    out += "],\n\"modules\":[";
    for (std::size_t i = 0; i < record.layout.modules.size(); ++i) {
        out += (i == 0 ? "\n" : ",\n") + module_json(record, i);
    }
    out += "],\n\"findings\":[";
    for (std::size_t i = 0; i < record.findings.size(); ++i) {
        out += (i == 0 ? "\n" : ",\n") + finding_json(model, static_cast<int>(i));
    }
    return out + "]}\n";
}

}  // namespace heatrow
