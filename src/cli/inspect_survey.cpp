#include "inspect_survey.hpp"

#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/frame_set.hpp"
#include "heatrow/io/layout_reader.hpp"
#include "heatrow/io/site_conditions.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <algorithm>

namespace heatrow::cli {
namespace {

using Json = nlohmann::ordered_json;

struct ReadingSpan {
    std::size_t readings = 0;
    UtcTime first = UtcTime::max();
    UtcTime last = UtcTime::min();
};

ReadingSpan span_of(const StringReadings& strings) {
    ReadingSpan span;
    for (const auto& [id, readings] : strings) {
        span.readings += readings.size();
        for (const StringReading& reading : readings) {
            span.first = std::min(span.first, reading.time);
            span.last = std::max(span.last, reading.time);
        }
    }
    return span;
}

std::string electrical_as_text(const ElectricalLog& log) {
    const ReadingSpan span = span_of(log.strings);
    std::string text = fmt::format("electrical log {}\n  strings            {} with {} readings in {} rows\n",
                                   log.name,
                                   log.strings.size(),
                                   span.readings,
                                   log.rows_read);
    if (span.readings > 0) {
        text += fmt::format("  span (UTC)         {} to {}\n", to_iso8601(span.first), to_iso8601(span.last));
    }
    return text + findings_in_short(log.findings);
}

Json electrical_as_json(const ElectricalLog& log) {
    Json json = {{"log", log.name}, {"rows_read", log.rows_read}};
    json["strings"] = Json::object();
    for (const auto& [id, readings] : log.strings) {
        json["strings"][id] = readings.size();
    }
    json["findings"] = Json::array();
    for (const LogFinding& finding : log.findings) {
        json["findings"].push_back({{"kind", finding.kind}, {"count", finding.count}, {"text", finding.text}});
    }
    return json;
}

}  // namespace

SurveyLogs read_survey_logs(const SurveySettings& settings) {
    const Layout layout = read_layout(settings.site.layout,
                                      find_module_types(settings.site.module_types),
                                      settings.site.origin,
                                      settings.site.elevation);
    SiteConditions site = read_site_conditions(settings.conditions, layout);
    const PlaneOrientation sensor = site.log.series.logger().sensor_plane.value_or(site.planes.front().plane);
    SurveyLogs logs{against_sun(std::move(site.log), place_of(layout.origin), sensor), std::nullopt, {}};
    if (settings.electrical) {
        logs.electrical = read_survey_electrical(settings, layout);
    }
    if (const auto& visible = settings.visible_frames) {
        for (const FrameFile& file : list_frames(visible->folder, visible->files)) {
            logs.visible_frames.push_back(file.name);
        }
    }
    return logs;
}

std::string logs_as_text(const SurveyLogs& logs) {
    std::string text = log_in_short(logs.conditions);
    text += logs.electrical ? electrical_as_text(*logs.electrical) : std::string();
    if (!logs.visible_frames.empty()) {
        text += fmt::format("visible-light frames\n  files              {}, paired with thermal frames by time\n",
                            logs.visible_frames.size());
    }
    return text;
}

std::string with_logs_as_json(const std::string& frames_json, const SurveyLogs& logs) {
    Json json = Json::parse(frames_json);
    json["conditions"] = Json::parse(log_as_json(logs.conditions));
    json["electrical"] = logs.electrical ? electrical_as_json(*logs.electrical) : Json();
    if (!logs.visible_frames.empty()) {
        json["visible_frames"] = logs.visible_frames;
    }
    return json.dump(2, ' ', false, Json::error_handler_t::replace);
}

}  // namespace heatrow::cli
