#include "finding_fields.hpp"

#include "heatrow/io/csv_writer.hpp"

namespace heatrow::detail {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

}  // namespace

std::string module_names(const SurveyRecord& record, const std::vector<int>& modules) {
    std::vector<std::string> names;
    for (const int module : modules) {
        names.push_back(record.layout.modules[at(module)].id);
    }
    return join_names(names);
}

std::string frame_names(const SurveyRecord& record, const std::vector<int>& frames) {
    std::vector<std::string> names;
    for (const int frame : frames) {
        names.push_back(record.frames[at(frame)].prior.name);
    }
    return join_names(names);
}

std::string substring_list(const Finding& finding) {
    std::string out;
    for (const int substring : finding.substrings) {
        out += (out.empty() ? "" : " ") + std::to_string(substring);
    }
    return out;
}

std::string cell_list(const Finding& finding) {
    std::string out;
    for (const CellIndex cell : finding.cells) {
        out += (out.empty() ? "" : " ") + to_string(cell);
    }
    return out;
}

std::string string_name(const SurveyRecord& record, int string) {
    return string == -1 ? std::string{} : record.layout.strings[at(string)].id;
}

std::string table_name(const SurveyRecord& record, const Module& module) {
    return module.table == -1 ? std::string{} : record.layout.tables[at(module.table)].id;
}

std::string hottest_cell_name(const SurveyRecord& record, const ModuleResult& result) {
    if (result.hottest_cell < 0) {
        return {};
    }
    const ModuleType& type = record.layout.type_of(record.layout.modules[at(result.module)]);
    return to_string(type.cell_at(result.hottest_cell));
}

}  // namespace heatrow::detail
