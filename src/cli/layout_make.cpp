#include "heatrow/io/array_description_reader.hpp"
#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/output_file.hpp"
#include "layout_check_output.hpp"
#include "layout_job.hpp"

#include <optional>

namespace heatrow::cli {
namespace {

class LayoutMakeJob : public Job {
  public:
    [[nodiscard]] std::string name() const override { return "make"; }
    [[nodiscard]] std::string summary() const override {
        return "A layout from a description of roof faces or rows: tables, modules, gaps, numbering, strings";
    }
    [[nodiscard]] std::string footer() const override {
        return "The description is a text file: docs/formats/layout-description.md has one to copy for a roof and one "
               "for a "
               "field.\n"
               "Examples:\n"
               "  heatrow layout make roof.toml layout.geojson               # writes the layout, prints what is in "
               "it\n"
               "  heatrow layout make field.toml layout.geojson --overwrite --module-types types/";
    }
    void set_up(CLI::App& app) override {
        app.add_option("description", description_, "Description of the array, TOML")->required();
        app.add_option("out", out_, "Layout to write, GeoJSON")->required();
        app.add_option(
            "--module-types", types_, "Folder of the site's own module types; default: as the description says");
        app.add_flag("--overwrite", overwrite_, "Replace that file");
        app.add_flag("-q,--quiet", quiet_, "Print nothing");
    }
    ExitCode run() override {
        require_free_file(out_, overwrite_);
        const DescribedArray described = read_array_description(description_);
        const ModuleTypeCatalogue types = find_module_types(types_ ? types_ : described.module_types);
        TypeSizes sizes;
        for (const ArrayArea& area : described.array.areas) {
            const ModuleType type = types.read(area.type);
            sizes[area.type] = {type.width.value(), type.height.value()};
        }
        publish_layout(make_array(described.array, sizes), described.origin, types, {out_, overwrite_, quiet_});
        return ExitCode::done;
    }

  private:
    std::filesystem::path description_;
    std::filesystem::path out_;
    std::optional<std::filesystem::path> types_;
    bool overwrite_ = false;
    bool quiet_ = false;
};

}  // namespace

std::unique_ptr<Job> make_layout_make() {
    return std::make_unique<LayoutMakeJob>();
}

}  // namespace heatrow::cli
