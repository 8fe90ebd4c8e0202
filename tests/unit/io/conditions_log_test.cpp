#include "heatrow/io/conditions_log.hpp"

#include "support/check_error.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

using namespace heatrow;
using Catch::Contains;
using heatrow::testing::message_of;

namespace {

Clock zone(const std::string& name) {
    Clock clock;
    clock.scale = Clock::Zone{name};
    return clock;
}

ConditionsLog parse(const std::string& bytes, const Clock& clock = {}, const ConditionsLogOptions& options = {}) {
    return parse_conditions_log(bytes, "log.csv", clock, options);
}

const LogFinding* find(const ConditionsLog& log, const std::string& kind) {
    const auto found =
        std::find_if(log.findings.begin(), log.findings.end(), [&](const LogFinding& f) { return f.kind == kind; });
    return found == log.findings.end() ? nullptr : &*found;
}

std::vector<std::string> times_of(const ConditionsLog& log) {
    std::vector<std::string> times;
    for (const ConditionsRow& row : log.series.rows()) {
        times.push_back(to_iso8601(row.time));
    }
    return times;
}

}  // namespace

TEST_CASE("conditions log: the plain form", "[io]") {
    const ConditionsLog log = parse(
        "time,poa_global,wind_speed,temp_air,temp_module,relative_humidity,cloud_okta,load_fraction,note\n"
        "2026-06-17T11:00:00,812.4,1.8,24.1,47.9,41,1,0.97,x\n"
        "2026-06-17T11:01:00,815.0,,24.2,48.2,NaN,-9999,0.98,y\n");
    REQUIRE(log.series.rows().size() == 2);
    const ConditionsRow& row = log.series.rows()[0];
    CHECK(row.poa.value() == 812.4);
    CHECK(row.wind.value() == 1.8);
    CHECK(row.air.value() == 24.1);
    CHECK(row.module.value() == 47.9);
    CHECK(row.relative_humidity_percent == 41.0);
    CHECK(row.cloud_okta == 1.0);
    CHECK(row.load_fraction == 0.97);
    const ConditionsRow& gaps = log.series.rows()[1];
    CHECK_FALSE(gaps.wind.is_known());
    CHECK(std::isnan(gaps.relative_humidity_percent));
    CHECK(std::isnan(gaps.cloud_okta));
    CHECK(log.ignored_columns == std::vector<std::string>{"note"});
    CHECK(log.findings.empty());
    CHECK(log.columns.front().values == 2);
}

TEST_CASE("conditions log: units in heads become the own units", "[io]") {
    ConditionsLogOptions options;
    options.columns = {{"poa_global", "G"}, {"wind_speed", "v (km/h)"}, {"temp_air", "T"}, {"load_fraction", "load"}};
    const ConditionsLog log =
        parse("time,G [kW/m\u00B2],v (km/h),T (\u00B0F),load (%)\n2026-06-17 11:00:00,0.8,36,50,95\n", {}, options);
    const ConditionsRow& row = log.series.rows().at(0);
    CHECK(row.poa.value() == Approx(800.0));
    CHECK(row.wind.value() == Approx(10.0));
    CHECK(row.air.value() == Approx(10.0));
    CHECK(row.load_fraction == Approx(0.95));
    options.units = {{"wind_speed", "mph"}};
    const ConditionsLog miles =
        parse("time,G [kW/m2],v (km/h),T (K),load\n2026-06-17 11:00:00,0.8,36,283.15,0.95\n", {}, options);
    CHECK(miles.series.rows().at(0).wind.value() == Approx(36 * 0.44704));
    CHECK(miles.series.rows().at(0).air.value() == Approx(10.0));
}

