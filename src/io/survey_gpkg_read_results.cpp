#include "survey_gpkg_read_results.hpp"

#include "gpkg_table_reader.hpp"
#include "survey_gpkg_names.hpp"
#include "survey_gpkg_schema.hpp"

#include <algorithm>
#include <bit>
#include <limits>
#include <sstream>

namespace heatrow::detail {
namespace {

namespace fs = std::filesystem;

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

// From the half width of a 95 % interval back to the standard uncertainty.
double standard_u(double u95) {
    static const double width = Uncertain<double>{0.0, 1.0}.u95();
    return u95 / width;
}

std::optional<FramePose> pose_of(const GpkgTableReader& row, const std::string& kind) {
    const auto value = [&](const char* name) { return row.real((kind + name).c_str()); };
    const double east = value("east_m");
    if (!(east == east)) {
        return std::nullopt;
    }
    return FramePose{{east, value("north_m"), value("up_m")},
                     degrees(value("yaw_deg")),
                     degrees(value("pitch_deg")),
                     degrees(value("roll_deg"))};
}

FrameConditions conditions_of(const GpkgTableReader& row, const char* flags) {
    FrameConditions c;
    c.irradiance = {WattsPerSquareMetre(row.real("irradiance_w_m2")), row.real("irradiance_u_w_m2")};
    c.irradiance_felt = {WattsPerSquareMetre(row.real("irradiance_felt_w_m2")), row.real("irradiance_felt_u_w_m2")};
    c.irradiance_is_modelled = row.yes("irradiance_is_modelled");
    c.wind = {MetresPerSecond(row.real("wind_m_s")), row.real("wind_u_m_s")};
    c.air = {Celsius(row.real("air_c")), row.real("air_u_c")};
    c.relative_humidity_percent = row.real("relative_humidity_percent");
    c.cloud_okta = row.real("cloud_okta");
    c.load_fraction = {row.real("load_fraction"), row.real("load_fraction_u")};
    c.flags = row.named(flags, parse_flags);
    return c;
}

// Six planes of little-endian float32, one value a cell (docs/formats/survey-gpkg.md).
std::vector<CellResult> cells_of(const GpkgTableReader& row, const ModuleType& type) {
    constexpr std::size_t kPlanes = 6;
    const std::vector<std::uint8_t> bytes = row.blob("cell_values");
    const std::size_t count = at(type.cell_count());
    if (bytes.empty()) {
        return {};
    }
    if (bytes.size() != 4 * kPlanes * count) {
        row.fail("cell_values", "it does not hold the cells of the module's type");
    }
    const auto value = [&](std::size_t plane, std::size_t cell) {
        const std::uint8_t* at = bytes.data() + 4 * (plane * count + cell);
        std::uint32_t bits = 0;
        for (unsigned i = 0; i < 4; ++i) {
            bits |= std::uint32_t{at[i]} << (8 * i);
        }
        return double{std::bit_cast<float>(bits)};
    };
    std::vector<CellResult> cells(count);
    for (std::size_t i = 0; i < count; ++i) {
        cells[i] = {{Celsius(value(0, i)), value(1, i)},
                    {KelvinDelta(value(2, i)), value(3, i)},
                    KelvinDelta(value(4, i)),
                    static_cast<int>(value(5, i))};
    }
    return cells;
}

// Numbers or cells separated by blanks.
std::vector<std::string> words(const std::string& text) {
    std::istringstream stream(text);
    std::vector<std::string> list;
    for (std::string word; stream >> word;) {
        list.push_back(word);
    }
    return list;
}

void read_parts(const GpkgTableReader& row, Finding& finding) {
    for (const std::string& word : words(row.text("substrings"))) {
        finding.substrings.push_back(std::atoi(word.c_str()));
    }
    for (const std::string& word : words(row.text("cells"))) {
        const auto cell = parse_cell(word);
        if (!cell) {
            row.fail("cells", "\"" + word + "\" is no cell");
        }
        finding.cells.push_back(*cell);
    }
}

}  // namespace

void read_frames(GDALDataset& dataset, const SitePoints& points, const fs::path& file, SurveyRecord& record) {
    for (GpkgTableReader row(dataset, frames_schema(), file); row.next();) {
        FrameResult frame;
        frame.prior.frame = static_cast<int>(record.frames.size());
        frame.prior.name = row.text("frame");
        frame.prior.time = row.time("time_utc").value_or(UtcTime{});
        frame.prior.pose = pose_of(row, "logged_");
        frame.pose = pose_of(row, "");
        if (row.text("outcome") == "left_out") {
            frame.rejection = Rejection{row.named("rejection", parse_reject_reason), row.text("rejection_detail")};
        }
        frame.scored = row.text("outcome") == "scored";
        frame.conditions = conditions_of(row, "flags");
        frame.lock_rms_px = row.real("lock_rms_px");
        frame.footprint_in_site = points.corners(row.geometry());
        frame.sha256 = row.text("sha256");
        record.frames.push_back(std::move(frame));
    }
}

void read_control(GDALDataset& dataset, const SitePoints& points, const fs::path& file, SurveyRecord& record) {
    const NameIndex frames = frames_by_name(record);
    for (GpkgTableReader row(dataset, footprints_schema(), file); row.next();) {
        if (row.text("state") == "before") {
            record.frames[at(frames.of(row, "frame"))].footprint_as_logged_in_site = points.corners(row.geometry());
        }
    }
    for (GpkgTableReader row(dataset, control_schema(), file); row.next();) {
        ControlResult control;
        control.name = row.text("name");
        control.kind = row.named("kind", parse_control_kind);
        control.use = row.named("use", parse_control_use);
        control.frame = row.text("frame").empty() ? -1 : frames.of(row, "frame");
        control.point_in_site = points.point(row.geometry());
        if (control.frame >= 0) {
            control.pixel = {row.real("x"), row.real("y")};
            control.placement = row.named("placement", parse_placement);
        }
        control.off_px = {row.real("off_x_px"), row.real("off_y_px")};
        control.off_m = {row.real("off_east_m"), row.real("off_north_m")};
        control.detail = row.text("detail");
        record.control.push_back(std::move(control));
    }
}

void read_modules(GDALDataset& dataset, const fs::path& file, SurveyRecord& record) {
    for (GpkgTableReader row(dataset, modules_schema(), file); row.next();) {
        ModuleResult result;
        result.module = static_cast<int>(record.modules.size());
        const ModuleType& type = record.layout.type_of(record.layout.modules[at(result.module)]);
        result.assessed = row.yes("assessed");
        result.assessed_reason = row.text("assessed_reason");
        result.placement = row.named("placement", parse_placement);
        result.cell_short_px = row.real("px_per_cell");
        result.view_angle = degrees(row.real("view_angle_deg"));
        result.temperature = {Celsius(row.real("t_module_c")), standard_u(row.real("t_module_u95_c"))};
        result.delta_t_1000 = KelvinDelta(row.real("delta_t_1000_k"));
        if (const auto hottest = parse_cell(row.text("hottest_cell"))) {
            result.hottest_cell = type.cell_number(*hottest);
        }
        result.hottest_cell_delta_t_1000 = KelvinDelta(row.real("hottest_cell_delta_t_1000_k"));
        result.abnormality = class_of(row, "class");
        result.flags = row.named("flags", parse_flags);
        result.cells = cells_of(row, type);
        record.modules.push_back(std::move(result));
    }
}

void read_views(GDALDataset& dataset, const fs::path& file, SurveyRecord& record) {
    const NameIndex frames = frames_by_name(record);
    const NameIndex modules = modules_by_name(record);
    constexpr std::array<std::pair<const char*, const char*>, 4> kCorners = {
        {{"x1", "y1"}, {"x2", "y2"}, {"x3", "y3"}, {"x4", "y4"}}};
    for (GpkgTableReader row(dataset, views_schema(), file); row.next();) {
        PlacedView view;
        view.frame = frames.of(row, "frame");
        view.module = modules.of(row, "module");
        view.slot = static_cast<int>(row.integer("slot").value_or(0));
        view.placement = row.named("placement", parse_placement);
        const double margin = row.real("placement_margin");
        view.placement_margin = margin == margin ? margin : std::numeric_limits<double>::infinity();
        for (std::size_t i = 0; i < kCorners.size(); ++i) {
            view.corners_px[i] = {row.real(kCorners[i].first), row.real(kCorners[i].second)};
        }
        view.candidates = modules.list_of(row, "candidates");
        if (row.yes("used")) {
            record.modules[at(view.module)].frames.push_back(view.frame);
        }
        record.views.push_back(std::move(view));
    }
}

void read_strings(GDALDataset& dataset, const fs::path& file, SurveyRecord& record) {
    for (GpkgTableReader row(dataset, strings_schema(), file); row.next();) {
        StringResult result;
        result.string = static_cast<int>(record.strings.size());
        result.modules_assessed = static_cast<int>(row.integer("modules_assessed").value_or(0));
        result.findings = static_cast<int>(row.integer("findings").value_or(0));
        result.abnormality = class_of(row, "class");
        result.delta_t_1000 = KelvinDelta(row.real("delta_t_1000_k"));
        record.strings.push_back(result);
    }
}

void read_findings(GDALDataset& dataset, const fs::path& file, SurveyRecord& record) {
    const NameIndex frames = frames_by_name(record);
    const NameIndex modules = modules_by_name(record);
    NameIndex strings;
    for (std::size_t i = 0; i < record.layout.strings.size(); ++i) {
        strings.add(record.layout.strings[i].id, static_cast<int>(i));
    }
    for (GpkgTableReader row(dataset, findings_schema(), file); row.next();) {
        Finding finding;
        finding.id = row.text("finding");
        finding.module = row.text("module").empty() ? -1 : modules.of(row, "module");
        finding.string = row.text("string").empty() ? -1 : strings.of(row, "string");
        finding.candidates = modules.list_of(row, "candidates");
        finding.pattern = row.named("pattern", parse_pattern);
        finding.pattern_probability = row.real("pattern_probability");
        finding.pattern_second = row.named("pattern_second", parse_pattern_or_none);
        read_parts(row, finding);
        finding.abnormality = class_of(row, "class");
        finding.class_probability = row.real("class_probability");
        finding.delta_t = {KelvinDelta(row.real("delta_t_k")), standard_u(row.real("delta_t_u95_k"))};
        finding.delta_t_1000 = {KelvinDelta(row.real("delta_t_1000_k")), standard_u(row.real("delta_t_1000_u95_k"))};
        finding.exponent = row.real("exponent");
        finding.t_hot = Celsius(row.real("t_hot_c"));
        finding.t_reference = Celsius(row.real("t_reference_c"));
        finding.reference = row.text("reference");
        finding.time = row.time("time_utc").value_or(UtcTime{});
        finding.conditions = conditions_of(row, "condition_flags");
        finding.frames = frames.list_of(row, "frames");
        finding.flags = row.named("flags", parse_flags);
        finding.loss_w_low = row.real("loss_w_low");
        finding.loss_w_high = row.real("loss_w_high");
        finding.loss_rated_w_low = row.real("loss_rated_w_low");
        finding.loss_rated_w_high = row.real("loss_rated_w_high");
        finding.loss_kwh_year_low = row.real("loss_kwh_year_low");
        finding.loss_kwh_year_high = row.real("loss_kwh_year_high");
        finding.evidence = row.text("evidence");
        if (const ReviewEntry* last = last_review(record, finding.id)) {
            finding.verdict = last->after.verdict;
        }
        record.findings.push_back(std::move(finding));
    }
}

}  // namespace heatrow::detail
