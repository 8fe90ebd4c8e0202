#include "log_table.hpp"

#include "heatrow/io/written_time.hpp"
#include "log_units.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace heatrow {
namespace {

// Cells up to the last that is not empty: a delimiter at the end of a line opens no column.
std::size_t used_cells(const TextRow& row) {
    std::size_t used = row.cells.size();
    while (used > 0 && row.cells[used - 1].empty()) {
        --used;
    }
    return used;
}

std::size_t usual_length(const std::vector<TextRow>& rows) {
    std::map<std::size_t, int> counts;
    for (const TextRow& row : rows) {
        ++counts[row.cells.size()];
    }
    std::size_t usual = 0;
    int most = 0;
    for (const auto& [length, count] : counts) {
        if (count >= most) {
            most = count;
            usual = length;
        }
    }
    return usual;
}

// A date-time in one cell, or a date and a time of day in the first two.
bool holds_time(const TextRow& row) {
    const auto is_time = [](const std::string& text) { return looks_like_time(text); };
    return std::any_of(row.cells.begin(), row.cells.end(), is_time) ||
           (row.cells.size() >= 2 && looks_like_time(row.cells[0] + " " + row.cells[1]));
}

bool is_units_row(const TextRow& row, const TextRow& names) {
    if (row.cells.size() != names.cells.size()) {
        return false;
    }
    int units = 0;
    for (const std::string& text : row.cells) {
        if (!text.empty() && !is_unit_text(text) && text != "-") {
            return false;
        }
        units += text.empty() || text == "-" ? 0 : 1;
    }
    return units > 0;
}

std::string without_brackets(std::string text) {
    const bool bracketed = text.size() >= 2 &&
                           ((text.front() == '(' && text.back() == ')') || (text.front() == '[' && text.back() == ']'));
    return bracketed ? text.substr(1, text.size() - 2) : text;
}

std::vector<LogHead> make_heads(const TextRow& names, const TextRow* units, const TextRow* processing) {
    std::vector<LogHead> heads;
    for (std::size_t i = 0; i < names.cells.size(); ++i) {
        const HeadParts parts = split_head(names.cells[i]);
        LogHead head{names.cells[i], parts.name, parts.unit, {}};
        if (units != nullptr && !cell(*units, i).empty()) {
            head.unit = without_brackets(std::string(cell(*units, i)));
        }
        if (processing != nullptr) {
            head.processing = std::string(cell(*processing, i));
        }
        heads.push_back(head);
    }
    return heads;
}

void check_lengths(LogTable& table, std::vector<LogFinding>& findings) {
    const std::size_t columns = table.heads.size();
    for (std::size_t i = 0; i < table.rows.size(); ++i) {
        TextRow& row = table.rows[i];
        if (row.cells.size() > columns && used_cells(row) <= columns) {
            row.cells.resize(columns);
        }
        if (row.cells.size() == columns) {
            continue;
        }
        if (i + 1 == table.rows.size() && row.cells.size() < columns) {
            findings.push_back({"truncated_row",
                                1,
                                fmt::format("line {} was left out: the last row ends after {} of {} fields",
                                            row.line,
                                            row.cells.size(),
                                            columns)});
            table.rows.pop_back();
            return;
        }
        refuse_log(
            table.text.place(row),
            fmt::format("it has {} fields, the heads in line {} name {}", row.cells.size(), table.heads_line, columns),
            table.text.dialect.delimiter == ','
                ? "Export with a semicolon between fields if numbers have decimal commas, or mend the line"
                : "Mend the line");
    }
}

}  // namespace

void refuse_log(std::string_view where, std::string_view why, std::string_view remedy) {
    throw Error(ErrorKind::input, "cannot read the log", where, why, remedy);
}

std::optional<std::size_t> LogTable::find(std::string_view head) const {
    std::optional<std::size_t> found;
    for (const bool exact : {true, false}) {
        for (std::size_t i = 0; i < heads.size(); ++i) {
            if ((exact ? heads[i].written : heads[i].name) != head) {
                continue;
            }
            if (found) {
                refuse_log(fmt::format("{}, line {}", text.name, heads_line),
                           fmt::format("two columns are called '{}'", head),
                           "Give each column a name of its own");
            }
            found = i;
        }
        if (found) {
            return found;
        }
    }
    return std::nullopt;
}

std::string LogTable::list_heads() const {
    std::string list;
    for (const LogHead& head : heads) {
        list += (list.empty() ? "'" : ", '") + head.written + "'";
    }
    return list;
}

std::string LogTable::place(const TextRow& row, std::size_t column) const {
    const std::string& name = heads[column].written;
    return text.place(row, name.empty() ? "(column " + std::to_string(column + 1) + ")" : name);
}

LogTable read_log_table(TextTable table, std::vector<LogFinding>& findings) {
    std::vector<TextRow> all;
    all.reserve(table.rows.size() + 1);
    all.push_back(std::move(table.header));
    std::move(table.rows.begin(), table.rows.end(), std::back_inserter(all));
    table.rows.clear();

    LogTable log;
    log.is_toa5 = cell(all.front(), 0) == "TOA5";
    const std::size_t usual = usual_length(all);
    auto first = std::find_if(
        all.begin(), all.end(), [&](const TextRow& row) { return row.cells.size() == usual && holds_time(row); });
    const std::string start = table.name + ", line " + std::to_string(all.front().line);
    if (first == all.end()) {
        refuse_log(
            start,
            "no row holds a date with a time of day",
            "Give a log with a column of times such as 2026-06-17 11:02:03, or name its columns in [conditions]");
    }
    // A row of times just above is data too, though of another length: it is refused below, not taken for heads.
    while (first != all.begin() && holds_time(*std::prev(first))) {
        --first;
    }
    const auto rows_above = static_cast<std::size_t>(first - all.begin());
    if (rows_above < (log.is_toa5 ? 4U : 1U)) {
        refuse_log(start,
                   log.is_toa5 ? "a TOA5 head has four lines" : "there is no row of column names above the data",
                   "Export the log with its header");
    }
    std::size_t names = rows_above - 1;
    const TextRow* units = nullptr;
    const TextRow* processing = nullptr;
    if (log.is_toa5) {
        names = 1;
        units = &all[2];
        processing = &all[3];
    } else if (rows_above >= 2 && is_units_row(all[rows_above - 1], all[rows_above - 2])) {
        names = rows_above - 2;
        units = &all[rows_above - 1];
    }
    log.heads = make_heads(all[names], units, processing);
    log.heads_line = all[names].line;
    while (!log.heads.empty() && log.heads.back().written.empty() && log.heads.size() > 1) {
        log.heads.pop_back();
    }
    if (names > 0 && !log.is_toa5) {
        findings.push_back({"preamble",
                            static_cast<int>(names),
                            fmt::format("{} {} above the column names in line {} {} skipped",
                                        names,
                                        names == 1 ? "line" : "lines",
                                        log.heads_line,
                                        names == 1 ? "was" : "were")});
    }
    log.rows.assign(std::make_move_iterator(first), std::make_move_iterator(all.end()));
    log.text = std::move(table);
    check_lengths(log, findings);
    return log;
}

std::string list_lines(std::span<const int> lines) {
    constexpr std::size_t kShown = 4;
    std::string text = lines.size() == 1 ? "line " : "lines ";
    for (std::size_t i = 0; i < lines.size() && i < kShown; ++i) {
        text += (i == 0 ? "" : ", ") + std::to_string(lines[i]);
    }
    if (lines.size() > kShown) {
        text += fmt::format(" and {} more", lines.size() - kShown);
    }
    return text;
}

}  // namespace heatrow
