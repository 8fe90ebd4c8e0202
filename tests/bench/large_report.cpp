// large_report FILE.html STRINGS: the report of an invented plant with 24 modules a string, strings in 25 columns,
// every fourth string with a finding; for tests/bench/report.
#include "heatrow/report/html_report.hpp"
#include "support/sample_record.hpp"

#include <algorithm>
#include <array>
#include <cstdlib>
#include <fstream>
#include <iostream>

using namespace heatrow;

namespace {

constexpr int kModules = 24;

// From one long column of rows to a field.
void lay_out(SurveyRecord& record) {
    constexpr int kColumns = 25;
    for (Module& module : record.layout.modules) {
        // The sample's one module without a string stands behind the last row.
        const int string = module.string == -1 ? static_cast<int>(record.layout.strings.size()) : module.string;
        const double east = string % kColumns * (kModules * 1.02 + 3.0);
        const double north = 5.0 * (string - string / kColumns * 1.2);  // rows 6 m apart
        for (Eigen::Vector3d& corner : module.corners_in_site) {
            corner.x() += east;
            corner.y() += north;
        }
    }
}

// On every fourth string, those of the sample in turn; two module types take turns by strings.
void spread_findings(SurveyRecord& record) {
    std::array<std::vector<Finding>, 2> of_type;
    for (const Finding& finding : record.findings) {
        if (finding.module != -1) {
            of_type[static_cast<std::size_t>(finding.string % 2)].push_back(finding);
        }
    }
    for (std::size_t n = 1; 4 * n + 1 < record.layout.strings.size(); ++n) {
        const std::size_t s = 4 * n + n % 2;
        const std::vector<Finding>& patterns = of_type[s % 2];
        Finding finding = patterns[n / 2 % patterns.size()];
        finding.string = static_cast<int>(s);
        finding.module = record.layout.strings[s].modules[n % kModules];
        finding.candidates.clear();
        finding.id = record.layout.modules[static_cast<std::size_t>(finding.module)].id + "." + finding.id;
        ModuleResult& module = record.modules[static_cast<std::size_t>(finding.module)];
        module.abnormality = std::max(module.abnormality, finding.abnormality);
        ++record.strings[s].findings;
        record.findings.push_back(std::move(finding));
    }
    std::stable_sort(record.findings.begin(), record.findings.end(), [](const Finding& a, const Finding& b) {
        return a.abnormality > b.abnormality;
    });
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 3) {
        std::cerr << "usage: large_report FILE.html STRINGS\n";
        return 2;
    }
    SurveyRecord record =
        testing::sample_record({.strings = std::atoi(argv[2]), .modules_per_string = kModules, .hostile_ids = false});
    lay_out(record);
    spread_findings(record);
    if (const std::string breach = first_breach(record); !breach.empty()) {
        std::cerr << breach << "\n";
        return 1;
    }
    std::ofstream(argv[1], std::ios::binary) << html_report(make_report_model(record, {}));
    std::cout << record.layout.modules.size() << " " << record.findings.size() << "\n";
    return 0;
}
