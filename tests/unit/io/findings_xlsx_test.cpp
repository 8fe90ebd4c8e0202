// findings.xlsx as another program reads it: GDAL's XLSX driver.
#include "heatrow/io/findings_xlsx.hpp"

#include "heatrow/io/findings_csv.hpp"
#include "heatrow/io/modules_csv.hpp"
#include "heatrow/io/text_table.hpp"
#include "support/sample_record.hpp"
#include "support/temp_folder.hpp"

#include <catch2/catch.hpp>
#include <cpl_conv.h>
#include <ogrsf_frmts.h>

#include <charconv>
#include <fstream>
#include <map>
#include <sstream>

using namespace heatrow;

namespace {

using Row = std::map<std::string, std::string>;

std::string read(const std::filesystem::path& file) {
    std::ifstream stream(file, std::ios::binary);
    std::ostringstream text;
    text << stream.rdbuf();
    return text.str();
}

ReportModel model_of(const SurveyRecord& record) {
    ReportContext context;
    context.locate = [](const Eigen::Vector3d& point) {
        return GeographicPoint{-3.5 + point.x() * 1e-5, 40.0 + point.y() * 1e-5};
    };
    return make_report_model(record, context);
}

std::vector<Row> sheet_rows(const std::filesystem::path& file, const char* sheet) {
    GDALAllRegister();
    CPLSetThreadLocalConfigOption("OGR_XLSX_HEADERS", "FORCE");
    CPLSetThreadLocalConfigOption("OGR_XLSX_FIELD_TYPES", "STRING");
    const GDALDatasetUniquePtr dataset(GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR));
    REQUIRE(dataset != nullptr);
    OGRLayer* layer = dataset->GetLayerByName(sheet);
    REQUIRE(layer != nullptr);
    std::vector<Row> rows;
    for (const OGRFeatureUniquePtr& feature : layer) {
        Row row;
        for (int i = 0; i < feature->GetFieldCount(); ++i) {
            row[feature->GetFieldDefnRef(i)->GetNameRef()] = feature->GetFieldAsString(i);
        }
        rows.push_back(row);
    }
    return rows;
}

std::vector<Row> csv_rows(const testing::TempFolder& temp, const std::string& csv) {
    const TextTable table = read_text_table(temp.write("table.csv", csv));
    std::vector<Row> rows;
    for (const auto& line : table.rows) {
        Row row;
        for (std::size_t i = 0; i < table.header.cells.size(); ++i) {
            std::string value = line.cells[i];
            if (!value.empty() && value.front() == '\'') {
                value.erase(0, 1);
            }
            row[table.header.cells[i]] = value;
        }
        rows.push_back(row);
    }
    return rows;
}

bool is_number(const std::string& text, double& value) {
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    return error == std::errc{} && end == text.data() + text.size();
}

void check_equal(const std::vector<Row>& sheet, const std::vector<Row>& csv) {
    REQUIRE(sheet.size() == csv.size());
    for (std::size_t i = 0; i < csv.size(); ++i) {
        for (const auto& [column, value] : csv[i]) {
            CAPTURE(i, column);
            REQUIRE(sheet[i].contains(column));
            double wanted = 0.0;
            double held = 0.0;
            if (is_number(value, wanted) && is_number(sheet[i].at(column), held)) {
                CHECK(held == wanted);
            } else {
                CHECK(sheet[i].at(column) == value);
            }
        }
    }
}

}  // namespace

TEST_CASE("findings.xlsx: read back by another program, every value is that of the csv files", "[io]") {
    const testing::TempFolder temp;
    const SurveyRecord record = testing::sample_record();
    const ReportModel model = model_of(record);
    const auto file = temp.path() / "findings.xlsx";
    write_findings_xlsx(model, file);
    const std::vector<Row> findings = sheet_rows(file, "Findings");
    check_equal(findings, csv_rows(temp, findings_csv(model)));
    check_equal(sheet_rows(file, "Modules"), csv_rows(temp, modules_csv(model)));
    for (const char* entry : {"comment", "reviewer", "reviewed_utc"}) {
        CHECK(findings.front().contains(entry));
    }
    CHECK(sheet_rows(file, "Strings").size() == model.strings.size());
    CHECK(sheet_rows(file, "Strings").front().at("drawing") == "strings/" + model.strings.front().file_stem + ".svg");
    CHECK(sheet_rows(file, "Conditions").size() == record.frames.size());
    CHECK_FALSE(sheet_rows(file, "Equipment").empty());
    CHECK_FALSE(sheet_rows(file, "Coverage").empty());
}

TEST_CASE("findings.xlsx: the same model gives the same bytes", "[io]") {
    const testing::TempFolder temp;
    const SurveyRecord record = testing::sample_record();
    const ReportModel model = model_of(record);
    write_findings_xlsx(model, temp.path() / "a.xlsx");
    write_findings_xlsx(model, temp.path() / "b.xlsx");
    CHECK(read(temp.path() / "a.xlsx") == read(temp.path() / "b.xlsx"));
}

TEST_CASE("findings.xlsx: a survey without findings has one, a place that cannot be written is an error", "[io]") {
    const testing::TempFolder temp;
    SurveyRecord record = testing::sample_record({.strings = 1, .modules_per_string = 2, .hostile_ids = false});
    record.findings.clear();
    const ReportModel model = model_of(record);
    write_findings_xlsx(model, temp.path() / "none.xlsx");
    CHECK(std::filesystem::file_size(temp.path() / "none.xlsx") > 1000);
    CHECK_THROWS(write_findings_xlsx(model, temp.path() / "missing" / "a.xlsx"));
}
