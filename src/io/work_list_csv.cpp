#include "finding_fields.hpp"
#include "heatrow/io/csv_writer.hpp"
#include "heatrow/io/work_list_files.hpp"

#include <algorithm>
#include <functional>
#include <set>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

struct Row {
    const ReportModel& model;
    const WorkTask& task;
    GeographicPoint place;
};

struct Column {
    const char* name;
    std::function<void(CsvWriter&, const Row&)> write;
};

std::string module_names(const Row& row) {
    std::vector<std::string> names;
    for (const int module : row.task.modules) {
        names.push_back(row.model.record->layout.modules[at(module)].id);
    }
    return join_names(names);
}

// Distinct texts of the task's findings, in their order.
std::string of_findings(const Row& row, const std::function<std::string(const Finding&)>& text) {
    std::vector<std::string> texts;
    for (const int index : row.task.findings) {
        const std::string one = text(row.model.record->findings[at(index)]);
        if (!one.empty() && std::find(texts.begin(), texts.end(), one) == texts.end()) {
            texts.push_back(one);
        }
    }
    return join_names(texts);
}

double hottest_k(const Row& row) {
    double hottest = kNaN;
    for (const int index : row.task.findings) {
        const double delta = row.model.record->findings[at(index)].delta_t_1000.value.value();
        hottest = hottest >= delta ? hottest : delta;
    }
    return hottest;
}

const std::vector<Column>& columns() {
    static const std::vector<Column> all = {
        {"task", [](CsvWriter& csv, const Row& row) { csv.text(row.task.id); }},
        {"rank", [](CsvWriter& csv, const Row& row) { csv.integer(row.task.rank); }},
        {"stop", [](CsvWriter& csv, const Row& row) { row.task.stop > 0 ? csv.integer(row.task.stop) : csv.empty(); }},
        {"class", [](CsvWriter& csv, const Row& row) { csv.integer(static_cast<int>(row.task.abnormality)); }},
        {"action", [](CsvWriter& csv, const Row& row) { csv.text(to_string(row.task.action)); }},
        {"place", [](CsvWriter& csv, const Row& row) { csv.text(row.task.place); }},
        {"modules", [](CsvWriter& csv, const Row& row) { csv.text(module_names(row)); }},
        {"place_is_certain", [](CsvWriter& csv, const Row& row) { csv.text(row.task.is_ambiguous ? "no" : "yes"); }},
        {"strings",
         [](CsvWriter& csv, const Row& row) {
             csv.text(of_findings(
                 row, [&](const Finding& finding) { return detail::string_name(*row.model.record, finding.string); }));
         }},
        {"patterns",
         [](CsvWriter& csv, const Row& row) {
             csv.text(of_findings(row, [](const Finding& finding) { return std::string(to_string(finding.pattern)); }));
         }},
        {"findings",
         [](CsvWriter& csv, const Row& row) {
             csv.text(of_findings(row, [](const Finding& finding) { return finding.id; }));
         }},
        {"delta_t_1000_k", [](CsvWriter& csv, const Row& row) { csv.number(hottest_k(row), 2); }},
        {"loss_rated_w_low", [](CsvWriter& csv, const Row& row) { csv.number(row.task.loss_rated_w_low, 1); }},
        {"loss_rated_w_high", [](CsvWriter& csv, const Row& row) { csv.number(row.task.loss_rated_w_high, 1); }},
        {"loss_kwh_year_low", [](CsvWriter& csv, const Row& row) { csv.number(row.task.loss_kwh_year_low, 0); }},
        {"loss_kwh_year_high", [](CsvWriter& csv, const Row& row) { csv.number(row.task.loss_kwh_year_high, 0); }},
        {"longitude", [](CsvWriter& csv, const Row& row) { csv.number(row.place.longitude_deg, 8); }},
        {"latitude", [](CsvWriter& csv, const Row& row) { csv.number(row.place.latitude_deg, 8); }},
        {"surveyed",
         [](CsvWriter& csv, const Row& row) {
             csv.text(to_iso8601(row.model.record->findings[at(row.task.findings.front())].time));
         }},
        {"status", [](CsvWriter& csv, const Row& row) { csv.text(to_string(row.task.status)); }},
    };
    return all;
}

}  // namespace

const std::vector<std::string>& work_list_columns() {
    static const std::vector<std::string> names = [] {
        std::vector<std::string> list;
        for (const Column& column : columns()) {
            list.emplace_back(column.name);
        }
        return list;
    }();
    return names;
}

std::string work_list_csv(const ReportModel& model,
                          const std::vector<WorkTask>& tasks,
                          const WorkListSettings& settings) {
    std::vector<const Column*> written;
    std::vector<std::string_view> headers;
    for (const auto& [ours, theirs] : settings.columns) {
        const auto found = std::find_if(
            columns().begin(), columns().end(), [&ours = ours](const Column& column) { return ours == column.name; });
        if (found != columns().end()) {
            written.push_back(&*found);
            headers.push_back(theirs);
        }
    }
    if (settings.columns.empty()) {
        for (const Column& column : columns()) {
            written.push_back(&column);
            headers.push_back(column.name);
        }
    }
    CsvWriter csv(headers);
    for (const WorkTask& task : tasks) {
        const Row row{model, task, model.context.locate(task.position_in_site)};
        for (const Column* column : written) {
            column->write(csv, row);
        }
        csv.end_row();
    }
    return csv.str();
}

}  // namespace heatrow
