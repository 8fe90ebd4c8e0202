#include "page_site_data.hpp"

#include "heatrow/report/markup.hpp"

#include <cmath>

namespace heatrow {
namespace {

using Cm = Eigen::Matrix<long, 2, 1>;

Cm in_cm(const Eigen::Vector3d& point) {
    return {std::lround(100.0 * point.x()), std::lround(100.0 * point.y())};
}

int state_of(const ModuleResult& result) {
    if (result.assessed) {
        return static_cast<int>(result.abnormality);
    }
    switch (result.placement) {
        case Placement::ambiguous:
            return 5;
        case Placement::not_seen:
            return 6;
        case Placement::placed:
            break;
    }
    return 4;
}

// An array that grows by numbers or texts.
class JsonArray {
  public:
    void add(long value) { next() += std::to_string(value); }
    void add(const std::string& text) { next() += json_string(text); }
    [[nodiscard]] std::string str() const { return "[" + out_ + "]"; }

  private:
    std::string& next() {
        out_ += out_.empty() ? "" : ",";
        return out_;
    }
    std::string out_;
};

std::vector<int> section_of_module(const ReportModel& model) {
    std::vector<int> section(model.record->layout.modules.size(), -1);
    for (std::size_t i = 0; i < model.strings.size(); ++i) {
        for (const int module : model.strings[i].modules) {
            section[static_cast<std::size_t>(module)] = static_cast<int>(i);
        }
    }
    return section;
}

}  // namespace

std::string page_site_json(const ReportModel& model) {
    const SurveyRecord& record = *model.record;
    const std::vector<int> sections = section_of_module(model);
    JsonArray ids;
    JsonArray xy;
    JsonArray state;
    JsonArray table;
    JsonArray string;
    JsonArray position;
    JsonArray tables;
    Cm before(0, 0);
    for (std::size_t i = 0; i < record.layout.modules.size(); ++i) {
        const Module& module = record.layout.modules[i];
        const Cm first = in_cm(module.corners_in_site[0]);
        ids.add(module.id);
        for (std::size_t corner = 0; corner < module.corners_in_site.size(); ++corner) {
            const Cm step = corner == 0 ? Cm(first - before) : Cm(in_cm(module.corners_in_site[corner]) - first);
            xy.add(step.x());
            xy.add(step.y());
        }
        before = first;
        state.add(state_of(record.modules[i]));
        table.add(module.table);
        string.add(sections[i]);
        position.add(module.position);
    }
    for (const Table& one : record.layout.tables) {
        tables.add(one.id);
    }
    return "{\"ids\":" + ids.str() + ",\"xy\":" + xy.str() + ",\"state\":" + state.str() + ",\"table\":" + table.str() +
           ",\"string\":" + string.str() + ",\"position\":" + position.str() + ",\"tables\":" + tables.str() + "}";
}

}  // namespace heatrow
