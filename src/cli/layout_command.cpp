#include "layout_job.hpp"

namespace heatrow::cli {
namespace {

class LayoutCommand : public CommandOfJobs {
  public:
    LayoutCommand()
        : CommandOfJobs(jobs_of(make_layout_make(),
                                make_layout_read(),
                                make_layout_draft(),
                                make_layout_check(),
                                make_layout_draw(),
                                make_layout_types())) {}
    [[nodiscard]] std::string name() const override { return "layout"; }
    [[nodiscard]] std::string summary() const override {
        return "What is on site? Makes an array layout from a description, reads it from a drawing, checks and draws "
               "it";
    }
    [[nodiscard]] std::vector<std::string> examples() const override {
        return {
            "heatrow layout make roof.toml layout.geojson    # rows, tables, modules, numbering, strings from a text "
            "file",
            "heatrow layout read plan.dxf layout.geojson --layer PV --labels IDS --fit 0,0=11.4213,48.1027 ...    # "
            "from a drawing",
            "heatrow layout draft survey/ draft.geojson --type generic-60-full   # from the frames, to be corrected",
            "heatrow layout draw layout.geojson plan.svg      # a plan to check on site and sign",
            "heatrow layout check layout.geojson             # counts, duplicates, overlaps, sizes, odd strings"};
    }
};

}  // namespace

std::unique_ptr<Command> make_layout_command() {
    return std::make_unique<LayoutCommand>();
}

}  // namespace heatrow::cli
