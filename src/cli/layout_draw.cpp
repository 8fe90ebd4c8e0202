#include "heatrow/core/error.hpp"
#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/layout_check.hpp"
#include "heatrow/io/layout_reader.hpp"
#include "heatrow/io/output_file.hpp"
#include "heatrow/io/sha256.hpp"
#include "heatrow/report/layout_sheet.hpp"
#include "layout_job.hpp"
#include "version.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <optional>

namespace heatrow::cli {
namespace {

class LayoutDrawJob : public Job {
  public:
    [[nodiscard]] std::string name() const override { return "draw"; }
    [[nodiscard]] std::string summary() const override {
        return "A plan to check on site and sign: strings, wiring, ids, counts, with the hash of the layout";
    }
    [[nodiscard]] std::string footer() const override {
        return "The paper's scale is a round one: the plan can be measured. Same layout, same bytes.\n"
               "Examples:\n"
               "  heatrow layout draw layout.geojson plan.pdf\n"
               "  heatrow layout draw layout.geojson plan.svg --paper A1 --title \"Long Meadow, block B\"\n"
               "  heatrow layout draw survey/layout.geojson plan.pdf --module-types survey/module-types --overwrite";
    }
    void set_up(CLI::App& app) override {
        app.add_option("layout", file_, "Layout: any vector file that GDAL reads (docs/formats/layout.md)")->required();
        app.add_option("out", out_, "Drawing to write, .svg or .pdf")->required();
        app.add_option("--paper", paper_, "Sheet, landscape")
            ->check(CLI::IsMember({"A4", "A3", "A2", "A1", "A0"}))
            ->capture_default_str();
        app.add_option("--title", title_, "Name of the site; default: the file's name");
        app.add_option("--module-types", types_, "Folder of the site's own module types");
        app.add_flag("--overwrite", overwrite_, "Replace that file");
    }
    ExitCode run() override;

  private:
    std::filesystem::path file_;
    std::filesystem::path out_;
    std::string paper_ = "A3";
    std::optional<std::string> title_;
    std::optional<std::filesystem::path> types_;
    bool overwrite_ = false;
};

ExitCode LayoutDrawJob::run() {
    const std::string kind = out_.extension().string();
    if (kind != ".svg" && kind != ".pdf") {
        throw Error(ErrorKind::usage,
                    "cannot draw the layout",
                    out_.string(),
                    fmt::format("'{}' is no drawing that is written", kind),
                    "End its name in .svg or .pdf");
    }
    require_free_file(out_, overwrite_);
    const ModuleTypeCatalogue types = find_module_types(types_);
    const Layout layout = read_layout(file_, types, std::nullopt);
    LayoutSheet sheet;
    sheet.layout = &layout;
    sheet.title = title_.value_or(file_.stem().string());
    sheet.file = file_.filename().string();
    sheet.sha256 = sha256_of_file(file_);
    sheet.program = fmt::format("heatrow {}", kVersion);
    for (const LayoutProblem& problem : check_layout(file_, types).problems) {
        sheet.doubts.push_back(fmt::format("{}: {}", problem.entity, problem.why));
    }
    const auto& papers = paper_sizes();
    sheet.paper = *std::ranges::find(papers, std::string_view(paper_), &Paper::name);
    publish_file(out_, kind == ".svg" ? layout_sheet_svg(sheet) : layout_sheet_pdf(sheet), overwrite_);
    return ExitCode::done;
}

}  // namespace

std::unique_ptr<Job> make_layout_draw() {
    return std::make_unique<LayoutDrawJob>();
}

}  // namespace heatrow::cli
