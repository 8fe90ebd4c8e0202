#include "survey_gpkg_names.hpp"

#include "heatrow/io/csv_writer.hpp"
#include "survey_gpkg_schema.hpp"

namespace heatrow::detail {
namespace {

// The enumerator from `first` to `last` that has this name.
template <class E>
std::optional<E> enumerator(std::string_view name, E first, E last) {
    for (int i = static_cast<int>(first); i <= static_cast<int>(last); ++i) {
        if (to_string(static_cast<E>(i)) == name) {
            return static_cast<E>(i);
        }
    }
    return std::nullopt;
}

}  // namespace

int NameIndex::find(const GpkgTableReader& row, const char* column, const std::string& name) const {
    const auto found = index_of_.find(name);
    if (found == index_of_.end()) {
        row.fail(column, "\"" + name + "\" is not in the file");
    }
    return found->second;
}

int NameIndex::of(const GpkgTableReader& row, const char* column) const {
    return find(row, column, row.text(column));
}

std::vector<int> NameIndex::list_of(const GpkgTableReader& row, const char* column) const {
    std::vector<int> indices;
    for (const std::string& name : split_names(row.text(column))) {
        indices.push_back(find(row, column, name));
    }
    return indices;
}

NameIndex frames_by_name(const SurveyRecord& record) {
    NameIndex index;
    for (const FrameResult& frame : record.frames) {
        index.add(frame.prior.name, frame.prior.frame);
    }
    return index;
}

NameIndex modules_by_name(const SurveyRecord& record) {
    NameIndex index;
    for (std::size_t i = 0; i < record.layout.modules.size(); ++i) {
        index.add(record.layout.modules[i].id, static_cast<int>(i));
    }
    return index;
}

std::optional<ControlResult::Kind> parse_control_kind(std::string_view name) {
    return enumerator(name, ControlResult::Kind::known_pixel, ControlResult::Kind::module_corner);
}

std::optional<ControlResult::Use> parse_control_use(std::string_view name) {
    return enumerator(name, ControlResult::Use::used, ControlResult::Use::refused);
}

std::optional<Placement> parse_placement(std::string_view name) {
    return enumerator(name, Placement::placed, Placement::not_seen);
}

std::optional<RejectReason> parse_reject_reason(std::string_view name) {
    return enumerator(name, RejectReason::unreadable, RejectReason::no_data);
}

std::optional<Flag> parse_flag(std::string_view name) {
    return enumerator(name, Flag::irradiance_below_minimum, Flag::seen_in_part);
}

std::optional<Flags> parse_flags(std::string_view names) {
    Flags flags;
    for (const std::string& name : split_names(names)) {
        const auto flag = parse_flag(name);
        if (!flag) {
            return std::nullopt;
        }
        flags.set(*flag);
    }
    return flags;
}

std::optional<std::optional<Pattern>> parse_pattern_or_none(std::string_view name) {
    if (name.empty()) {
        return std::optional<Pattern>{};
    }
    const auto pattern = parse_pattern(name);
    return pattern ? std::optional(pattern) : std::nullopt;
}

AbnormalityClass class_of(const GpkgTableReader& row, const char* column) {
    const long long number = row.integer(column).value_or(1);
    if (number < 1 || number > 3) {
        row.fail(column, std::to_string(number) + " is none of 1, 2, 3");
    }
    return static_cast<AbnormalityClass>(number);
}

std::vector<ReviewEntry> read_review_rows(GDALDataset& dataset, const std::filesystem::path& file, bool has_work) {
    constexpr std::size_t kColumnsOfVersion2 = 10;
    GpkgSchema schema = review_log_schema();
    schema.columns.resize(has_work ? schema.columns.size() : kColumnsOfVersion2);
    std::vector<ReviewEntry> log;
    for (GpkgTableReader row(dataset, schema, file); row.next();) {
        ReviewEntry entry;
        entry.finding = row.text("finding");
        entry.time = row.time("reviewed_utc").value_or(UtcTime{});
        entry.reviewer = row.text("reviewer");
        entry.before.verdict = row.named("verdict_before", parse_verdict);
        entry.before.pattern = row.named("pattern_before", parse_pattern_or_none);
        entry.before.comment = row.text("comment_before");
        entry.after.verdict = row.named("verdict", parse_verdict);
        entry.after.pattern = row.named("pattern", parse_pattern_or_none);
        entry.after.comment = row.text("comment");
        entry.source = row.text("source");
        if (has_work) {
            entry.class_before = class_of(row, "class_before");
            entry.class_after = class_of(row, "class");
            entry.before.work = row.named("work_before", parse_work_status);
            entry.after.work = row.named("work", parse_work_status);
        }
        log.push_back(std::move(entry));
    }
    return log;
}

}  // namespace heatrow::detail
