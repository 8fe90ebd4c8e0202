#include "heatrow/io/survey_gpkg_reader.hpp"

#include "heatrow/io/site_projection.hpp"
#include "heatrow/io/standing_review.hpp"
#include "heatrow/io/survey_gpkg_writer.hpp"
#include "support/check_error.hpp"
#include "support/sample_crops.hpp"
#include "support/sample_record.hpp"
#include "support/temp_folder.hpp"

#include <catch2/catch.hpp>
#include <fmt/format.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <cmath>
#include <fstream>
#include <limits>

using namespace heatrow;
using Catch::Matchers::Contains;
namespace fs = std::filesystem;

namespace {

// Every field of a record as a named text or number, to be compared one by one.
class Fields {
  public:
    explicit Fields(const SurveyRecord& record) { add(record); }

    struct Field {
        std::string name;
        std::string text;
        double number = 0.0;
        double tolerance = 0.0;
    };
    [[nodiscard]] const std::vector<Field>& list() const { return list_; }

  private:
    static constexpr double kExact = 1e-12;   // relative: one rounding of a factor
    static constexpr double kFloat = 6.0e-8;  // relative: 32-bit floats
    static constexpr double kPlace_m = 1e-6;  // absolute

    void text(const std::string& name, std::string_view value) {
        list_.push_back({name, std::string(value), 0.0, 0.0});
    }
    void number(const std::string& name, double value, double relative = kExact) {
        list_.push_back({name, "", value, relative * std::max(1.0, std::abs(value))});
    }
    template <class Q>
    void uncertain(const std::string& name, const Uncertain<Q>& value, double relative = kExact) {
        if constexpr (std::is_floating_point_v<Q>) {
            number(name, value.value, relative);
        } else {
            number(name, value.value.value(), relative);
        }
        number(name + ".u", value.u, relative);
    }
    void point(const std::string& name, const Eigen::Vector3d& value) {
        for (const double part : {value.x(), value.y(), value.z()}) {
            list_.push_back({name, "", part, kPlace_m});
        }
    }
    template <class T>
    void list(const std::string& name, const std::vector<T>& values) {
        number(name + ".size", static_cast<double>(values.size()));
        for (const T& value : values) {
            number(name, static_cast<double>(value));
        }
    }
    void conditions(const std::string& name, const FrameConditions& c) {
        uncertain(name + ".irradiance", c.irradiance);
        uncertain(name + ".irradiance_felt", c.irradiance_felt);
        number(name + ".modelled", c.irradiance_is_modelled ? 1.0 : 0.0);
        uncertain(name + ".wind", c.wind);
        uncertain(name + ".air", c.air);
        number(name + ".humidity", c.relative_humidity_percent);
        number(name + ".cloud", c.cloud_okta);
        uncertain(name + ".load", c.load_fraction);
        text(name + ".flags", c.flags.to_string());
    }
    void pose(const std::string& name, const std::optional<FramePose>& pose) {
        number(name, pose ? 1.0 : 0.0);
        if (pose) {
            point(name, pose->position_in_site);
            number(name + ".yaw", pose->yaw.value());
            number(name + ".pitch", pose->pitch.value());
            number(name + ".roll", pose->roll.value());
        }
    }
    void decision(const std::string& name, const Decision& decision) {
        text(name, to_string(decision.verdict));
        text(name + ".pattern", decision.pattern ? to_string(*decision.pattern) : std::string_view{"-"});
        text(name + ".comment", decision.comment);
        text(name + ".work", to_string(decision.work));
    }
    void add(const ModuleType& type);
    void add(const Layout& layout);
    void add(const FrameResult& frame);
    void add(const PlacedView& view);
    void add(const ModuleResult& result);
    void add(const Finding& finding);
    void add(const SurveyRecord& record);
    void add(const RunDescription& run);
    void add(const SurveyStatement& stated);
    void add(const FindingCrop& crop);

