#include "heatrow/core/fixed_text.hpp"
#include "heatrow/io/work_list_files.hpp"
#include "point_file.hpp"

#include <fmt/format.h>
#include <ogr_geometry.h>

#include <algorithm>

namespace heatrow {
namespace {

constexpr std::size_t kMostPoints = 200;  // beyond 200 to 400 some phone programs lose points (field reports)

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

std::string summary(const ReportModel& model, const WorkTask& task) {
    std::string text;
    for (const int index : task.findings) {
        const Finding& finding = model.record->findings[at(index)];
        const std::string where = finding.module < 0 ? model.record->layout.strings[at(finding.string)].id
                                                     : model.record->layout.modules[at(finding.module)].id;
        text += (text.empty() ? "" : "; ") + where + ": " + in_words(to_string(finding.pattern));
        const std::string delta = fixed_text(finding.delta_t_1000.value.value(), 1);
        text += delta.empty() ? "" : ", " + delta + " K at 1000 W/m²";
    }
    return task.is_ambiguous ? text + ". The place is not certain: look at all modules named." : text;
}

// "3-012 R3-T4 replace": sorts by class, then by the order of the walk.
std::string point_name(const WorkTask& task) {
    return fmt::format(
        "{}-{:03} {} {}", static_cast<int>(task.abnormality), task.stop, task.place, in_words(to_string(task.action)));
}

void write_part(const ReportModel& model, const std::vector<const WorkTask*>& tasks, const std::filesystem::path& file) {
    detail::PointFile gpx("GPX", file, {});
    auto route = std::make_unique<OGRLineString>();
    gpx.begin_layer("waypoints", wkbPoint, {"name", "cmt", "desc", "type"});
    for (const WorkTask* task : tasks) {
        const GeographicPoint place = model.context.locate(task->position_in_site);
        route->addPoint(place.longitude_deg, place.latitude_deg);
        gpx.add(std::make_unique<OGRPoint>(place.longitude_deg, place.latitude_deg),
                {{"name", point_name(*task)},
                 {"cmt", task->id},
                 {"desc", summary(model, *task)},
                 {"type", "class " + std::to_string(static_cast<int>(task->abnormality))}});
    }
    gpx.begin_layer("routes", wkbLineString, {"name"});
    gpx.add(std::move(route), {{"name", "walk"}});
    gpx.close();
}

}  // namespace

void write_work_list_gpx(const ReportModel& model,
                         const std::vector<WorkTask>& tasks,
                         const std::filesystem::path& folder) {
    for (const auto abnormality : {AbnormalityClass::safety_relevant, AbnormalityClass::thermal}) {
        std::vector<const WorkTask*> chosen;
        for (const WorkTask& task : tasks) {
            if (task.abnormality == abnormality && task.stop > 0) {
                chosen.push_back(&task);
            }
        }
        std::sort(chosen.begin(), chosen.end(), [](const WorkTask* a, const WorkTask* b) { return a->stop < b->stop; });
        for (std::size_t first = 0, part = 1; first < chosen.size(); first += kMostPoints, ++part) {
            const auto last = std::min(first + kMostPoints, chosen.size());
            const std::vector<const WorkTask*> points(chosen.begin() + static_cast<std::ptrdiff_t>(first),
                                                      chosen.begin() + static_cast<std::ptrdiff_t>(last));
            const std::string suffix = part == 1 ? "" : fmt::format("-part-{}", part);
            write_part(model,
                       points,
                       folder / fmt::format("worklist-class-{}{}.gpx", static_cast<int>(abnormality), suffix));
        }
    }
}

}  // namespace heatrow
