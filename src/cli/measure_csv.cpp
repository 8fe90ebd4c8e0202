#include "heatrow/io/csv_writer.hpp"
#include "measure_report.hpp"

#include <array>
#include <map>
#include <string_view>
#include <variant>

namespace heatrow::cli {
namespace {

constexpr int kDecimals = 2;  // of a temperature

constexpr std::array<std::string_view, 24> kColumns{
    "kind",          "name",       "x_px",      "y_px",       "pixels",       "emissivity",
    "mean_c",        "mean_u95_k", "median_c",  "min_c",      "max_c",        "hot_3x3_c",
    "hot_3x3_u95_k", "hot_3x3_x",  "hot_3x3_y", "cold_3x3_c", "difference_k", "difference_u95_k",
    "reference_c",   "share",      "square_m",  "value",      "objection",    "flags"};

// One row by column name; what is not set stays empty.
class Row {
  public:
    Row& text(std::string_view column, std::string_view value) {
        cells_[column] = std::string(value);
        return *this;
    }
    Row& number(std::string_view column, double value, int decimals = kDecimals) {
        cells_[column] = Number{value, decimals};
        return *this;
    }
    Row& integer(std::string_view column, long long value) {
        cells_[column] = value;
        return *this;
    }
    void write(CsvWriter& csv) const {
        for (const std::string_view column : kColumns) {
            const auto found = cells_.find(column);
            if (found == cells_.end()) {
                csv.empty();
            } else if (const auto* text = std::get_if<std::string>(&found->second)) {
                csv.text(*text);
            } else if (const auto* number = std::get_if<Number>(&found->second)) {
                csv.number(number->value, number->decimals);
            } else {
                csv.integer(std::get<long long>(found->second));
            }
        }
        csv.end_row();
    }

  private:
    struct Number {
        double value;
        int decimals;
    };
    std::map<std::string_view, std::variant<std::string, Number, long long>> cells_;
};

Row area_row(std::string_view kind, const AreaResult& area) {
    const AreaFigures& f = area.figures;
    Row row;
    row.text("kind", kind).text("name", area.area.name).integer("pixels", f.pixels);
    row.number("emissivity", area.measured.conditions.emissivity, 3);
    row.number("mean_c", f.mean.value()).number("mean_u95_k", u95_of(area.mean.budget));
    row.number("median_c", f.median.value());
    row.number("min_c", f.coldest.value.value()).number("max_c", f.hottest.value.value());
    row.number("hot_3x3_c", f.hottest_3x3.value.value()).number("hot_3x3_u95_k", u95_of(area.hottest.budget));
    if (f.hottest_3x3.at.x >= 0) {
        row.integer("hot_3x3_x", f.hottest_3x3.at.x).integer("hot_3x3_y", f.hottest_3x3.at.y);
    }
    row.number("cold_3x3_c", f.coldest_3x3.value.value()).text("flags", area.flags.to_string());
    return row;
}

Row patch_row(const MeasuredPatch& measured) {
    const HotPatch& p = measured.patch;
    Row row;
    row.text("kind", p.objection ? "warm_patch" : "hot_patch");
    row.number("x_px", p.centre_px.x(), 1).number("y_px", p.centre_px.y(), 1);
    row.integer("pixels", static_cast<long long>(p.pixels.size())).number("median_c", p.median.value());
    row.number("difference_k", p.contrast.value()).number("difference_u95_k", u95_of(measured.contrast.budget));
    row.number("reference_c", p.ring_median.value());
    row.text("objection", p.objection ? to_string(*p.objection) : "");
    return row;
}

Row line_row(const MeasuredLine& measured) {
    const LineProfile& p = measured.profile;
    Row row;
    row.text("kind", "line").text("name", measured.line.name).number("mean_c", p.mean.value());
    row.number("min_c", p.coldest.value.value()).number("max_c", p.hottest.value.value());
    return row;
}

Row isotherm_row(const MeasuredIsotherm& measured, Celsius limit) {
    Row row;
    row.text("kind", "isotherm").text("name", measured.name).integer("pixels", measured.figures.above);
    row.number("reference_c", limit.value()).number("share", measured.figures.share, 4);
    row.number("square_m", measured.figures.square_m, 6);
    return row;
}

}  // namespace

std::string as_csv(const MeasureReport& report) {
    CsvWriter csv({kColumns.begin(), kColumns.end()});
    area_row("picture", report.picture).write(csv);
    for (const AreaResult& area : report.areas) {
        area_row("area", area).write(csv);
    }
    for (const MeasuredLine& line : report.lines) {
        line_row(line).write(csv);
    }
    for (const OutsideValue& value : report.values) {
        Row row;
        row.text("kind", value.is_probe ? "contact_probe" : "typed").text("name", value.name);
        row.number("mean_c", value.value.value.value()).number("mean_u95_k", value.value.u95()).write(csv);
    }
    for (const DifferenceResult& d : report.differences) {
        Row row;
        row.text("kind", "difference").text("name", d.from + "-" + d.to);
        row.number("difference_k", d.difference.value.value()).number("difference_u95_k", d.value().u95());
        row.text("flags", d.flags.to_string()).write(csv);
    }
    for (const MeasuredIsotherm& isotherm : report.isotherms) {
        isotherm_row(isotherm, *report.isotherm).write(csv);
    }
    if (report.patches) {
        for (const MeasuredPatch& measured : *report.patches) {
            patch_row(measured).write(csv);
        }
    }
    for (const AttachedValueName& name : kAttachedValues) {
        if (const auto& value = report.attached.*name.member) {
            Row row;
            row.text("kind", "recorded").text("name", name.key).number("value", *value, 3).write(csv);
        }
    }
    return csv.str();
}

std::string lines_as_csv(const MeasureReport& report) {
    CsvWriter csv({"line", "along_px", "along_m", "x_px", "y_px", "temperature_c"});
    for (const MeasuredLine& measured : report.lines) {
        for (const LinePoint& point : measured.profile.points) {
            csv.text(measured.line.name).number(point.along_px, 3);
            csv.number(point.along_px * report.footprint.value(), 5);
            csv.number(point.at_px.x(), 3).number(point.at_px.y(), 3).number(point.value.value(), kDecimals);
            csv.end_row();
        }
    }
    return csv.str();
}

}  // namespace heatrow::cli
