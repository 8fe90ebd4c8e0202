#include "heatrow/io/csv_writer.hpp"
#include "heatrow/io/findings_csv.hpp"
#include "heatrow/io/modules_csv.hpp"
#include "support/sample_record.hpp"

#include <catch2/catch.hpp>

#include <sstream>
#include <string>
#include <vector>

using namespace heatrow;
using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;

namespace {

std::vector<std::string> lines_of(const std::string& csv) {
    std::vector<std::string> lines;
    std::istringstream stream(csv);
    for (std::string line; std::getline(stream, line);) {
        REQUIRE(line.back() == '\r');
        line.pop_back();
        lines.push_back(line);
    }
    return lines;
}

ReportModel model_of(const SurveyRecord& record) {
    ReportContext context;
    context.locate = [](const Eigen::Vector3d& point) {
        return GeographicPoint{-3.5 + point.x() * 1e-5, 40.0 + point.y() * 1e-5};
    };
    return make_report_model(record, context);
}

}  // namespace

TEST_CASE("csv output: quoting as of RFC 4180, no formulas", "[io]") {
    CsvWriter csv({"a", "b"});
    csv.text("plain").text("with, comma");
    csv.end_row();
    csv.text("say \"hi\"").text("two\nlines");
    csv.end_row();
    csv.text("=1+2").text("-SUM(A1)");
    csv.end_row();
    csv.text("'quoted").number(-1.5, 2);
    csv.end_row();
    csv.number(kNaN, 2).integer(-7);
    csv.end_row();
    CHECK(csv.str() ==
          "a,b\r\nplain,\"with, comma\"\r\n\"say "
          "\"\"hi\"\"\",\"two\nlines\"\r\n'=1+2,'-SUM(A1)\r\n''quoted,-1.50\r\n,-7\r\n");
    CHECK(join_names({"a", "b|c", "d\\"}) == "a|b\\|c|d\\\\");
}

TEST_CASE("csv output: the decimal-comma dialect", "[io]") {
    CsvWriter csv({"a", "b"}, CsvDialect::decimal_comma);
    csv.text("with, comma").number(-1.5, 2);
    csv.end_row();
    csv.text("semi;colon").integer(7);
    csv.end_row();
    csv.text("=1+2").number(kNaN, 1);
    csv.end_row();
    CHECK(csv.str() ==
          "\xEF\xBB\xBF"
          "a;b\r\nwith, comma;-1,50\r\n\"semi;colon\";7\r\n'=1+2;\r\n");
    const SurveyRecord record = testing::sample_record();
    const std::string table = findings_csv(model_of(record), CsvDialect::decimal_comma);
    CHECK_THAT(table,
               StartsWith("\xEF\xBB\xBF"
                          "finding;module;"));
    CHECK_THAT(table, Contains(";31,00;"));
    CHECK(modules_csv(model_of(record), CsvDialect::decimal_comma).size() > 100);
}

TEST_CASE("csv output: findings.csv has the columns of its format and one row a finding", "[io]") {
    const SurveyRecord record = testing::sample_record();
    const std::vector<std::string> lines = lines_of(findings_csv(model_of(record)));
    REQUIRE(lines.size() == record.findings.size() + 1);
    CHECK(lines[0] ==
          "finding,module,candidates,string,position,table,pattern,pattern_probability,pattern_second,substrings,cells,"
          "class,class_probability,delta_t_k,delta_t_u95_k,delta_t_1000_k,delta_t_1000_u95_k,exponent,t_hot_c,"
          "t_reference_c,reference,time_utc,irradiance_w_m2,wind_m_s,air_c,load_fraction,frames_used,frames,flags,"
          "loss_w_low,loss_w_high,loss_rated_w_low,loss_rated_w_high,loss_kwh_year_low,loss_kwh_year_high,verdict,work_"
          "status,comment,"
          "reviewer,reviewed_utc,found_pattern,found_class,found_delta_t_1000_k,longitude,latitude,evidence");
    CHECK_THAT(
        lines[1],
        StartsWith("F-1-3-hot_cell,S1-M3,,S1,3,T1,hot_cell,0.930,,,r4c4,3,0.970,31.00,1.18,36.82,1.57,1.00,77.20,"
                   "46.20,the like cells of the same module,2026-06-17T11:02:00Z,842.0,1.90,23.40,,5,"
                   "frame_100.tif|frame_101.tif|frame_102.tif|frame_103.tif|frame_104.tif,load_unknown,,,,,,,open,"));
    const std::string all = findings_csv(model_of(record));
    CHECK_THAT(all, Contains("\"<b>\"\"&,=cmd()'\""));
    CHECK_THAT(all, Contains(",S2-M6|S1-M7,"));
}

TEST_CASE("csv output: modules.csv has one row a module, unassessed ones without a class", "[io]") {
    const SurveyRecord record = testing::sample_record();
    const std::vector<std::string> lines = lines_of(modules_csv(model_of(record)));
    REQUIRE(lines.size() == record.modules.size() + 1);
    CHECK(lines[0] ==
          "module,string,table,assessed,assessed_reason,seen,frames_used,px_per_cell,view_angle_deg,t_module_c,"
          "t_module_u95_c,delta_t_1000_k,hottest_cell,hottest_cell_delta_t_1000_k,class,longitude,latitude,placement,"
          "cm_per_px,"
          "smallest_spot_cm,five_px_rule,three_cm_rule,spot_rule,cells_seen");
    CHECK_THAT(lines[7], StartsWith("S1-M7,S1,T1,no,not_seen,no,0,,,,,,,,,-3.49"));
    CHECK_THAT(lines[8], StartsWith("'=1+2,S1,T1,yes,,yes,5,5.40,24.0,"));
    CHECK_THAT(lines[19], Contains(",no,ambiguous,yes,") && Contains(",ambiguous"));
}
