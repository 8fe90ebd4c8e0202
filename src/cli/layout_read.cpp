#include "heatrow/core/error.hpp"
#include "heatrow/core/fixed_text.hpp"
#include "heatrow/core/nearest_word.hpp"
#include "heatrow/core/units.hpp"
#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/layout_import.hpp"
#include "heatrow/io/output_file.hpp"
#include "layout_check_output.hpp"
#include "layout_job.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <optional>

namespace heatrow::cli {
namespace {

[[noreturn]] void refuse(std::string_view option, const std::string& why, std::string_view remedy) {
    throw Error(ErrorKind::usage, "cannot read the drawing", option, why, remedy);
}

std::optional<double> as_number(std::string_view text) {
    double value = 0.0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    return error == std::errc() && end == text.data() + text.size() && std::isfinite(value) ? std::optional(value)
                                                                                            : std::nullopt;
}

std::optional<Eigen::Vector2d> as_point(std::string_view text) {
    const auto comma = text.find(',');
    if (comma == std::string_view::npos) {
        return std::nullopt;
    }
    const auto x = as_number(text.substr(0, comma));
    const auto y = as_number(text.substr(comma + 1));
    return x && y ? std::optional(Eigen::Vector2d(*x, *y)) : std::nullopt;
}

class LayoutReadJob : public Job {
  public:
    [[nodiscard]] std::string name() const override { return "read"; }
    [[nodiscard]] std::string summary() const override {
        return "A layout from a drawing: GeoJSON, GeoPackage, Shapefile, KML, DXF, or a CSV of corners or centres";
    }
    [[nodiscard]] std::string footer() const override {
        return "What a drawing does not say is given with --set; what it calls otherwise, with --field. Fields: "
               "module, type,\n"
               "string, position, table, combiner, inverter, input, tilt, azimuth, height, top; rows, columns of "
               "tables.\n"
               "Examples:\n"
               "  heatrow layout read modules.shp layout.geojson --field module=MOD_ID --field string=STR_NO "
               "--field position=POS --set type=generic-144-half-cut --set tilt=25 --set azimuth=180\n"
               "  heatrow layout read plan.dxf layout.geojson --layer PV-MODULES --labels PV-TEXT --units mm "
               "--fit 0,0=11.42130,48.10270 --fit 41200,0=11.42185,48.10272 --fit 41200,18000=11.42184,48.10288 "
               "--set type=generic-60-full --set tilt=30 --set azimuth=178\n"
               "  heatrow layout read tables.gpkg layout.geojson --tables 2x28 --field table=NAME --set "
               "type=generic-144-half-cut --set tilt=25 --set azimuth=180\n"
               "  heatrow layout read faces.kml layout.geojson --layer East --layer West --set East:azimuth=90 --set "
               "West:azimuth=270 --set tilt=20 --set type=generic-120-half-cut --field module=Name\n"
               "  heatrow layout read centres.csv layout.geojson --crs EPSG:25832";
    }
    void set_up(CLI::App& app) override {
        app.add_option("source", source_, "Drawing")->required();
        app.add_option("out", out_, "Layout to write, GeoJSON")->required();
        app.add_option("--layer", choice_.layers, "Layer with outlines of modules or tables, once for each")
            ->allow_extra_args(false);
        app.add_option("--labels",
                       labels_,
                       "Ids are the texts in or nearest to the outlines, of this layer; 'all' for all layers")
            ->allow_extra_args(false);
        app.add_option("--field", fields_, "FIELD=NAME: the drawing calls this field NAME")->allow_extra_args(false);
        app.add_option("--set", values_, "[LAYER:]FIELD=VALUE: where the drawing has no value")
            ->allow_extra_args(false);
        app.add_option("--crs",
                       options_.crs,
                       "Coordinate system of the drawing, or of the points it is fitted to, e.g. EPSG:25832");
        app.add_option("--units", units_, "Of the drawing, with --fit: m, cm, mm, ft, in, or metres per unit");
        app.add_option("--fit",
                       points_,
                       "X,Y=LONGITUDE,LATITUDE (or east,north of --crs): a point of the drawing and where it lies; two "
                       "or three")
            ->allow_extra_args(false);
        app.add_option("--tables", tables_, "ROWSxCOLUMNS: outlines are tables of so many modules, e.g. 2x28");
        app.add_option("--module-id", pattern_, "Of modules of tables: {table_id}, {tier}, {column}, {n}")
            ->capture_default_str();
        app.add_option("--start", start_, "Corner where tiers and columns count from")
            ->check(CLI::IsMember({"lower-left", "lower-right", "upper-left", "upper-right"}))
            ->capture_default_str();
        app.add_option("--module-types", types_, "Folder of the site's own module types");
        app.add_flag("--overwrite", overwrite_, "Replace that file");
        app.add_flag("-q,--quiet", quiet_, "Print nothing");
    }
    ExitCode run() override;