    std::vector<Field> list_;
};

void Fields::add(const ModuleType& type) {
    text("type.id", type.id);
    text("type.description", type.description);
    for (const Metres length : {type.width,
                                type.height,
                                type.cell_area_left,
                                type.cell_area_top,
                                type.cell_area_width,
                                type.cell_area_height,
                                type.middle_gap,
                                type.frame_width}) {
        number("type.length", length.value());
    }
    number("type.rows", type.rows);
    number("type.columns", type.columns);
    number("type.half_cut", type.half_cut ? 1.0 : 0.0);
    number("type.technology", static_cast<double>(type.technology));
    number("type.front", static_cast<double>(type.front));
    number("type.lead", type.positive_lead_left ? 1.0 : 0.0);
    list("type.substrings", type.substring_of_cell);
    number("type.open_circuit_voltage", type.open_circuit_voltage_v);
    for (const std::vector<int>& branch : type.branches) {
        list("type.branch", branch);
    }
    number("type.boxes", static_cast<double>(type.junction_boxes.size()));
    for (const auto& box : type.junction_boxes) {
        number("type.box", box.x());
        number("type.box", box.y());
    }
    for (const double rating :
         {type.rated_power_w, type.rated_current_a, type.rated_voltage_v, type.short_circuit_current_a}) {
        number("type.rating", rating);
    }
}

void Fields::add(const Layout& layout) {
    number("origin", layout.origin.longitude_deg);
    number("origin", layout.origin.latitude_deg);
    number("origin", layout.origin.height.value());
    for (const ModuleType& type : layout.types) {
        add(type);
    }
    for (const Module& module : layout.modules) {
        text("module.id", module.id);
        list("module.places", std::vector<int>{module.string, module.position, module.table, module.type});
        number("module.tilt", module.tilt.value());
        number("module.azimuth", module.azimuth.value());
        for (const auto& corner : module.corners_in_site) {
            point("module " + module.id, corner);
        }
    }
    for (const ModuleString& string : layout.strings) {
        text("string.id", string.id);
        list("string.modules", string.modules);
        text("string.home", string.home.combiner + " | " + string.home.inverter + " | " + string.home.input);
    }
    for (const Table& table : layout.tables) {
        text("table.id", table.id);
        list("table.modules", table.modules);
    }
}

void Fields::add(const FrameResult& frame) {
    const std::string name = frame.prior.name;
    number("frame", frame.prior.frame);
    text("frame.name", name);
    text(name + ".time", to_iso8601(frame.prior.time));
    pose(name + ".logged", frame.prior.pose);
    pose(name + ".pose", frame.pose);
    text(name + ".rejection", frame.rejection ? to_string(frame.rejection->reason) : std::string_view{"-"});
    text(name + ".detail", frame.rejection ? frame.rejection->detail : "-");
    number(name + ".scored", frame.scored ? 1.0 : 0.0);
    conditions(name, frame.conditions);
    number(name + ".lock", frame.lock_rms_px);
    number(name + ".footprint", static_cast<double>(frame.footprint_in_site.size()));
    for (const auto& corner : frame.footprint_in_site) {
        point(name + ".footprint", corner);
    }
    for (const auto& corner : frame.footprint_as_logged_in_site) {
        point(name + ".footprint as logged", corner);
    }
    text(name + ".sha256", frame.sha256);
}

void Fields::add(const PlacedView& view) {
    list("view", std::vector<int>{view.frame, view.slot, view.module, static_cast<int>(view.placement)});
    number("view.margin", view.placement_margin);
    for (const auto& corner : view.corners_px) {
        number("view.corner", corner.x());
        number("view.corner", corner.y());
    }
    list("view.candidates", view.candidates);
}

void Fields::add(const ModuleResult& result) {
    const std::string name = "result " + std::to_string(result.module);
    number(name + ".assessed", result.assessed ? 1.0 : 0.0);
    text(name + ".reason", result.assessed_reason);
    text(name + ".placement", to_string(result.placement));
    list(name + ".frames", result.frames);
    number(name + ".px", result.cell_short_px);
    number(name + ".angle", result.view_angle.value());
    uncertain(name + ".temperature", result.temperature);
    number(name + ".delta_t_1000", result.delta_t_1000.value());
    number(name + ".hottest", result.hottest_cell);
    number(name + ".hottest_delta", result.hottest_cell_delta_t_1000.value());
    number(name + ".class", static_cast<double>(result.abnormality));
    text(name + ".flags", result.flags.to_string());
    number(name + ".cells", static_cast<double>(result.cells.size()));
    for (const CellResult& cell : result.cells) {
        uncertain(name + ".cell", cell.temperature, kFloat);
        uncertain(name + ".cell delta", cell.delta_t, kFloat);
        number(name + ".cell delta_1000", cell.delta_t_1000.value(), kFloat);
        number(name + ".cell views", cell.views);
    }
}

void Fields::add(const Finding& finding) {
    const std::string& name = finding.id;
    text("finding", finding.id);
    list(name + ".place", std::vector<int>{finding.module, finding.string});
    list(name + ".candidates", finding.candidates);
    text(name + ".pattern", to_string(finding.pattern));
    number(name + ".pattern_probability", finding.pattern_probability);
    text(name + ".second", finding.pattern_second ? to_string(*finding.pattern_second) : std::string_view{"-"});
    list(name + ".substrings", finding.substrings);
    for (const CellIndex cell : finding.cells) {
        text(name + ".cell", to_string(cell));
    }
    number(name + ".class", static_cast<double>(finding.abnormality));
    number(name + ".class_probability", finding.class_probability);
    uncertain(name + ".delta_t", finding.delta_t);
    uncertain(name + ".delta_t_1000", finding.delta_t_1000);
    number(name + ".exponent", finding.exponent);
    number(name + ".hot", finding.t_hot.value());
    number(name + ".t_reference", finding.t_reference.value());
    text(name + ".reference", finding.reference);
    text(name + ".time", to_iso8601(finding.time));
    conditions(name, finding.conditions);
    list(name + ".frames", finding.frames);
    text(name + ".flags", finding.flags.to_string());
    number(name + ".loss_low", finding.loss_w_low);
    number(name + ".loss_high", finding.loss_w_high);
    number(name + ".loss_rated_low", finding.loss_rated_w_low);
    number(name + ".loss_rated_high", finding.loss_rated_w_high);
    number(name + ".loss_year_low", finding.loss_kwh_year_low);
    number(name + ".loss_year_high", finding.loss_kwh_year_high);
    text(name + ".verdict", to_string(finding.verdict));
    text(name + ".evidence", finding.evidence);
}

void Fields::add(const RunDescription& run) {
    text("run", run.id);
    for (const RuleLine& rule : run.rules) {
        text("rule", std::string(to_string(rule.pattern)) + rule.source);
        for (const double value : {rule.class_2_from.value(),
                                   rule.class_3_from.value(),
                                   rule.exponent,
                                   rule.exponent_low,
                                   rule.exponent_high}) {
            number("rule", value);
        }
    }
    for (const auto* pairs : {&run.settings, &run.clocks, &run.work_list.columns}) {
        for (const auto& [key, value] : *pairs) {
            text("run " + key, value);
        }
    }
    for (const InputLine& input : run.inputs) {
        text("input", input.role + input.name + input.sha256);
        number("input.bytes", static_cast<double>(input.bytes));
    }
    number("run.start", run.work_list.start ? run.work_list.start->longitude_deg : kNaN);
    number("run.start", run.work_list.start ? run.work_list.start->latitude_deg : kNaN);
    number("run.decimal_comma", run.decimal_comma_tables ? 1.0 : 0.0);
}

void Fields::add(const SurveyStatement& stated) {
    for (const auto* word :
         {&stated.client, &stated.plant, &stated.address, &stated.capacity, &stated.purpose, &stated.procedure}) {
        text("stated", *word);
    }
    for (const PersonStatement& person : {stated.inspector, stated.analyst, stated.reviewer}) {
        text("person", person.name + "/" + person.qualification + "/" + person.employer);
    }
    for (const InstrumentStatement& i : stated.instruments) {
        text("instrument",
             fmt::format(
                 "{}/{}/{}/{}/{}/{}/{}", i.measures, i.maker, i.model, i.serial, i.lens, i.calibrated, i.certificate));
    }
}

void Fields::add(const FindingCrop& crop) {
    list(
        "crop",
        std::vector<int>{crop.finding, crop.frame, crop.corner_px.x(), crop.corner_px.y(), crop.temperature_c.width()});
    for (const float value : crop.temperature_c.pixels()) {
        number("crop.pixel", double{value});
    }
    for (const auto* outlines : {&crop.modules_px, &crop.parts_px}) {
        number("crop.outlines", static_cast<double>(outlines->size()));
        for (const auto& outline : *outlines) {
            number("crop.outline", static_cast<double>(outline.size()));
            for (const auto& corner : outline) {
                number("crop.corner", corner.x());
                number("crop.corner", corner.y());
            }
        }
    }
    number("crop.hottest", crop.hottest_px ? crop.hottest_px->x() : kNaN);
    number("crop.hottest", crop.hottest_px ? crop.hottest_px->y() : kNaN);
    for (const double value :
         {crop.hottest.value(), crop.metres_per_pixel.value(), crop.scale_low.value(), crop.scale_high.value()}) {
        number("crop.value", value);
    }
}

void Fields::add(const SurveyRecord& record) {
    for (const std::string& word : {record.program,
                                    record.survey_id,
                                    record.title,
                                    record.profile_id,
                                    record.profile_version,
                                    record.profile_title}) {
        text("run", word);
    }
    add(record.run);
    add(record.stated);
    for (const FindingCrop& crop : record.crops) {
        add(crop);
    }
    for (const LimitLine& line : record.limits) {
        text("limit", line.name + line.limit + line.source + std::string(to_string(line.flag)));
    }
    add(record.layout);
    for (const FrameResult& frame : record.frames) {
        add(frame);
    }
    for (const PlacedView& view : record.views) {
        add(view);
    }
    for (const ModuleResult& result : record.modules) {
        add(result);
    }
    for (const StringResult& result : record.strings) {
        list("string", std::vector<int>{result.string, result.modules_assessed, result.findings});
        number("string.class", static_cast<double>(result.abnormality));
        number("string.delta", result.delta_t_1000.value());
    }
    for (const Finding& finding : record.findings) {
        add(finding);
    }
    for (const ControlResult& control : record.control) {
        text("control", control.name + " " + control.detail);
        list("control.kind",
             std::vector<int>{static_cast<int>(control.kind),
                              static_cast<int>(control.use),
                              static_cast<int>(control.placement),
                              control.frame});
        point("control.point", control.point_in_site);
        for (const double value : {control.pixel.x(), control.off_px.x(), control.off_px.y(), control.off_m.y()}) {
            number("control.value", value);
        }
    }
    for (const FindingPicture& picture : record.pictures) {
        text("picture", picture.finding + " " + picture.file);
        number("picture.frame", picture.frame);
        number("picture.low", picture.low.value());
        number("picture.high", picture.high.value());
    }
    for (const VisiblePicture& picture : record.visible_pictures) {
        text("visible", picture.frame + " " + to_iso8601(picture.time) + " " + picture.jpeg);
        list("visible.numbers",
             std::vector<int>{
                 picture.finding, picture.partner, picture.size_px.x(), picture.size_px.y(), picture.fits ? 1 : 0});
        for (const Eigen::Vector2d& corner : picture.module_px) {
            number("visible.x", corner.x());
            number("visible.y", corner.y());
        }
    }
    for (const ReviewEntry& entry : record.review_log) {
        text("review", entry.finding + " " + entry.reviewer + " " + entry.source + " " + to_iso8601(entry.time));
        decision("review.before", entry.before);
        decision("review.after", entry.after);
        number("review.class", static_cast<double>(entry.class_before));
        number("review.class", static_cast<double>(entry.class_after));
    }
    for (const std::string& note : record.notes) {
        text("note", note);
    }
}

std::vector<std::string> differences(const SurveyRecord& a, const SurveyRecord& b) {
    const Fields left(a);
    const Fields right(b);
    std::vector<std::string> found;
    if (left.list().size() != right.list().size()) {
        found.push_back(fmt::format("{} fields, {} fields", left.list().size(), right.list().size()));
    }
    for (std::size_t i = 0; i < std::min(left.list().size(), right.list().size()); ++i) {
        const auto& x = left.list()[i];
        const auto& y = right.list()[i];
        const bool same_number = std::abs(x.number - y.number) <= x.tolerance || x.number == y.number ||
                                 (std::isnan(x.number) && std::isnan(y.number));
        if (x.name != y.name || x.text != y.text || !same_number) {
            found.push_back(
                fmt::format("{}: '{}' {} / {}: '{}' {}", x.name, x.text, x.number, y.name, y.text, y.number));
        }
    }
    return found;
}

// The sample with what it leaves at its defaults.
SurveyRecord full_record(bool hostile) {
    SurveyRecord record = testing::sample_record({.strings = 3, .modules_per_string = 12, .hostile_ids = hostile});
    ModuleType& type = record.layout.types[1];
    type.technology = ModuleType::Technology::shingled;
    type.front = ModuleType::Front::polymer;
    type.positive_lead_left = false;
    type.open_circuit_voltage_v = 38.25;
    type.branches = {{0, 1, 2}, {3, 4, 5}, {6}};
    type.junction_boxes = {{0.1, 0.8123456789}, {0.5, 0.81}};
    record.layout.strings[0].home = {"CB-01", "INV-1", "MPPT 2"};
    record.layout.strings[1].home = {"", "INV <1>", ""};
    record.frames[1].conditions.irradiance_is_modelled = true;
    record.frames[1].conditions.load_fraction = {0.83, 0.04};
    record.frames[1].prior.time += std::chrono::milliseconds(250);
    record.frames[2].prior.pose.reset();
    record.frames[3].footprint_as_logged_in_site = record.frames[3].footprint_in_site;
    record.frames[3].footprint_as_logged_in_site[0].x() -= 3.5;
    ControlResult control;
    control.name = "GCP 1";
    control.kind = ControlResult::Kind::control_point;
    control.use = ControlResult::Use::held;
    control.frame = 2;
    control.pixel = {100.25, 90.5};
    control.point_in_site = {10.0, 20.0, 1.5};
    control.placement = Placement::placed;
    control.off_px = {0.5, -1.25};
    control.off_m = {0.02, -0.04};
    control.detail = "held back";
    record.control = {control};
    record.views[3].slot = 7;
    record.views[3].candidates = {2, 5};
    record.views[4].placement_margin = std::numeric_limits<double>::infinity();
    Finding& finding = record.findings[1];
    finding.pattern_second = Pattern::junction_box;
    finding.loss_w_low = 3.25;
    finding.loss_w_high = 41.5;
    finding.loss_rated_w_low = 4.5;
    finding.loss_rated_w_high = 55.0;
    finding.loss_kwh_year_low = 7.0;
    finding.loss_kwh_year_high = 90.0;
    finding.conditions.load_fraction = {0.7, 0.1};
    finding.conditions.irradiance_is_modelled = true;
    finding.delta_t_1000 = {};
    record.pictures = {{finding.id, 3, "findings/a.png", Celsius(30.0), Celsius(65.0)}};
    record.crops = testing::sample_crops(record);
    record.crops[0].temperature_c.view()(3, 4) = std::numeric_limits<float>::quiet_NaN();
    record.crops[0].modules_px.push_back({{-0.1, 1.0 / 3.0}, {1e-7, 22.5}, {5.0, 6.0}});
    record.crops[1].parts_px.clear();
    record.crops[1].hottest_px.reset();
    record.crops[1].hottest = Celsius(kNaN);
    VisiblePicture& visible = record.visible_pictures.emplace_back();
    visible.finding = 1;
    visible.frame = "visible <1>.jpg";
    visible.time = record.frames[2].prior.time;
    visible.partner = 2;
    visible.jpeg = std::string("\xff\xd8\0\xff\xd9", 5);
    visible.size_px = {320, 200};
    visible.module_px = {{-3.5, 1.0 / 3.0}, {99.0, 2.0}, {101.0, 88.25}, {1e-7, 87.0}};
    visible.fits = true;
    record.run.id = "0123456789ab";
    record.run.rules = {{Pattern::hot_cell, KelvinDelta(10.0), KelvinDelta(20.0), 1.0, 0.9, 1.1, "a source"},
                        {Pattern::junction_box, KelvinDelta(5.0), KelvinDelta(kNaN), 1.8, 1.6, 2.0, ""}};
    record.run.settings = {{"temperature.scale", "0.01"}, {"frames.folder", "a=b | <c>"}};
    record.run.clocks = {{"camera a", "UTC+02:00, ran 1.5 s ahead (photo)"}};
    record.run.inputs = {{"frame", "thermal/a.tif", 123456789012ULL, std::string(64, 'a')}};
    record.run.work_list.start = GeographicPoint{-3.65123456789, 40.1};
    record.run.work_list.columns = {{"task", "External ID"}, {"place", "Asset"}};
    record.run.decimal_comma_tables = true;
    record.stated.client = "A client";
    record.stated.procedure = "simplified";
    record.stated.analyst = {"An analyst", "level 2", "A firm"};
    record.stated.reviewer.employer = "Another firm";
    record.stated.instruments = {{"thermal frames", "a", "b", "c", "d", "2026-03-04", "f"},
                                 {"wind", "", "", "0042", "", "", ""}};
    Decision rejected{Verdict::rejected, Pattern::shading, "A leaf; \"gone\" on Friday"};
    const UtcTime when = record.frames[0].prior.time + std::chrono::hours(30);
    record.review_log = {{finding.id, when, "A. Reviewer", {}, {Verdict::confirmed, {}, ""}, "decisions.json"},
                         {finding.id, when, "A. Reviewer", {Verdict::confirmed, {}, ""}, rejected, "findings.xlsx"},
                         {"gone.hot_cell.r1c1", when, "B", {}, {Verdict::confirmed, {}, ""}, "x.csv"}};
    record.review_log[1].after.work = WorkStatus::not_found;
    record.review_log[1].class_before = AbnormalityClass::thermal;
    record.review_log[1].class_after = AbnormalityClass::safety_relevant;
    finding.verdict = Verdict::rejected;
    return record;
}

// What a reader makes of it.
SurveyRecord as_it_stands(const SurveyRecord& found) {
    SurveyRecord record = found;
    stand_as_reviewed(record);
    const auto as_now = [&](int& finding) {
        const std::string& id = found.findings[static_cast<std::size_t>(finding)].id;
        const auto now = std::find_if(
            record.findings.begin(), record.findings.end(), [&id](const Finding& other) { return other.id == id; });
        finding = static_cast<int>(now - record.findings.begin());
    };
    for (FindingCrop& crop : record.crops) {
        as_now(crop.finding);
    }
    for (VisiblePicture& picture : record.visible_pictures) {
        as_now(picture.finding);
    }
    return record;
}

void write(const SurveyRecord& record, const fs::path& file) {
    write_survey_gpkg(record, SiteProjection(record.layout.origin), file);
}

}  // namespace