TEST_CASE("conditions log: labels move means to the middle of their interval", "[io]") {
    const std::string text =
        "time,poa_global\n2026-06-17T11:00:00,800\n2026-06-17T11:10:00,810\n2026-06-17T11:20:00,820\n";
    struct Case {
        IntervalLabel label;
        std::string first;
    };
    for (const Case& c : {Case{IntervalLabel::sample, "2026-06-17T11:00:00Z"},
                          Case{IntervalLabel::start, "2026-06-17T11:05:00Z"},
                          Case{IntervalLabel::middle, "2026-06-17T11:00:00Z"},
                          Case{IntervalLabel::end, "2026-06-17T10:55:00Z"}}) {
        ConditionsLogOptions options;
        options.label = c.label;
        const ConditionsLog log = parse(text, {}, options);
        CHECK(times_of(log).front() == c.first);
        CHECK(log.series.logger().interval ==
              (c.label == IntervalLabel::sample ? std::chrono::minutes(0) : std::chrono::minutes(10)));
    }
    ConditionsLogOptions options;
    options.label = IntervalLabel::end;
    options.interval = std::chrono::minutes(1);
    CHECK(times_of(parse(text, {}, options)).front() == "2026-06-17T10:59:30Z");
}

TEST_CASE("conditions log: a TOA5 head that says Avg is taken as stamped at the end, and that is said", "[io]") {
    const std::string text =
        "\"TOA5\",\"S\",\"CR\",\"1\",\"os\",\"p\",\"1\",\"T\"\n\"TIMESTAMP\",\"RECORD\",\"poa_global\"\n\"TS\",\"RN\","
        "\"W/m^2\"\n"
        "\"\",\"\",\"Avg\"\n\"2026-06-17 11:00:00\",1,800\n\"2026-06-17 11:01:00\",2,\"NAN\"\n\"2026-06-17 "
        "11:02:00\",3,802\n";
    const ConditionsLog log = parse(text);
    CHECK(log.is_toa5);
    CHECK(log.label == IntervalLabel::end);
    REQUIRE(find(log, "interval_label_from_head") != nullptr);
    CHECK(times_of(log).front() == "2026-06-17T10:59:30Z");
    CHECK(log.columns.front().values == 2);
    ConditionsLogOptions options;
    options.label = IntervalLabel::sample;
    const ConditionsLog declared = parse(text, {}, options);
    CHECK(find(declared, "interval_label_from_head") == nullptr);
    CHECK(times_of(declared).front() == "2026-06-17T11:00:00Z");
}

TEST_CASE("conditions log: the order of dates is found, declared or demanded", "[io]") {
    const auto log_of = [](const std::string& a, const std::string& b, const std::string& c) {
        return "time,poa_global\n" + a + " 11:00,800\n" + b + " 11:00,801\n" + c + " 11:00,802\n";
    };
    CHECK(times_of(parse(log_of("16/6/2026", "17/6/2026", "18/6/2026"))).back() == "2026-06-18T11:00:00Z");
    CHECK(times_of(parse(log_of("6/16/2026", "6/17/2026", "6/18/2026"))).back() == "2026-06-18T11:00:00Z");
    const ConditionsLog followed = parse(log_of("1/2/2026", "1/3/2026", "1/4/2026"));
    CHECK(times_of(followed).back() == "2026-01-04T11:00:00Z");
    CHECK_THAT(followed.date_order, Contains("month/day/year") && Contains("jumps"));
    const std::string doubtful = "time,poa_global\n3/4/2026 11:00,800\n3/4/2026 11:01,801\n";
    CHECK_THAT(message_of([&] { parse(doubtful); }),
               Contains("log.csv, line 2") && Contains("3/4/2026 11:00") && Contains("date_order"));
    ConditionsLogOptions options;
    options.date_order = DateOrder::day_first;
    CHECK(times_of(parse(doubtful, {}, options)).front() == "2026-04-03T11:00:00Z");
    options.date_order = DateOrder::month_first;
    CHECK(times_of(parse(doubtful, {}, options)).front() == "2026-03-04T11:00:00Z");
    CHECK(times_of(parse("time,poa_global\n3.4.2026 11:00,800\n")).front() == "2026-04-03T11:00:00Z");
    CHECK(times_of(parse("time,poa_global\n2026-06-17 24:00,8\n")).front() == "2026-06-18T00:00:00Z");
}

