#include "compare_survey_set.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/io/result_remaker.hpp"
#include "heatrow/io/survey_gpkg_reader.hpp"

#include <algorithm>
#include <map>

namespace heatrow::cli {
namespace {

constexpr std::string_view kFailed = "cannot compare the surveys";

void require_different(const SurveyRecord& earlier, const SurveyRecord& later, const std::string& names) {
    const UtcTime time = survey_time(earlier);
    if (time == survey_time(later)) {
        throw Error(ErrorKind::usage,
                    kFailed,
                    names,
                    "both begin at " + to_iso8601(time) + ": they are the same survey",
                    "Give results of different surveys of the site");
    }
}

}  // namespace

SurveySet read_surveys(const std::vector<std::filesystem::path>& folders_or_files) {
    struct One {
        std::filesystem::path file;
        std::unique_ptr<SurveyRecord> record;
    };
    std::vector<One> all;
    for (const std::filesystem::path& given : folders_or_files) {
        std::filesystem::path file = record_file(given);
        auto record = std::make_unique<SurveyRecord>(read_survey_gpkg(file));
        if (std::none_of(record->frames.begin(), record->frames.end(), [](const FrameResult& f) { return f.scored; })) {
            throw Error(ErrorKind::input,
                        kFailed,
                        file.string(),
                        "no frame of it was scored",
                        "Leave it out, or analyse the survey with frames above the least irradiance");
        }
        all.push_back({std::move(file), std::move(record)});
    }
    const auto earlier = [](const One& a, const One& b) { return survey_time(*a.record) < survey_time(*b.record); };
    SurveySet set;
    set.reordered = !std::is_sorted(all.begin(), all.end(), earlier);
    std::stable_sort(all.begin(), all.end(), earlier);
    std::map<std::string, int> ids;
    for (const One& one : all) {
        ++ids[one.record->survey_id];
    }
    for (One& one : all) {
        if (ids.at(one.record->survey_id) > 1) {
            one.record->survey_id += " " + to_iso8601(survey_time(*one.record)).substr(0, 10);
        }
        set.names.push_back(one.record->survey_id + " (" + one.file.string() + ")");
        set.files.push_back(std::move(one.file));
        set.owned.push_back(std::move(one.record));
        set.records.push_back(set.owned.back().get());
    }
    for (std::size_t s = 1; s < set.records.size(); ++s) {
        require_different(*set.records[s - 1], *set.records[s], set.names[s - 1] + " and " + set.names[s]);
    }
    return set;
}

}  // namespace heatrow::cli