TEST_CASE("survey.gpkg reader: a record comes back as it was written", "[io]") {
    const testing::TempFolder temp;
    for (const bool hostile : {false, true}) {
        CAPTURE(hostile);
        const SurveyRecord record = full_record(hostile);
        REQUIRE(first_breach(record).empty());
        const fs::path file = temp.path() / (hostile ? "hostile.gpkg" : "plain.gpkg");
        write(record, file);
        const SurveyRecord back = read_survey_gpkg(file);
        CHECK(differences(as_it_stands(record), back) == std::vector<std::string>{});
        CHECK(back.as_found.at(record.findings[1].id).pattern == record.findings[1].pattern);
    }
    // That a difference would be seen.
    SurveyRecord other = full_record(false);
    other.findings[1].conditions.wind.u += 1e-6;
    other.layout.modules[2].corners_in_site[1].x() += 1e-5;
    other.crops[2].temperature_c.view()(0, 0) += 0.01F;
    other.stated.reviewer.qualification = "x";
    CHECK(differences(full_record(false), other).size() == 4);
}

TEST_CASE("survey.gpkg reader: south of the equator and beyond the zones", "[io]") {
    const testing::TempFolder temp;
    for (const auto& [longitude, latitude] : {std::pair{151.2, -33.9}, {17.0, 85.5}, {-179.999, 10.0}}) {
        CAPTURE(longitude);
        SurveyRecord record = testing::sample_record();
        record.layout.origin = {longitude, latitude, Metres(12.5)};
        const fs::path file = temp.path() / fmt::format("{}.gpkg", latitude);
        write(record, file);
        CHECK(differences(record, read_survey_gpkg(file)) == std::vector<std::string>{});
    }
}