TEST_CASE("conditions log: the end of daylight saving in a zone leaves the doubtful hour out, and no other", "[io]") {
    std::string text = "time,poa_global\n";
    for (const char* time : {"01:30", "02:00", "02:30", "02:00", "02:30", "03:00", "12:00"}) {
        text += std::string("2026-10-25 ") + time + ",5\n";
    }
    const ConditionsLog log = parse(text, zone("Europe/Madrid"));
    CHECK(times_of(log) ==
          std::vector<std::string>{"2026-10-24T23:30:00Z", "2026-10-25T02:00:00Z", "2026-10-25T11:00:00Z"});
    const LogFinding* finding = find(log, "ambiguous_time");
    REQUIRE(finding != nullptr);
    CHECK(finding->count == 4);
    CHECK_THAT(finding->text, Contains("lines 3, 4, 5, 6") && Contains("Europe/Madrid"));
}

TEST_CASE("conditions log: an hour written twice contradicts a fixed offset", "[io]") {
    std::string text = "time,poa_global\n";
    int value = 0;
    for (const char* time : {"01:30", "02:00", "02:30", "02:00", "02:30", "03:00"}) {
        text += std::string("2026-10-25 ") + time + "," + std::to_string(++value) + "\n";
    }
    CHECK_THAT(message_of([&] { parse(text); }),
               Contains("log.csv, line 5, field time") && Contains("2026-10-25 02:00") && Contains("daylight saving") &&
                   Contains("Declare the zone"));
}

TEST_CASE("conditions log: copies, contradictions and disorder are counted and named", "[io]") {
    const ConditionsLog log = parse(
        "time,poa_global\n2026-06-17 11:00,800\n2026-06-17 11:02,802\n2026-06-17 11:01,801\n2026-06-17 11:01,801\n"
        "2026-06-17 11:03,803\n2026-06-17 11:03,903\n2026-06-17 11:04,804\n");
    CHECK(times_of(log) ==
          std::vector<std::string>{
              "2026-06-17T11:00:00Z", "2026-06-17T11:01:00Z", "2026-06-17T11:02:00Z", "2026-06-17T11:04:00Z"});
    REQUIRE(find(log, "out_of_order") != nullptr);
    CHECK_THAT(find(log, "out_of_order")->text, Contains("line 4"));
    REQUIRE(find(log, "duplicate_row") != nullptr);
    CHECK_THAT(find(log, "duplicate_row")->text, Contains("line 5"));
    REQUIRE(find(log, "conflicting_rows") != nullptr);
    CHECK_THAT(find(log, "conflicting_rows")->text, Contains("lines 6, 7"));
    CHECK(log.rows_read == 7);
}

TEST_CASE("conditions log: other values and a cut last row are counted and named", "[io]") {
    ConditionsLogOptions options;
    options.missing = {"ERR"};
    const ConditionsLog log = parse(
        "time,poa_global,temp_air\n2026-06-17 11:00,800,ERR\n2026-06-17 11:01,8011,20\n2026-06-17 11:02,802,21\n"
        "2026-06-17 11:03,80",
        {},
        options);
    REQUIRE(find(log, "implausible_value") != nullptr);
    CHECK_THAT(find(log, "implausible_value")->text, Contains("poa_global") && Contains("line 3") && Contains("8011"));
    REQUIRE(find(log, "truncated_row") != nullptr);
    CHECK(log.series.rows().size() == 3);
    CHECK_FALSE(log.series.rows()[0].air.is_known());
    CHECK_FALSE(log.series.rows()[1].poa.is_known());
}

