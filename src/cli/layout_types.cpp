#include "heatrow/core/error.hpp"
#include "heatrow/core/fixed_text.hpp"
#include "heatrow/io/data_folder.hpp"
#include "heatrow/io/output_file.hpp"
#include "heatrow/report/type_sheet.hpp"
#include "layout_job.hpp"
#include "rounded_json.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <optional>

namespace heatrow::cli {
namespace {

std::string technology_name(const ModuleType& type) {
    switch (type.technology) {
        case ModuleType::Technology::crystalline:
            return "crystalline";
        case ModuleType::Technology::shingled:
            return "shingled";
        case ModuleType::Technology::thin_film:
            break;
    }
    return "thin_film";
}

class LayoutTypesJob : public Job {
  public:
    [[nodiscard]] std::string name() const override { return "types"; }
    [[nodiscard]] std::string summary() const override {
        return "Which module types are there? Lists them, draws their cells, bypassed groups, boxes and + lead";
    }
    [[nodiscard]] std::string footer() const override {
        return "Examples:\n"
               "  heatrow layout types                                        # those installed with the program\n"
               "  heatrow layout types generic-120-half-cut --draw type.svg   # its picture\n"
               "  heatrow layout types --module-types types/ --draw all.svg   # with those of a site";
    }
    void set_up(CLI::App& app) override {
        app.add_option("id", ids_, "Only these");
        app.add_option("--draw", out_, "Draw them on one sheet, SVG");
        app.add_option("--module-types", types_, "Folder of the site's own module types");
        app.add_flag("--json", json_, "Print JSON");
        app.add_flag("--overwrite", overwrite_, "Replace that file");
    }
    ExitCode run() override {
        if (out_) {
            require_free_file(*out_, overwrite_);
        }
        const ModuleTypeCatalogue catalogue = find_module_types(types_);
        std::vector<ModuleType> types;
        for (const std::string& id : ids_.empty() ? catalogue.ids() : ids_) {
            types.push_back(catalogue.read(id));
        }
        if (types.empty()) {
            throw Error(ErrorKind::input,
                        "cannot list the module types",
                        "",
                        "there are none",
                        "Check the installation, or name a folder with --module-types");
        }
        if (out_) {
            publish_file(*out_, type_sheet_svg(types), overwrite_);
        }
        print(types);
        return ExitCode::done;
    }

  private:
    void print(const std::vector<ModuleType>& types) const {
        if (!json_) {
            for (const ModuleType& type : types) {
                fmt::print("{:<24} {:>5} x {:>4} mm  {:>3} x {:>3} cells  {} diode{}  {:>4} W  {}\n",
                           type.id,
                           fixed_text(1000.0 * type.width.value(), 0),
                           fixed_text(1000.0 * type.height.value(), 0),
                           type.rows,
                           type.columns,
                           type.substring_count(),
                           type.substring_count() == 1 ? " " : "s",
                           fixed_text(type.rated_power_w, 0),
                           type.description);
            }
            return;
        }
        nlohmann::ordered_json json;
        json["schema"] = "heatrow-module-types/1";
        json["types"] = nlohmann::ordered_json::array();
        for (const ModuleType& type : types) {
            json["types"].push_back({{"type", type.id},
                                     {"description", type.description},
                                     {"technology", technology_name(type)},
                                     {"width_m", rounded(type.width.value(), 4)},
                                     {"height_m", rounded(type.height.value(), 4)},
                                     {"rows", type.rows},
                                     {"columns", type.columns},
                                     {"half_cut", type.half_cut},
                                     {"substrings", type.substring_count()},
                                     {"frame", type.frame_width.value() > 0.0},
                                     {"rated_power_w", rounded(type.rated_power_w, 1)}});
        }
        fmt::print("{}\n", json.dump(2, ' ', false, nlohmann::json::error_handler_t::replace));
    }

    std::vector<std::string> ids_;
    std::optional<std::filesystem::path> out_;
    std::optional<std::filesystem::path> types_;
    bool json_ = false;
    bool overwrite_ = false;
};

}  // namespace

std::unique_ptr<Job> make_layout_types() {
    return std::make_unique<LayoutTypesJob>();
}

}  // namespace heatrow::cli
