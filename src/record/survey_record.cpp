#include "heatrow/record/survey_record.hpp"

#include <algorithm>
#include <set>
#include <string>

namespace heatrow {
namespace {

// First thing said wins; later checks then do nothing.
class Breach {
  public:
    // Notes `words` unless `holds` or something was noted before.
    void expect(bool holds, const std::string& words) {
        if (!holds && words_.empty()) {
            words_ = words;
        }
    }
    [[nodiscard]] bool found() const { return !words_.empty(); }
    [[nodiscard]] const std::string& words() const { return words_; }

  private:
    std::string words_;
};

bool in_range(int index, std::size_t size) {
    return index >= 0 && static_cast<std::size_t>(index) < size;
}

bool in_range_or_none(int index, std::size_t size) {
    return index == -1 || in_range(index, size);
}

bool is_probability(double value) {
    return value >= 0.0 && value <= 1.0;  // false for NaN
}

bool all_in_range(const std::vector<int>& indices, std::size_t size) {
    return std::all_of(indices.begin(), indices.end(), [size](int index) { return in_range(index, size); });
}

template <class Q>
bool is_known_with_uncertainty(const Uncertain<Q>& value) {
    return value.is_known() && value.u >= 0.0;
}

void check_layout(const Layout& layout, Breach& breach) {
    for (const Module& module : layout.modules) {
        const std::string who = "module " + module.id + " of the layout";
        breach.expect(!module.id.empty(), "a module of the layout has no id");
        breach.expect(in_range(module.type, layout.types.size()), who + " has no type");
        breach.expect(in_range_or_none(module.string, layout.strings.size()), who + " is in an unknown string");
        breach.expect(in_range_or_none(module.table, layout.tables.size()), who + " is on an unknown table");
    }
    for (const ModuleString& string : layout.strings) {
        breach.expect(all_in_range(string.modules, layout.modules.size()),
                      "string " + string.id + " holds an unknown module");
    }
}

void check_frames(const SurveyRecord& record, Breach& breach) {
    std::set<std::string> names;
    for (std::size_t i = 0; i < record.frames.size(); ++i) {
        const FrameResult& frame = record.frames[i];
        const std::string who = "frame " + frame.prior.name;
        breach.expect(frame.prior.frame == static_cast<int>(i), who + " is out of order");
        breach.expect(names.insert(frame.prior.name).second, who + " is there twice");
        breach.expect(!(frame.scored && frame.rejection), who + " was scored although it was left out");
        breach.expect(frame.footprint_in_site.empty() || frame.footprint_in_site.size() == 4,
                      who + " has a footprint without four corners");
    }
}

void check_views(const SurveyRecord& record, Breach& breach) {
    const PlacedView* before = nullptr;
    for (const PlacedView& view : record.views) {
        breach.expect(in_range(view.frame, record.frames.size()) && in_range(view.module, record.layout.modules.size()),
                      "a view names an unknown frame or module");
        if (breach.found()) {
            return;
        }
        breach.expect(before == nullptr || before->frame < view.frame ||
                          (before->frame == view.frame && before->module < view.module),
                      "views are not in the order of frames and modules");
        breach.expect(
            !record.frames[static_cast<std::size_t>(view.frame)].rejection,
            "frame " + record.frames[static_cast<std::size_t>(view.frame)].prior.name + " was left out but has views");
        before = &view;
    }
}

void check_assessed(const ModuleResult& result, const std::string& who, Breach& breach) {
    breach.expect(result.assessed_reason.empty(), who + " is assessed but has a reason why not");
    breach.expect(result.placement == Placement::placed, who + " is assessed but not placed");
    breach.expect(!result.frames.empty(), who + " is assessed without a frame");
    breach.expect(!result.cells.empty(), who + " is assessed without cells");
    breach.expect(is_known_with_uncertainty(result.temperature), who + " is assessed without a temperature");
}

void check_modules(const SurveyRecord& record, Breach& breach) {
    const Layout& layout = record.layout;
    breach.expect(record.modules.size() == layout.modules.size(), "there is not one result per module");
    for (std::size_t i = 0; i < record.modules.size() && !breach.found(); ++i) {
        const ModuleResult& result = record.modules[i];
        const Module& module = layout.modules[i];
        const std::string who = "module " + module.id;
        const int cells = layout.type_of(module).cell_count();
        breach.expect(result.module == static_cast<int>(i), who + " has the result of another module");
        breach.expect(all_in_range(result.frames, record.frames.size()), who + " names an unknown frame");
        breach.expect(result.cells.empty() || result.cells.size() == static_cast<std::size_t>(cells),
                      who + " has not the cells of its type");
        breach.expect(result.hottest_cell == -1 || in_range(result.hottest_cell, static_cast<std::size_t>(cells)),
                      who + " has a hottest cell outside its type");
        if (result.assessed) {
            check_assessed(result, who, breach);
        } else {
            breach.expect(!result.assessed_reason.empty(), who + " is not assessed without a reason");
            breach.expect(result.abnormality == AbnormalityClass::none, who + " has a class but was not assessed");
        }
        breach.expect(result.placement != Placement::not_seen || (result.frames.empty() && result.cells.empty()),
                      who + " was not seen but has frames or cells");
    }
}

void check_strings(const SurveyRecord& record, Breach& breach) {
    breach.expect(record.strings.size() == record.layout.strings.size(), "there is not one result per string");
    for (std::size_t i = 0; i < record.strings.size() && !breach.found(); ++i) {
        const StringResult& result = record.strings[i];
        const ModuleString& string = record.layout.strings[i];
        breach.expect(result.string == static_cast<int>(i), "string " + string.id + " has the result of another one");
        const auto assessed = std::count_if(string.modules.begin(), string.modules.end(), [&](int module) {
            return record.modules[static_cast<std::size_t>(module)].assessed;
        });
        breach.expect(result.modules_assessed == assessed,
                      "string " + string.id + " counts other assessed modules than it has");
    }
}

// Patterns that are told by geometry or electrical data, not by a difference.
bool promises_difference(Pattern pattern) {
    return pattern != Pattern::string_off && pattern != Pattern::module_missing && pattern != Pattern::module_replaced;
}

void check_place(const SurveyRecord& record, const Finding& finding, Breach& breach) {
    const Layout& layout = record.layout;
    const std::string who = "finding " + finding.id;
    breach.expect(finding.module != -1 || finding.string != -1, who + " is on nothing");
    breach.expect(in_range_or_none(finding.module, layout.modules.size()) &&
                      in_range_or_none(finding.string, layout.strings.size()) &&
                      all_in_range(finding.candidates, layout.modules.size()),
                  who + " is on an unknown module or string");
    if (breach.found() || finding.module == -1) {
        return;
    }
    const Module& module = layout.modules[static_cast<std::size_t>(finding.module)];
    const ModuleType& type = layout.type_of(module);
    breach.expect(finding.string == module.string, who + " is in another string than its module");
    for (const CellIndex cell : finding.cells) {
        breach.expect(cell.row >= 0 && cell.row < type.rows && cell.column >= 0 && cell.column < type.columns,
                      who + " is on a cell outside its module");
    }
    for (const int substring : finding.substrings) {
        breach.expect(substring >= 1 && substring <= type.substring_count(), who + " is on an unknown substring");
    }
    const ModuleResult& result = record.modules[static_cast<std::size_t>(finding.module)];
    breach.expect(result.placement != Placement::not_seen, who + " is on a module that was not seen");
    if (result.assessed) {
        breach.expect(result.abnormality >= finding.abnormality || finding.verdict == Verdict::rejected,
                      "module " + module.id + " has a lower class than its finding " + finding.id);
    } else {
        // What is seen of an ambiguous, partly shaded, partly seen or smeared module, or inside one without like
        // neighbours, may be a finding, although the whole cannot be called healthy.
        const bool partly_seen = result.placement == Placement::ambiguous || result.assessed_reason == "shaded" ||
                                 result.assessed_reason == "seen_in_part" || result.assessed_reason == "smeared" ||
                                 result.assessed_reason == "no_reference";
        breach.expect(finding.abnormality == AbnormalityClass::none || partly_seen,
                      who + " has a class on a module that was not assessed");
    }
}

void check_findings(const SurveyRecord& record, Breach& breach) {
    std::set<std::string> ids;
    const Finding* before = nullptr;
    for (const Finding& finding : record.findings) {
        const std::string who = "finding " + finding.id;
        breach.expect(!finding.id.empty(), "a finding has no id");
        breach.expect(ids.insert(finding.id).second, who + " is there twice");
        check_place(record, finding, breach);
        breach.expect(is_probability(finding.pattern_probability), who + " has no pattern probability");
        breach.expect(is_probability(finding.class_probability), who + " has no class probability");
        breach.expect(!promises_difference(finding.pattern) || is_known_with_uncertainty(finding.delta_t),
                      who + " has no difference");
        breach.expect(!finding.delta_t_1000.is_known() || finding.delta_t_1000.u >= 0.0,
                      who + " has a scaled difference without an uncertainty");
        breach.expect(all_in_range(finding.frames, record.frames.size()), who + " names an unknown frame");
        breach.expect(!finding.evidence.empty(), who + " has no evidence");
        const ReviewEntry* last = last_review(record, finding.id);
        breach.expect(finding.verdict == (last == nullptr ? Verdict::open : last->after.verdict),
                      who + " has another verdict than its review");
        breach.expect(before == nullptr || before->abnormality >= finding.abnormality,
                      "findings are not in the order of their classes");
        before = &finding;
    }
}

void check_pictures(const SurveyRecord& record, Breach& breach) {
    std::set<std::string> ids;
    for (const Finding& finding : record.findings) {
        ids.insert(finding.id);
    }
    for (const FindingPicture& picture : record.pictures) {
        breach.expect(ids.contains(picture.finding) && in_range(picture.frame, record.frames.size()),
                      "picture " + picture.file + " shows an unknown finding or frame");
    }
    for (const VisiblePicture& picture : record.visible_pictures) {
        breach.expect(
            in_range(picture.finding, record.findings.size()) && in_range(picture.partner, record.frames.size()),
            "visible frame " + picture.frame + " shows an unknown finding or frame");
    }
}

}  // namespace

const ReviewEntry* last_review(const SurveyRecord& record, std::string_view finding) {
    const auto last = std::find_if(record.review_log.rbegin(),
                                   record.review_log.rend(),
                                   [finding](const ReviewEntry& entry) { return entry.finding == finding; });
    return last == record.review_log.rend() ? nullptr : &*last;
}

WorkStatus work_status_of(const SurveyRecord& record, std::string_view finding) {
    const ReviewEntry* last = last_review(record, finding);
    return last == nullptr ? WorkStatus::open : last->after.work;
}

Pattern pattern_as_found(const SurveyRecord& record, const Finding& finding) {
    const auto found = record.as_found.find(finding.id);
    return found == record.as_found.end() ? finding.pattern : found->second.pattern;
}

std::string first_breach(const SurveyRecord& record) {
    Breach breach;
    breach.expect(!record.survey_id.empty(), "the survey has no id");
    check_layout(record.layout, breach);
    for (const auto check : {check_frames, check_views, check_modules, check_strings, check_findings, check_pictures}) {
        if (!breach.found()) {
            check(record, breach);
        }
    }
    return breach.words();
}

}  // namespace heatrow