TEST_CASE("survey.gpkg reader: what is no record is told from what is", "[io]") {
    const testing::TempFolder temp;
    CHECK_THAT(testing::message_of([&] { read_survey_gpkg(temp.path() / "none.gpkg"); }),
               Contains("input: ") && Contains("no such file"));
    std::ofstream(temp.path() / "text.gpkg") << "not a database";
    CHECK_THAT(testing::message_of([&] { read_survey_gpkg(temp.path() / "text.gpkg"); }),
               Contains("input: ") && Contains("no GeoPackage"));
}

TEST_CASE("survey.gpkg reader: a record of an earlier version is refused with what to do", "[io]") {
    const testing::TempFolder temp;
    const fs::path file = temp.path() / "old.gpkg";
    write(full_record(false), file);
    {
        const GDALDatasetUniquePtr dataset(GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR | GDAL_OF_UPDATE));
        dataset->ExecuteSQL("UPDATE run SET value = '2' WHERE key = 'format_version'", nullptr, nullptr);
    }
    CHECK_THAT(testing::message_of([&] { read_survey_gpkg(file); }),
               Contains("version \"2\"") && Contains("analyse --overwrite") && Contains("carried over"));
}

TEST_CASE("survey.gpkg reader: a file from before the homes of strings has none", "[io]") {
    const testing::TempFolder temp;
    const fs::path file = temp.path() / "before.gpkg";
    SurveyRecord record = testing::sample_record();
    record.layout.strings[0].home = {"CB-01", "INV-1", "MPPT 2"};
    write(record, file);
    {
        const GDALDatasetUniquePtr dataset(GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR | GDAL_OF_UPDATE));
        OGRLayer* strings = dataset->GetLayerByName("strings");
        REQUIRE(strings != nullptr);
        for (const char* column : {"combiner", "inverter", "input"}) {
            REQUIRE(strings->DeleteField(strings->GetLayerDefn()->GetFieldIndex(column)) == OGRERR_NONE);
        }
    }
    record.layout.strings[0].home = {};
    CHECK(differences(record, read_survey_gpkg(file)) == std::vector<std::string>{});
}

