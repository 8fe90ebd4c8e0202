#include "heatrow/core/fixed_text.hpp"
#include "heatrow/io/work_list_files.hpp"
#include "point_file.hpp"

#include <fmt/format.h>
#include <ogr_geometry.h>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

// Text and number first: viewers drop colours and signs of points.
std::string point_name(const SurveyRecord& record, const Finding& finding) {
    const std::string where = finding.module < 0 ? record.layout.strings[at(finding.string)].id
                                                 : record.layout.modules[at(finding.module)].id;
    return fmt::format("{} {}", static_cast<int>(finding.abnormality), where);
}

}  // namespace

void write_findings_kml(const ReportModel& model, const std::filesystem::path& file) {
    const SurveyRecord& record = *model.record;
    detail::PointFile kml("LIBKML", file, {"NAME=" + record.title});
    for (const auto abnormality :
         {AbnormalityClass::safety_relevant, AbnormalityClass::thermal, AbnormalityClass::none}) {
        kml.begin_layer(fmt::format("Class {}", static_cast<int>(abnormality)),
                        wkbPoint,
                        {"Name", "description", "finding", "pattern", "delta_t_1000_k", "verdict", "work_status"});
        for (const Finding& finding : record.findings) {
            const Eigen::Vector3d position = position_of_finding(record, finding);
            if (finding.abnormality != abnormality || !position.allFinite()) {
                continue;
            }
            const GeographicPoint place = model.context.locate(position);
            kml.add(std::make_unique<OGRPoint>(place.longitude_deg, place.latitude_deg),
                    {{"Name", point_name(record, finding)},
                     {"description", finding.evidence},
                     {"finding", finding.id},
                     {"pattern", std::string(to_string(finding.pattern))},
                     {"delta_t_1000_k", fixed_text(finding.delta_t_1000.value.value(), 2)},
                     {"verdict", std::string(to_string(finding.verdict))},
                     {"work_status", std::string(to_string(work_status_of(record, finding.id)))}});
        }
    }
    kml.close();
}

}  // namespace heatrow
