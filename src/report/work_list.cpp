#include "heatrow/report/work_list.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <map>
#include <utility>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

bool calls_for_work(const Finding& finding) {
    return finding.verdict != Verdict::rejected && finding.pattern != Pattern::string_off &&
           finding.abnormality != AbnormalityClass::none;
}

std::string place_of(const SurveyRecord& record, const Finding& finding) {
    if (finding.module < 0) {
        return record.layout.strings[at(finding.string)].id;
    }
    const Module& module = record.layout.modules[at(finding.module)];
    return module.table < 0 ? module.id : record.layout.tables[at(module.table)].id;
}

std::vector<int> modules_of(const SurveyRecord& record, const Finding& finding) {
    if (finding.module < 0) {
        return record.layout.strings[at(finding.string)].modules;
    }
    std::vector<int> modules = finding.candidates;
    modules.push_back(finding.module);
    return modules;
}

// NaN counts as nothing known, not as nothing lost.
void add_loss(double& sum, double loss) {
    if (std::isfinite(loss)) {
        sum = std::isfinite(sum) ? sum + loss : loss;
    }
}

// Rank of a status: the smaller, the more is left to do.
int way_left(WorkStatus status) {
    switch (status) {
        case WorkStatus::still_there:
            return 0;
        case WorkStatus::open:
            return 1;
        case WorkStatus::planned:
            return 2;
        case WorkStatus::repaired:
            return 3;
        case WorkStatus::not_found:
            return 4;
        case WorkStatus::accepted:
            return 5;
        case WorkStatus::verified:
            return 6;
    }
    return 0;
}

void add_finding(const SurveyRecord& record, int index, WorkTask& task) {
    const Finding& finding = record.findings[at(index)];
    task.findings.push_back(index);
    task.abnormality = std::max(task.abnormality, finding.abnormality);
    const WorkStatus status = work_status_of(record, finding.id);
    task.status = task.findings.size() == 1 || way_left(status) < way_left(task.status) ? status : task.status;
    task.is_ambiguous = task.is_ambiguous || !finding.candidates.empty();
    for (const int module : modules_of(record, finding)) {
        task.modules.push_back(module);
    }
    add_loss(task.loss_rated_w_low, finding.loss_rated_w_low);
    add_loss(task.loss_rated_w_high, finding.loss_rated_w_high);
    add_loss(task.loss_kwh_year_low, finding.loss_kwh_year_low);
    add_loss(task.loss_kwh_year_high, finding.loss_kwh_year_high);
}

// Those on which something is to be done; all of them where nothing is.
std::vector<int> what_is_left(const SurveyRecord& record, const std::vector<int>& findings) {
    std::vector<int> left;
    std::copy_if(findings.begin(), findings.end(), std::back_inserter(left), [&record](int finding) {
        return is_to_be_done(work_status_of(record, record.findings[at(finding)].id));
    });
    return left.empty() ? findings : left;
}

void finish(const SurveyRecord& record, WorkTask& task) {
    std::sort(task.modules.begin(), task.modules.end());
    task.modules.erase(std::unique(task.modules.begin(), task.modules.end()), task.modules.end());
    task.position_in_site.setZero();
    for (const int module : task.modules) {
        task.position_in_site += record.layout.modules[at(module)].centre_in_site();
    }
    task.position_in_site /= static_cast<double>(task.modules.size());
}

void set_walk(std::vector<WorkTask>& tasks, const Eigen::Vector3d& start_in_site) {
    std::vector<Eigen::Vector3d> places;
    Eigen::Vector3d corner(kNaN, kNaN, kNaN);
    for (const WorkTask& task : tasks) {
        if (!is_to_be_done(task.status)) {
            break;  // those come last
        }
        places.push_back(task.position_in_site);
        corner = places.size() == 1 ? places.back() : Eigen::Vector3d(corner.cwiseMin(places.back()));
    }
    const auto order = walking_order(places, start_in_site.allFinite() ? start_in_site : corner);
    for (std::size_t stop = 0; stop < order.size(); ++stop) {
        tasks[at(order[stop])].stop = static_cast<int>(stop) + 1;
    }
}

}  // namespace

std::string_view to_string(WorkAction action) {
    switch (action) {
        case WorkAction::check_string:
            return "check_string";
        case WorkAction::tighten:
            return "tighten";
        case WorkAction::replace:
            return "replace";
        case WorkAction::clean:
            return "clean";
        case WorkAction::investigate:
            return "investigate";
    }
    return "investigate";
}

WorkAction action_for(Pattern pattern) {
    switch (pattern) {
        case Pattern::string_open_circuit:
        case Pattern::string_off:
        case Pattern::string_warm_cause_open:
            return WorkAction::check_string;
        case Pattern::junction_box:
            return WorkAction::tighten;
        case Pattern::short_circuited_module:
        case Pattern::substring_open_circuit:
        case Pattern::substring_short_circuited:
        case Pattern::substring_bypassed_by_cell:
        case Pattern::cell_interconnect:
        case Pattern::broken_glass_suspected:
            return WorkAction::replace;
        case Pattern::soiling:
        case Pattern::shading:
        case Pattern::external_cause_possible:
            return WorkAction::clean;
        default:
            return WorkAction::investigate;
    }
}

std::vector<WorkTask> make_work_list(const SurveyRecord& record, const Eigen::Vector3d& start_in_site) {
    std::map<std::pair<std::string, WorkAction>, std::vector<int>> by_place;
    for (std::size_t i = 0; i < record.findings.size(); ++i) {
        const Finding& finding = record.findings[i];
        if (calls_for_work(finding)) {
            by_place[{place_of(record, finding), action_for(finding.pattern)}].push_back(static_cast<int>(i));
        }
    }
    std::vector<WorkTask> tasks;
    for (auto& [key, findings] : by_place) {
        WorkTask task;
        for (const int finding : what_is_left(record, findings)) {
            add_finding(record, finding, task);
        }
        task.place = key.first;
        task.action = key.second;
        task.id = task.place + "." + std::string(to_string(task.action));
        finish(record, task);
        tasks.push_back(std::move(task));
    }
    const auto cost = [](const WorkTask& task) {
        return std::isfinite(task.loss_rated_w_high) ? task.loss_rated_w_high : 0.0;
    };
    std::sort(tasks.begin(), tasks.end(), [&](const WorkTask& a, const WorkTask& b) {
        if (is_to_be_done(a.status) != is_to_be_done(b.status)) {
            return is_to_be_done(a.status);
        }
        if (a.abnormality != b.abnormality) {
            return a.abnormality > b.abnormality;
        }
        return cost(a) != cost(b) ? cost(a) > cost(b) : natural_less(a.id, b.id);
    });
    for (std::size_t i = 0; i < tasks.size(); ++i) {
        tasks[i].rank = static_cast<int>(i) + 1;
    }
    set_walk(tasks, start_in_site);
    return tasks;
}

}  // namespace heatrow