  private:
    void collect_fields();
    void collect_points();
    void collect_tables();
    void tell(const Drawing& drawing, const ImportedLayout& imported) const;

    std::filesystem::path source_;
    std::filesystem::path out_;
    DrawingChoice choice_;
    ImportOptions options_;
    std::optional<std::string> labels_;
    std::vector<std::string> fields_;
    std::vector<std::string> values_;
    std::vector<std::string> points_;
    std::optional<std::string> units_;
    std::optional<std::string> tables_;
    std::string pattern_ = "{table_id}-{tier:A}{column:02}";
    std::string start_ = "lower-left";
    std::optional<std::filesystem::path> types_;
    bool overwrite_ = false;
    bool quiet_ = false;
};

std::string known_field(std::string_view option, const std::string& given, const std::string& field) {
    const auto& known = import_fields();
    if (std::ranges::find(known, field) == known.end()) {
        const auto nearest = nearest_word(field, known);
        refuse(
            option,
            fmt::format("'{}': there is no field '{}'", given, field),
            nearest ? fmt::format("Did you mean '{}'?", *nearest) : fmt::format("Fields: {}", fmt::join(known, ", ")));
    }
    return field;
}

void LayoutReadJob::collect_fields() {
    for (const std::string& given : fields_) {
        const auto equals = given.find('=');
        if (equals == std::string::npos || equals + 1 == given.size()) {
            refuse("--field", fmt::format("'{}' has no name behind '='", given), "Write --field module=MOD_ID");
        }
        options_.fields[known_field("--field", given, given.substr(0, equals))] = given.substr(equals + 1);
    }
    for (const std::string& given : values_) {
        const auto equals = given.find('=');
        if (equals == std::string::npos) {
            refuse("--set",
                   fmt::format("'{}' has no value behind '='", given),
                   "Write --set tilt=25 or --set East:tilt=25");
        }
        const std::string key = given.substr(0, equals);
        const auto colon = key.rfind(':');
        auto& values = colon == std::string::npos ? options_.values : options_.layer_values[key.substr(0, colon)];
        values[known_field("--set", given, colon == std::string::npos ? key : key.substr(colon + 1))] =
            given.substr(equals + 1);
    }
}

void LayoutReadJob::collect_points() {
    for (const std::string& given : points_) {
        const auto equals = given.find('=');
        const auto drawn = as_point(std::string_view(given).substr(0, equals));
        const auto placed =
            equals == std::string::npos ? std::nullopt : as_point(std::string_view(given).substr(equals + 1));
        if (!drawn || !placed) {
            refuse("--fit",
                   fmt::format("'{}' is no pair of points", given),
                   "Write X,Y=LONGITUDE,LATITUDE, e.g. 41200,0=11.42185,48.10272");
        }
        options_.points.push_back({*drawn, *placed});
    }
    if (!units_) {
        return;
    }
    if (points_.empty()) {
        refuse("--units",
               "a drawing that is not fitted has the units of its coordinate system",
               "Add --fit, or leave --units out");
    }
    constexpr std::array<std::pair<std::string_view, double>, 5> kUnits{
        {{"m", 1.0}, {"cm", 0.01}, {"mm", 0.001}, {"ft", 0.3048}, {"in", 0.0254}}};
    const auto unit =
        std::ranges::find(kUnits, std::string_view(*units_), [](const auto& known) { return known.first; });
    options_.unit_m = unit != kUnits.end() ? std::optional(unit->second) : as_number(*units_);
    if (!options_.unit_m || *options_.unit_m <= 0.0) {
        refuse(
            "--units", fmt::format("'{}' is no unit of length", *units_), "Use m, cm, mm, ft, in, or metres per unit");
    }
}

void LayoutReadJob::collect_tables() {
    if (!tables_) {
        return;
    }
    // 0 for what is no count.
    const auto count_of = [](std::string_view text) {
        constexpr int kMost = 10000;
        int value = 0;
        const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
        return error == std::errc() && end == text.data() + text.size() && value <= kMost ? std::max(value, 0) : 0;
    };
    const std::string_view given = *tables_;
    const auto times = given.find('x');
    const int rows = count_of(given.substr(0, times));
    const int columns = times == std::string_view::npos ? 0 : count_of(given.substr(times + 1));
    if (rows == 0 || columns == 0) {
        refuse("--tables",
               fmt::format("'{}' is no count of rows and columns", *tables_),
               "Write 2x28: rows up the slope, columns along the row");
    }
    constexpr std::array<std::string_view, 4> kPlaces{"table_id", "tier", "column", "n"};
    const auto pattern = IdPattern::parse(pattern_, kPlaces);
    if (!pattern) {
        refuse("--module-id",
               fmt::format("\"{}\": {}", pattern_, pattern.error()),
               "See docs/formats/layout-description.md");
    }
    options_.tables = TableFilling{{columns, rows}, {start_.ends_with("right"), start_.starts_with("upper")}, *pattern};
}

void LayoutReadJob::tell(const Drawing& drawing, const ImportedLayout& imported) const {
    for (const std::string& line : drawing.left_out) {
        fmt::print(stderr, "{}\n", line);
    }
    if (imported.labels_left_over > 0) {
        fmt::print(stderr, "{} texts belong to no outline\n", imported.labels_left_over);
    }
    if (!imported.fit) {
        return;
    }
    const DrawingFit& fit = *imported.fit;
    // The drawing's y axis points up the paper; azimuths turn clockwise.
    fmt::print("fit       1 unit is {:.6g} m; up the paper is azimuth {} deg\n",
               fit.scale,
               fixed_text(in_degrees(wrap_full_turn(Radians(-fit.turn_rad))), 2));
    for (std::size_t i = 0; i < fit.residuals_m.size(); ++i) {
        fmt::print("          point {}  {} m off\n", i + 1, fixed_text(fit.residuals_m[i], 3));
    }
    if (fit.residuals_m.size() == 2) {
        fmt::print(stderr,
                   "Two points fit without contradiction beyond their distance: a third one would show a slip.\n");
    }
}

ExitCode LayoutReadJob::run() {
    require_free_file(out_, overwrite_);
    collect_fields();
    collect_points();
    collect_tables();
    options_.labels = labels_.has_value();
    if (labels_ && *labels_ != "all") {
        choice_.label_layers = {*labels_};
    }
    const ModuleTypeCatalogue types = find_module_types(types_);
    const Drawing drawing = read_drawing(source_, choice_);
    const ImportedLayout imported = import_layout(drawing, options_, types);
    if (!quiet_) {
        tell(drawing, imported);
    }
    publish_layout(imported.modules, imported.origin, types, {out_, overwrite_, quiet_});
    return ExitCode::done;
}

}  // namespace

std::unique_ptr<Job> make_layout_read() {
    return std::make_unique<LayoutReadJob>();
}

}  // namespace heatrow::cli
