#include "support/type_record.hpp"

namespace heatrow::testing {
namespace {

constexpr double kWarm_k = 6.0;
constexpr double kHot_k = 18.0;

}  // namespace

SurveyRecord record_of_type(const ModuleType& type) {
    SurveyRecord record;
    record.survey_id = "types";
    record.title = type.id;
    record.layout.types = {type};
    FrameResult frame;
    frame.prior.name = "frame_1.tif";
    frame.scored = true;
    record.frames = {frame};
    ModuleString string{"S1", {}};
    for (int i = 0; i < 3; ++i) {
        Module module;
        module.id = "M" + std::to_string(i + 1);
        module.string = 0;
        module.position = i + 1;
        const double left = i * (type.width.value() + 0.02);
        const double right = left + type.width.value();
        module.corners_in_site = {Eigen::Vector3d(left, type.height.value(), 0.0),
                                  Eigen::Vector3d(right, type.height.value(), 0.0),
                                  Eigen::Vector3d(right, 0.0, 0.0),
                                  Eigen::Vector3d(left, 0.0, 0.0)};
        string.modules.push_back(i);
        record.layout.modules.push_back(module);
        ModuleResult result;
        result.module = i;
        result.assessed = true;
        result.placement = Placement::placed;
        result.frames = {0};
        result.temperature = {Celsius(45.0), 1.0};
        result.delta_t_1000 = KelvinDelta(0.0);
        const int hot = type.cell_number({type.rows / 2, type.columns / 2});
        for (int cell = 0; cell < type.cell_count(); ++cell) {
            double delta = 0.4 * ((cell * 7 + i) % 5 - 2);
            if (i == 1 && type.substring_of_cell[static_cast<std::size_t>(cell)] == 1) {
                delta += kWarm_k;
            }
            if (i == 2 && cell == hot) {
                delta += kHot_k;
            }
            CellResult shown;
            shown.temperature = {Celsius(45.0 + delta), 1.0};
            shown.delta_t = {KelvinDelta(delta), 0.5};
            shown.delta_t_1000 = KelvinDelta(delta);
            shown.views = 3;
            result.cells.push_back(shown);
        }
        result.hottest_cell = i == 2 ? hot : 0;
        result.hottest_cell_delta_t_1000 = result.cells[static_cast<std::size_t>(result.hottest_cell)].delta_t_1000;
        record.modules.push_back(result);
    }
    record.layout.strings = {string};
    StringResult result;
    result.modules_assessed = 3;
    record.strings = {result};
    return record;
}

}  // namespace heatrow::testing
