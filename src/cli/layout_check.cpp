#include "heatrow/io/layout_check.hpp"

#include "heatrow/io/data_folder.hpp"
#include "layout_check_output.hpp"
#include "layout_job.hpp"

#include <fmt/format.h>

#include <optional>

namespace heatrow::cli {
namespace {

class LayoutCheckJob : public Job {
  public:
    [[nodiscard]] std::string name() const override { return "check"; }
    [[nodiscard]] std::string summary() const override {
        return "Is this layout right? Counts, duplicates, overlaps, sizes, strings of odd length, ids that look alike";
    }
    [[nodiscard]] std::string footer() const override {
        return "Counts go to stdout, problems to stderr. Exit code 1 where analyse would refuse the layout, 3 with "
               "--strict "
               "where anything is in doubt.\n"
               "Examples:\n"
               "  heatrow layout check layout.geojson                                 # what is on site, what is in "
               "doubt\n"
               "  heatrow layout check layout.gpkg --all                              # every string and table\n"
               "  heatrow layout check survey/layout.geojson --module-types survey/module-types --json --strict";
    }
    void set_up(CLI::App& app) override {
        app.add_option("layout", file_, "Layout: any vector file that GDAL reads (docs/formats/layout.md)")->required();
        app.add_option("--module-types", types_, "Folder of the site's own module types");
        app.add_flag("--all", all_, "List every string and table, and every problem");
        app.add_flag("--json", json_, "Print JSON");
        app.add_flag("--strict", strict_, "Exit code 3 if anything is in doubt");
    }
    ExitCode run() override {
        const LayoutCheck check = check_layout(file_, find_module_types(types_));
        if (json_) {
            fmt::print("{}\n", layout_check_json(check, file_.string()));
        } else {
            constexpr int kMostShown = 10;
            fmt::print("{}", layout_counts_text(check, all_));
            std::fflush(stdout);
            fmt::print(
                stderr, "{}", layout_problems_text(check, all_ ? static_cast<int>(check.problems.size()) : kMostShown));
        }
        if (check.is_refused()) {
            return ExitCode::failed;
        }
        return strict_ && !check.problems.empty() ? ExitCode::outside_limits : ExitCode::done;
    }

  private:
    std::filesystem::path file_;
    std::optional<std::filesystem::path> types_;
    bool all_ = false;
    bool json_ = false;
    bool strict_ = false;
};

}  // namespace

std::unique_ptr<Job> make_layout_check() {
    return std::make_unique<LayoutCheckJob>();
}

}  // namespace heatrow::cli