TEST_CASE("standing review: a pattern without a rule of its own is judged by that of its wider name", "[io]") {
    SurveyRecord record = testing::sample_record();
    record.run.rules = {{Pattern::open_circuit_module, KelvinDelta(2.0), KelvinDelta(kNaN), 1.0, 0.9, 1.1, "a source"},
                        {Pattern::hot_cell, KelvinDelta(1000.0), KelvinDelta(2000.0), 1.0, 0.9, 1.1, "a source"}};
    const Finding& hottest = record.findings.front();
    CHECK(judged_as(record.run, hottest, Pattern::module_replaced).abnormality == AbnormalityClass::thermal);
    CHECK(judged_as(record.run, hottest, Pattern::shading).abnormality == AbnormalityClass::none);
    record.run.rules.clear();
    CHECK(judged_as(record.run, hottest, Pattern::module_replaced).abnormality == hottest.abnormality);
}

TEST_CASE("standing review: rejected findings give their module no class", "[io]") {
    SurveyRecord record = testing::sample_record();
    const int module = record.findings.front().module;
    REQUIRE(module >= 0);
    REQUIRE(record.modules[static_cast<std::size_t>(module)].abnormality != AbnormalityClass::none);
    for (Finding& finding : record.findings) {
        if (finding.module == module) {
            finding.verdict = Verdict::rejected;
            record.review_log.push_back({finding.id,
                                         record.frames[0].prior.time,
                                         "A. Reviewer",
                                         {},
                                         {Verdict::rejected, {}, "a leaf"},
                                         "decisions.json"});
        }
    }
    stand_as_reviewed(record);
    CHECK(record.modules[static_cast<std::size_t>(module)].abnormality == AbnormalityClass::none);
    CHECK(record.findings.front().abnormality != AbnormalityClass::none);
    CHECK(first_breach(record).empty());
}
