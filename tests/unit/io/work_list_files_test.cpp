#include "heatrow/io/work_list_files.hpp"

#include "heatrow/io/csv_writer.hpp"
#include "support/sample_record.hpp"
#include "support/temp_folder.hpp"

#include <catch2/catch.hpp>
#include <fmt/format.h>
#include <gdal_priv.h>
#include <ogrsf_frmts.h>

#include <fstream>
#include <map>
#include <sstream>

using namespace heatrow;
using Catch::Matchers::Contains;
using Catch::Matchers::StartsWith;

namespace {

ReportModel model_of(const SurveyRecord& record) {
    ReportContext context;
    context.locate = [](const Eigen::Vector3d& point) {
        return GeographicPoint{-3.5 + point.x() * 1e-5, 40.0 + point.y() * 1e-5};
    };
    return make_report_model(record, context);
}

struct Point {
    double longitude = 0.0;
    double latitude = 0.0;
    std::map<std::string, std::string> fields;
};

// All points of a layer, as a reader of its own sees them.
std::vector<Point> points_of(const std::filesystem::path& file, const char* layer_name) {
    GDALAllRegister();
    const GDALDatasetUniquePtr dataset(GDALDataset::Open(file.c_str(), GDAL_OF_VECTOR));
    REQUIRE(dataset);
    OGRLayer* layer = dataset->GetLayerByName(layer_name);
    REQUIRE(layer != nullptr);
    std::vector<Point> points;
    for (auto& feature : *layer) {
        Point point;
        const auto* geometry = feature->GetGeometryRef()->toPoint();
        point.longitude = geometry->getX();
        point.latitude = geometry->getY();
        for (int i = 0; i < feature->GetFieldCount(); ++i) {
            point.fields[feature->GetFieldDefnRef(i)->GetNameRef()] = feature->GetFieldAsString(i);
        }
        points.push_back(point);
    }
    return points;
}

std::string first_line(const std::string& text) {
    return text.substr(0, text.find("\r\n"));
}

const Eigen::Vector3d kNowhere(kNaN, kNaN, kNaN);

}  // namespace

TEST_CASE("work list files: columns under the names that another system wants", "[io]") {
    const SurveyRecord record = testing::sample_record();
    const ReportModel model = model_of(record);
    const auto tasks = make_work_list(record, kNowhere);
    const std::string all = work_list_csv(model, tasks, {});
    CHECK_THAT(first_line(all), StartsWith("task,rank,stop,class,action,place,modules,"));
    CHECK_THAT(all, Contains("T1.investigate,1,"));
    WorkListSettings settings;
    settings.columns = {{"task", "External ID"}, {"action", "Job type"}};
    const std::string mapped = work_list_csv(model, tasks, settings);
    CHECK(first_line(mapped) == "External ID,Job type");
    CHECK_THAT(mapped, Contains("T1.investigate,investigate\r\n"));
}

TEST_CASE("work list files: GPX is read back point by point, by class and in walking order", "[io]") {
    const testing::TempFolder temp;
    const SurveyRecord record = testing::sample_record();
    const ReportModel model = model_of(record);
    const auto tasks = make_work_list(record, kNowhere);
    write_work_list_gpx(model, tasks, temp.path());
    std::size_t found = 0;
    for (const char* name : {"worklist-class-3.gpx", "worklist-class-2.gpx"}) {
        std::string last;
        for (const Point& point : points_of(temp.path() / name, "waypoints")) {
            const std::string label = point.fields.at("name");
            CHECK(label > last);  // names sort in walking order
            last = label;
            const auto task = std::find_if(
                tasks.begin(), tasks.end(), [&](const WorkTask& each) { return each.id == point.fields.at("cmt"); });
            REQUIRE(task != tasks.end());
            CHECK(label == fmt::format("{}-{:03} {} {}",
                                       static_cast<int>(task->abnormality),
                                       task->stop,
                                       task->place,
                                       in_words(to_string(task->action))));
            CHECK(point.fields.at("type") == "class " + label.substr(0, 1));
            for (const int index : task->findings) {
                const Finding& finding = record.findings[static_cast<std::size_t>(index)];
                const std::string where = finding.module < 0
                                              ? record.layout.strings[static_cast<std::size_t>(finding.string)].id
                                              : record.layout.modules[static_cast<std::size_t>(finding.module)].id;
                std::string words = where + ": " + in_words(to_string(finding.pattern));
                words += fmt::format(", {:.1f} K at 1000 W/m²", finding.delta_t_1000.value.value());
                CHECK_THAT(point.fields.at("desc"), Contains(words));
            }
            const GeographicPoint place = model.context.locate(task->position_in_site);
            CHECK(point.longitude == Approx(place.longitude_deg).margin(1e-9));
            CHECK(point.latitude == Approx(place.latitude_deg).margin(1e-9));
            ++found;
        }
    }
    CHECK(found == tasks.size());
}

TEST_CASE("work list files: GPX files hold 200 points at most", "[io]") {
    const testing::TempFolder temp;
    const SurveyRecord record = testing::sample_record({.strings = 2, .modules_per_string = 12, .hostile_ids = false});
    WorkTask task = make_work_list(record, kNowhere).front();
    std::vector<WorkTask> many;
    for (int i = 0; i < 450; ++i) {
        task.stop = i + 1;
        many.push_back(task);
    }
    write_work_list_gpx(model_of(record), many, temp.path());
    CHECK(points_of(temp.path() / "worklist-class-3.gpx", "waypoints").size() == 200);
    CHECK(points_of(temp.path() / "worklist-class-3-part-2.gpx", "waypoints").size() == 200);
    CHECK(points_of(temp.path() / "worklist-class-3-part-3.gpx", "waypoints").size() == 50);
    CHECK_FALSE(std::filesystem::exists(temp.path() / "worklist-class-2.gpx"));
}

TEST_CASE("work list files: KML is read back with every finding's fields, hostile names included", "[io]") {
    const testing::TempFolder temp;
    const SurveyRecord record = testing::sample_record();
    const ReportModel model = model_of(record);
    write_findings_kml(model, temp.path() / "findings.kml");
    std::map<std::string, Point> points;
    for (const char* layer : {"Class 3", "Class 2", "Class 1"}) {
        for (const Point& point : points_of(temp.path() / "findings.kml", layer)) {
            points[point.fields.at("finding")] = point;
        }
    }
    REQUIRE(points.size() == record.findings.size());
    for (const Finding& finding : record.findings) {
        const Point& point = points.at(finding.id);
        CHECK(point.fields.at("pattern") == to_string(finding.pattern));
        CHECK(point.fields.at("description") == finding.evidence);
        CHECK(point.fields.at("verdict") == to_string(finding.verdict));
        CHECK(point.fields.at("work_status") == to_string(work_status_of(record, finding.id)));
        const std::string where = finding.module < 0
                                      ? record.layout.strings[static_cast<std::size_t>(finding.string)].id
                                      : record.layout.modules[static_cast<std::size_t>(finding.module)].id;
        CHECK_THAT(point.fields.at("Name"), Contains(where));
        CHECK(std::stod(point.fields.at("delta_t_1000_k")) ==
              Approx(finding.delta_t_1000.value.value()).margin(0.005001));
        const GeographicPoint place = model.context.locate(position_of_finding(record, finding));
        CHECK(point.longitude == Approx(place.longitude_deg).margin(1e-9));
        CHECK(point.latitude == Approx(place.latitude_deg).margin(1e-9));
    }
}
