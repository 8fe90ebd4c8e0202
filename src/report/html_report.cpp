#include "heatrow/report/html_report.hpp"
namespace heatrow {
std::string html_report(const ReportModel& model) {
    return model.context.program;
}
}  // namespace heatrow
