#include "support/sample_record.hpp"

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <random>
#include <string>

namespace heatrow::testing {
namespace {

constexpr int kFrames = 8;
constexpr double kTilt = 0.436;  // 25 deg

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

ModuleType full_cells() {
    ModuleType type;
    type.id = "sample-60";
    type.description = "60 full cells";
    type.width = Metres(0.992);
    type.height = Metres(1.650);
    type.rows = 10;
    type.columns = 6;
    type.cell_area_left = Metres(0.020);
    type.cell_area_top = Metres(0.025);
    type.cell_area_width = Metres(0.952);
    type.cell_area_height = Metres(1.600);
    type.frame_width = Metres(0.011);
    for (int i = 0; i < type.cell_count(); ++i) {
        type.substring_of_cell.push_back(1 + (i % type.columns) / 2);
    }
    type.junction_boxes = {{0.496, 0.10}};
    type.rated_power_w = 275.0;
    type.rated_current_a = 8.76;
    type.rated_voltage_v = 31.4;
    type.short_circuit_current_a = 9.3;
    return type;
}

ModuleType half_cells() {
    ModuleType type = full_cells();
    type.id = "sample-120-half";
    type.description = "120 half cells";
    type.rows = 20;
    type.half_cut = true;
    type.middle_gap = Metres(0.020);
    type.cell_area_height = Metres(1.580);
    type.substring_of_cell.clear();
    for (int i = 0; i < type.cell_count(); ++i) {
        type.substring_of_cell.push_back(1 + (i % type.columns) / 2);
    }
    return type;
}

// Uniform in [-1, 1), the same on every machine.
double noise(std::mt19937_64& engine) {
    return static_cast<double>(engine() >> 11) / 4503599627370496.0 - 1.0;
}

Module module_on_row(int row, int place, const std::string& id, int type, const ModuleType& shape) {
    Module module;
    module.id = id;
    module.type = type;
    module.tilt = Radians(kTilt);
    module.azimuth = degrees(180.0);
    const double east = 5.0 + place * (shape.width.value() + 0.02);
    const double north = 40.0 - 5.0 * row;
    const double run = shape.height.value() * std::cos(kTilt);
    const double rise = shape.height.value() * std::sin(kTilt);
    const double right = east + shape.width.value();
    module.corners_in_site = {Eigen::Vector3d(east, north + run, 0.8 + rise),
                              Eigen::Vector3d(right, north + run, 0.8 + rise),
                              Eigen::Vector3d(right, north, 0.8),
                              Eigen::Vector3d(east, north, 0.8)};
    return module;
}

void add_layout(SurveyRecord& record, const SampleOptions& options) {
    Layout& layout = record.layout;
    layout.origin = {-3.6512, 40.1234, Metres(652.0)};
    layout.types = {full_cells(), half_cells()};
    for (int s = 0; s < options.strings; ++s) {
        const int type = s % 2;
        ModuleString string;
        string.id = "S" + std::to_string(s + 1);
        if (options.hostile_ids && s == 1) {
            string.id = "../S2 <script>alert(1)</script>";
        }
        Table table;
        table.id = "T" + std::to_string(s + 1);
        for (int place = 0; place < options.modules_per_string; ++place) {
            std::string id = string.id.substr(0, 2) == ".." ? "S2" : string.id;
            id += "-M" + std::to_string(place + 1);
            if (options.hostile_ids && s == 0 && place == 4) {
                id = "<b>\"&,=cmd()'";
            }
            if (options.hostile_ids && s == 0 && place == 7) {
                id = "=1+2";
            }
            Module module = module_on_row(s, place, id, type, layout.types[at(type)]);
            module.string = s;
            module.table = s;
            module.position = place + 1;
            const int index = static_cast<int>(layout.modules.size());
            string.modules.push_back(index);
            table.modules.push_back(index);
            layout.modules.push_back(module);
        }
        layout.strings.push_back(string);
        layout.tables.push_back(table);
    }
    layout.modules.push_back(module_on_row(options.strings, 0, "spare", 0, layout.types[0]));
}

void add_frames(SurveyRecord& record) {
    using namespace std::chrono;
    const UtcTime start = sys_days{year{2026} / 6 / 17} + hours{11} + minutes{2};
    for (int i = 0; i < kFrames; ++i) {
        FrameResult frame;
        frame.prior.frame = i;
        frame.prior.name = "frame_" + std::to_string(100 + i) + ".tif";
        frame.prior.time = start + seconds{2 * i};
        frame.prior.pose = FramePose{{8.0 + i, 36.0, 25.0}, degrees(2.0), degrees(0.0), degrees(0.0)};
        frame.pose = FramePose{{7.0 + i, 37.0, 24.0}, degrees(1.5), degrees(0.2), degrees(0.1)};
        frame.scored = i < 6;
        frame.lock_rms_px = 0.21 + 0.01 * i;
        frame.conditions.irradiance = {WattsPerSquareMetre(842.0 + i), 12.0};
        frame.conditions.irradiance_felt = {WattsPerSquareMetre(838.0 + i), 14.0};
        frame.conditions.wind = {MetresPerSecond(1.9), 0.3};
        frame.conditions.air = {Celsius(23.4), 0.5};
        frame.conditions.relative_humidity_percent = 41.0;
        frame.conditions.cloud_okta = 1.0;
        frame.conditions.flags.set(Flag::load_unknown);
        const double west = 2.0 + i;
        frame.footprint_as_logged_in_site = {
            {5.0 + i, 41.0, 0.0}, {11.0 + i, 41.0, 0.0}, {11.0 + i, 31.0, 0.0}, {5.0 + i, 31.0, 0.0}};
        frame.footprint_in_site = {
            {west, 42.0, 0.0}, {west + 14.0, 42.0, 0.0}, {west + 14.0, 30.0, 0.0}, {west, 30.0, 0.0}};
        frame.sha256 = std::string(63, '0') + std::to_string(i);
        record.frames.push_back(frame);
    }
    record.frames[6].conditions.irradiance = {WattsPerSquareMetre(540.0), 12.0};
    record.frames[6].conditions.irradiance_felt = {WattsPerSquareMetre(560.0), 14.0};
    record.frames[6].conditions.flags.set(Flag::irradiance_below_minimum);
    record.frames[7].pose.reset();
    record.frames[7].footprint_in_site.clear();
    record.frames[7].rejection =
        Rejection{RejectReason::not_locked, "No edges of modules were found; look at the frame."};
}

// One of each kind and use.
void add_control(SurveyRecord& record) {
    ControlResult known;
    known.name = record.layout.modules.front().id;
    known.frame = 1;
    known.pixel = {320.0, 255.5};
    known.point_in_site = record.layout.modules.front().centre_in_site();
    known.placement = Placement::placed;
    known.off_px = {0.0, 0.0};
    known.off_m = {0.0, 0.0};
    ControlResult held = known;
    held.kind = ControlResult::Kind::control_point;
    held.use = ControlResult::Use::held;
    held.name = "P3 <ditch>";
    held.frame = 2;
    held.off_px = {1.2, -0.7};
    held.off_m = {0.03, 0.02};
    ControlResult refused = held;
    refused.use = ControlResult::Use::refused;
    refused.name = "P4";
    refused.frame = 7;
    refused.placement = Placement::not_seen;
    refused.off_px = Eigen::Vector2d::Constant(kNaN);
    refused.off_m = refused.off_px;
    refused.detail = "its frame took no part";
    record.control = {known, held, refused};
}

void fill_cells(ModuleResult& result, const ModuleType& type, std::mt19937_64& engine) {
    result.placement = Placement::placed;
    result.assessed = true;
    result.frames = {0, 1, 2, 3, 4};
    result.cell_short_px = 5.4;
    result.view_angle = degrees(24.0);
    result.temperature = {Celsius(46.2 + 0.4 * noise(engine)), 1.8};
    result.delta_t_1000 = KelvinDelta(0.3 * noise(engine));
    for (int i = 0; i < type.cell_count(); ++i) {
        CellResult cell;
        const double delta = 0.6 * noise(engine);
        cell.delta_t = {KelvinDelta(delta), 0.35};
        cell.delta_t_1000 = KelvinDelta(delta / 0.842);
        cell.temperature = {result.temperature.value + KelvinDelta(delta), 1.8};
        cell.views = 5;
        result.cells.push_back(cell);
    }
}

void warm(CellResult& cell, double delta_k) {
    cell.delta_t.value += KelvinDelta(delta_k);
    cell.temperature.value = cell.temperature.value + KelvinDelta(delta_k);
    cell.delta_t_1000 += KelvinDelta(delta_k / 0.842);
}

void leave_out(ModuleResult& result, const std::string& reason) {
    result.assessed = false;
    result.assessed_reason = reason;
    result.delta_t_1000 = KelvinDelta(kNaN);
    result.hottest_cell = -1;
}

Finding finding_on(const SurveyRecord& record, int module, Pattern pattern, double delta_k, AbnormalityClass found) {
    Finding finding;
    finding.module = module;
    finding.string = record.layout.modules[at(module)].string;
    finding.pattern = pattern;
    finding.pattern_probability = 0.93;
    finding.abnormality = found;
    finding.class_probability = 0.97;
    finding.delta_t = {KelvinDelta(delta_k), 0.6};
    finding.delta_t_1000 = {KelvinDelta(delta_k / 0.842), 0.8};
    finding.exponent = 1.0;
    finding.t_reference = Celsius(46.2);
    finding.t_hot = Celsius(46.2 + delta_k);
    finding.reference = "the like cells of the same module";
    finding.time = record.frames.front().prior.time;
    finding.conditions = record.frames.front().conditions;
    finding.frames = {0, 1, 2, 3, 4};
    finding.flags.set(Flag::load_unknown);
    return finding;
}

void add_findings(SurveyRecord& record, const SampleOptions& options) {
    const auto add = [&](int string,
                         int place,
                         Pattern pattern,
                         double delta_k,
                         AbnormalityClass found,
                         const std::vector<CellIndex>& cells,
                         const std::vector<int>& substrings) -> Finding* {
        if (string >= options.strings || place >= options.modules_per_string) {
            return nullptr;
        }
        const int module = record.layout.strings[at(string)].modules[at(place)];
        Finding finding = finding_on(record, module, pattern, delta_k, found);
        finding.cells = cells;
        finding.substrings = substrings;
        finding.id =
            "F-" + std::to_string(string + 1) + "-" + std::to_string(place + 1) + "-" + std::string(to_string(pattern));
        finding.evidence = "The part is warmer than its like by the stated difference in 5 of 5 frames.";
        ModuleResult& result = record.modules[at(module)];
        const ModuleType& type = record.layout.type_of(record.layout.modules[at(module)]);
        const auto heat = [&](int number) {
            warm(result.cells[at(number)], delta_k);
            if (result.hottest_cell < 0 || result.cells[at(number)].delta_t_1000 > result.hottest_cell_delta_t_1000) {
                result.hottest_cell = number;
                result.hottest_cell_delta_t_1000 = result.cells[at(number)].delta_t_1000;
            }
        };
        for (const CellIndex cell : cells) {
            heat(type.cell_number(cell));
        }
        for (const int substring : substrings) {
            for (const int number : type.cells_of_substring(substring)) {
                heat(number);
            }
        }
        if (result.assessed) {
            result.abnormality = std::max(result.abnormality, found);
        }
        record.findings.push_back(finding);
        return &record.findings.back();
    };
    using enum Pattern;
    using enum AbnormalityClass;
    add(0, 2, hot_cell, 31.0, safety_relevant, {{3, 3}}, {});
    add(0, 4, hot_cell, 13.5, thermal, {{8, 1}}, {});
    add(0, 4, substring_bypassed, 5.2, thermal, {}, {3});
    if (Finding* open = add(1, 3, open_circuit_module, 5.8, thermal, {}, {1, 2, 3})) {
        open->pattern_second = short_circuited_module;
        open->conditions.load_fraction = {0.713, 0.02};
        open->loss_w_low = 198.4;
        open->loss_w_high = 231.6;
        open->loss_rated_w_low = 251.3;
        open->loss_rated_w_high = 275.0;
        open->loss_kwh_year_low = 402.0;
        open->loss_kwh_year_high = 440.0;
    }
    add(1, 8, hot_cell, 16.0, thermal, {{15, 4}}, {});
    add(0, 9, hot_cell, 6.0, none, {{5, 5}}, {});
    if (Finding* ambiguous = add(1, 6, hot_cell, 15.0, thermal, {{2, 2}}, {})) {
        ambiguous->candidates = {record.layout.strings[1].modules[5], record.layout.strings[0].modules[6]};
    }
    if (options.strings > 1) {
        Finding string = finding_on(record, 0, string_warm_cause_open, 4.4, thermal);
        string.module = -1;
        string.string = 1;
        string.id = "F-2-string";
        string.evidence = "The string is warmer than its neighbours; +4.4 K in 5 frames.";
        record.findings.push_back(string);
    }
    std::stable_sort(record.findings.begin(), record.findings.end(), [](const Finding& a, const Finding& b) {
        return a.abnormality > b.abnormality;
    });
}

void add_views(SurveyRecord& record) {
    for (int frame = 0; frame < 6; ++frame) {
        for (const ModuleResult& result : record.modules) {
            if (std::find(result.frames.begin(), result.frames.end(), frame) == result.frames.end()) {
                continue;
            }
            const double x = 20.0 + 40.0 * (result.module % 13);
            PlacedView view;
            view.frame = frame;
            view.module = result.module;
            view.placement = result.placement;
            view.placement_margin = 42.5;
            view.corners_px = {Eigen::Vector2d(x, 100.0),
                               Eigen::Vector2d(x + 33.0, 101.0),
                               Eigen::Vector2d(x + 33.5, 156.0),
                               Eigen::Vector2d(x + 0.5, 155.0)};
            record.views.push_back(view);
        }
    }
}

void add_states(SurveyRecord& record, const SampleOptions& options) {
    const auto result_of = [&](int string, int place) -> ModuleResult* {
        return string < options.strings && place < options.modules_per_string
                   ? &record.modules[at(record.layout.strings[at(string)].modules[at(place)])]
                   : nullptr;
    };
    for (ModuleResult* unseen : {result_of(0, 6), &record.modules.back()}) {
        if (unseen != nullptr) {
            ModuleResult blank;
            blank.module = unseen->module;
            blank.assessed_reason = "not_seen";
            *unseen = blank;
        }
    }
    if (ModuleResult* dim = result_of(0, 11)) {
        leave_out(*dim, "irradiance_below_minimum");
        dim->flags.set(Flag::irradiance_below_minimum);
    }
    if (ModuleResult* ambiguous = result_of(1, 6)) {
        leave_out(*ambiguous, "ambiguous");
        ambiguous->placement = Placement::ambiguous;
    }
    if (ModuleResult* cool = result_of(1, 10)) {  // shaded corner: clearly cooler cells
        for (int i = 0; i < 12; ++i) {
            warm(cool->cells[at(i)], -9.0);
        }
        cool->delta_t_1000 = KelvinDelta(-1.2);
    }
}

}  // namespace

SurveyRecord sample_record(const SampleOptions& options) {
    std::mt19937_64 engine(2026);
    SurveyRecord record;
    record.survey_id = "sample-2026-06";
    record.title = options.hostile_ids ? "Invented field <i>\"&' survey" : "Invented field survey";
    record.profile_id = "field-practice";
    record.profile_version = "1";
    record.profile_title = "An invented profile for tests";
    record.program = "heatrow 0.1.0";
    record.limits = {{"Irradiance in the module plane",
                      "at least 600 W/m²",
                      "IEC TS 62446-3, minimum irradiance (not checked against the text)",
                      Flag::irradiance_below_minimum},
                     {"Wind", "at most 8 m/s", "common practice, no source", Flag::wind_above_maximum}};
    add_layout(record, options);
    add_frames(record);
    for (int i = 0; i < static_cast<int>(record.layout.modules.size()); ++i) {
        ModuleResult result;
        result.module = i;
        fill_cells(result, record.layout.type_of(record.layout.modules[at(i)]), engine);
        record.modules.push_back(result);
    }
    add_states(record, options);
    add_findings(record, options);
    for (int s = 0; s < options.strings; ++s) {
        StringResult result;
        result.string = s;
        for (const int module : record.layout.strings[at(s)].modules) {
            result.modules_assessed += record.modules[at(module)].assessed ? 1 : 0;
            result.abnormality = std::max(result.abnormality, record.modules[at(module)].abnormality);
        }
        for (const Finding& finding : record.findings) {
            result.findings += finding.string == s ? 1 : 0;
        }
        result.delta_t_1000 = KelvinDelta(s == 1 ? 4.4 : 0.2);
        record.strings.push_back(result);
    }
    add_views(record);
    add_control(record);
    record.notes = {"1 frame was below the minimum irradiance and is kept as information only.",
                    "1 frame could not be aligned to the layout: frame_107.tif."};
    return record;
}

}  // namespace heatrow::testing