TEST_CASE("conditions log: each malformed log is refused with file, line, field, value and remedy", "[io]") {
    struct Case {
        std::string what;
        std::string text;
        std::vector<std::string> said;
    };
    const std::string head = "time,poa_global,temp_air\n";
    const std::vector<Case> cases{
        {"no number",
         head + "2026-06-17 11:00,8x0,20\n",
         {"line 2", "field poa_global", "'8x0'", "leave the field empty"}},
        {"no time",
         head + "2026-06-17 11:00,800,20\nyesterday,800,20\n",
         {"line 3", "field time", "'yesterday'", "Write times like"}},
        {"impossible date",
         head + "2026-06-17 11:00,800,20\n2026-06-31 11:00,800,20\n",
         {"line 3", "field time", "'2026-06-31 11:00'"}},
        {"no time of day", "time,poa_global\n2026-06-17,800\n", {"line 1", "no row holds a date with a time of day"}},
        {"no heads",
         "2026-06-17 11:00,800,20\n2026-06-17 11:01,800,20\n",
         {"line 1", "no row of column names", "header"}},
        {"no time column",
         "when,poa_global\n2026-06-17 11:00,800\n",
         {"line 1", "'time'", "'when', 'poa_global'", "columns = { time"}},
        {"no irradiance",
         "time,sun\n2026-06-17 11:00,800\n",
         {"line 1", "'poa_global' or 'ghi'", "'time', 'sun'", "columns = { poa_global"}},
        {"two columns of one name",
         "time,poa_global,poa_global\n2026-06-17 11:00,800,801\n",
         {"line 1", "'poa_global'", "name of its own"}},
        {"unknown unit",
         "time,poa_global (lux)\n2026-06-17 11:00,800\n",
         {"line 1", "field poa_global (lux)", "'lux'", "W/m2, kW/m2"}},
        {"too many fields",
         head + "2026-06-17 11:00,800,5,20\n2026-06-17 11:01,800,20\n2026-06-17 11:02,800,20\n",
         {"line 2", "4 fields", "name 3", "semicolon"}},
        {"too few fields",
         head + "2026-06-17 11:00,800\n2026-06-17 11:01,800,20\n2026-06-17 11:02,800,20\n",
         {"line 2", "2 fields", "name 3"}},
        {"mixed decimal marks",
         "time;poa_global;temp_air\n2026-06-17 11:00;800,5;20.5\n",
         {"line 2", "'800,5'", "20.5", "one decimal mark"}},
        {"wrong unit throughout",
         head + "2026-06-17 11:00,800,297\n2026-06-17 11:01,800,297\n",
         {"line 2", "field temp_air", "'297'", "-60 to 60 degC", "units"}},
        {"nothing recorded",
         head + "2026-06-17 11:00,NAN,20\n2026-06-17 11:01,,20\n",
         {"field poa_global", "no row holds a value"}},
        {"open quote", head + "2026-06-17 11:00,\"800,20\n", {"line 2", "never closed"}},
        {"empty", "", {"empty"}},
    };
    for (const Case& c : cases) {
        INFO(c.what);
        const std::string message = message_of([&] { parse(c.text); });
        CHECK_THAT(message, Contains("log.csv"));
        for (const std::string& part : c.said) {
            CHECK_THAT(message, Contains(part));
        }
    }
}

TEST_CASE("conditions log: local times that contradict the clock are refused", "[io]") {
    const std::string spring = "time,poa_global\n2026-03-29 01:30,0\n2026-03-29 02:30,0\n2026-03-29 12:30,800\n";
    CHECK_THAT(message_of([&] { parse(spring, zone("Europe/Madrid")); }),
               Contains("log.csv, line 3, field time") && Contains("does not exist") && Contains("+01:00"));
    Clock gps;
    gps.scale = Clock::GpsTime{};
    CHECK_THAT(message_of([&] { parse("time,poa_global\n2026-03-29T12:30:00Z,800\n", gps); }), Contains("GPS time"));
    CHECK_THAT(message_of([&] { parse(spring, zone("Madrid")); }), Contains("usage: ") && Contains("'Madrid'"));
}

TEST_CASE("conditions log: settings that name nothing are refused", "[io]") {
    ConditionsLogOptions wrong_quantity;
    wrong_quantity.columns = {{"irradiance", "G"}};
    CHECK_THAT(message_of([&] { parse("time,G\n2026-06-17 11:00,800\n", {}, wrong_quantity); }),
               Contains("usage: ") && Contains("'irradiance'") && Contains("poa_global"));
    ConditionsLogOptions wrong_head;
    wrong_head.columns = {{"temp_air", "Air"}};
    CHECK_THAT(message_of([&] { parse("time,poa_global\n2026-06-17 11:00,800\n", {}, wrong_head); }),
               Contains("line 1") && Contains("'Air'") && Contains("'time', 'poa_global'"));
}
