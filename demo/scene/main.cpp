// heatrow-scene: renders invented surveys with known truth.
#include "csv_table.hpp"
#include "evidence_command.hpp"
#include "fault_sheet.hpp"
#include "grade.hpp"
#include "grade_patterns.hpp"
#include "heatrow/core/error.hpp"
#include "render.hpp"

#include <CLI/CLI.hpp>
#include <fmt/format.h>
#include <unistd.h>

#include <exception>
#include <filesystem>
#include <string>
#include <vector>

namespace {

void setup_render(CLI::App& app, scene::RenderOptions& options) {
    CLI::App* command = app.add_subcommand("render", "Render a scene into a survey folder with its truth");
    command->add_option("scene", options.scene, "The scene's description (docs/scenes.md)")
        ->required()
        ->type_name("SCENE.toml");
    command->add_option("--out", options.out, "Folder to make; frames, logs, layout, and truth/")
        ->required()
        ->type_name("DIR");
    command->add_option("--seed", options.seed, "Seed of all random draws, instead of the scene's own");
    command->add_option("--threads", options.threads, "Threads at most; the same bytes for any number")
        ->check(CLI::Range(0, 1024));
    command->add_flag("--overwrite", options.overwrite, "Replace an earlier rendering");
    command->add_flag("--plan-only", options.plan_only, "Write settings, layout and logs, but no frames and no truth");
    command->footer("Example:\n  heatrow-scene render demo/sites/quick/scene.toml --out demo/out/quick/survey");
    command->callback([&options] {
        const bool terminal = isatty(STDERR_FILENO) != 0;
        const auto summaries = scene::render_scene(options, [terminal](int done, int all) {
            if (terminal) {
                fmt::print(stderr, "\r{} of {} frames{}", done, all, done == all ? "\n" : "");
            }
        });
        for (const scene::RenderSummary& summary : summaries) {
            fmt::print(
                "{}: {} frames, {} modules in {} strings, median {:.0f} whole views a module, {} faults, {} in scope\n",
                (summary.season.empty() ? options.out : options.out / summary.season).string(),
                summary.frames,
                summary.modules,
                summary.strings,
                summary.median_views,
                summary.faults,
                summary.in_scope);
        }
    });
}

struct GradeOptions {
    std::vector<std::string> folders;
    std::string profile;
    bool json = false;
    bool markdown = false;
    bool page = false;
    bool patterns = false;
    bool cases = false;
};

void setup_grade(CLI::App& app, GradeOptions& options) {
    CLI::App* command = app.add_subcommand("grade", "Compare analyses with the truth of their scenes");
    command
        ->add_option(
            "folders",
            options.folders,
            "Rendered folder and output folder of `heatrow analyse`, in turn; several pairs are pooled. In place of "
            "an output folder: a file with the messages of an analysis that ended without a result")
        ->required()
        ->type_name("DIR OUT");
    command->add_option("--profile", options.profile, "Profile whose limits decide the true classes")
        ->type_name("PROFILE.toml");
    auto* json = command->add_flag("--json", options.json, "Figures and tables as JSON");
    auto* markdown = command->add_flag("--markdown", options.markdown, "Tables for a Markdown page");
    command->add_flag("--page", options.page, "Markdown with an overview and a section for each scene")
        ->excludes(json)
        ->excludes(markdown);
    json->excludes(markdown);
    auto* patterns = command->add_flag("--patterns", options.patterns, "Markdown with the confusion of patterns alone")
                         ->excludes(json)
                         ->excludes(markdown)
                         ->excludes("--page");
    command->add_flag("--cases", options.cases, "With --patterns: every case that went wrong, a line each")
        ->needs(patterns);
    command->footer(
        "Example:\n  heatrow-scene grade demo/out/quick/survey demo/out/quick/result --profile "
        "docs/profiles/field-practice.toml");
    command->callback([&options] {
        if (options.folders.size() % 2 != 0) {
            throw heatrow::Error(heatrow::ErrorKind::usage,
                                 "Could not grade",
                                 options.folders.back(),
                                 "folders come in pairs",
                                 "Give DIR and OUT in turn.");
        }
        std::vector<scene::GradeInput> surveys;
        for (std::size_t i = 0; i < options.folders.size(); i += 2) {
            surveys.push_back(scene::read_grade_input(options.folders[i], options.folders[i + 1]));
        }
        const scene::ClassRules rules =
            options.profile.empty() ? scene::ClassRules() : scene::read_class_rules(options.profile);
        if (options.patterns) {
            fmt::print("{}", scene::patterns_page(surveys, rules, options.cases));
            return;
        }
        if (options.page) {
            fmt::print("{}", scene::accuracy_page(surveys, rules));
            return;
        }
        const scene::Grade grade = scene::grade(surveys, rules);
        fmt::print("{}",
                   options.json       ? scene::to_json(grade)
                   : options.markdown ? scene::to_markdown(grade)
                                      : scene::to_text(grade));
    });
}

void setup_sheet(CLI::App& app, scene::SheetOptions& options) {
    CLI::App* command = app.add_subcommand("sheet", "One thermal crop for each true fault, in one picture to look at");
    command->add_option("folder", options.rendered, "Rendered folder with its truth")->required()->type_name("DIR");
    command->add_option("--out", options.out, "Picture to write; what its tiles show is printed")
        ->required()
        ->type_name("FILE.png");
    command->add_flag("--overwrite", options.overwrite, "Replace the picture");
    command->footer("Example:\n  heatrow-scene sheet demo/out/patterns/survey --out patterns.png");
    command->callback([&options] {
        fmt::print("row,column,fault,pattern,module,frame,black,white\n");
        for (const scene::SheetTile& tile : scene::write_fault_sheet(options)) {
            fmt::print("{},{},{},{},{},{},{:g},{:g}\n",
                       tile.row,
                       tile.column,
                       tile.fault,
                       tile.pattern,
                       scene::csv_field(tile.module),
                       tile.frame,
                       tile.low,
                       tile.high);
        }
    });
}

struct FitOptions {
    std::vector<std::filesystem::path> rendered;
    std::filesystem::path out;
    bool overwrite = false;
};

void setup_fit(CLI::App& app, FitOptions& options) {
    CLI::App* command = app.add_subcommand("fit-evidence", "Fit how flights' evidence scatters from rendered frames");
    command->add_option("folders", options.rendered, "Rendered folders with their truth")->required()->type_name("DIR");
    command->add_option("--out", options.out, "Parameter file to write")->required()->type_name("FILE.toml");
    command->add_flag("--overwrite", options.overwrite, "Replace the file");
    command->footer(
        "Example:\n  heatrow-scene fit-evidence tests/out/scenes/seeds-1 --out demo/evidence/statistics.toml");
    command->callback([&options] { scene::write_fitted_statistics(options.rendered, options.out, options.overwrite); });
}

void setup_flights(CLI::App& app, scene::FlightsOptions& options) {
    CLI::App* command = app.add_subcommand(
        "flights", "Simulate the evidence that naming decides from, without pixels (docs/formats/flight-evidence.md)");
    command->add_option("--statistics", options.statistics, "Parameter file of fit-evidence")
        ->required()
        ->type_name("FILE.toml");
    command->add_option("--out", options.out, "Folder to make: evidence.jsonl, truth.jsonl, statistics.toml")
        ->required()
        ->type_name("DIR");
    command->add_option("--flights", options.flights, "How many")->check(CLI::Range(1, 1000000));
    command->add_option("--seed", options.seed, "Seed of all random draws");
    command->add_flag("--overwrite", options.overwrite, "Replace earlier evidence");
    command->footer(
        "Example:\n  heatrow-scene flights --statistics demo/evidence/statistics.toml --flights 10000 --seed 7 --out "
        "tests/out/flights");
    command->callback([&options] {
        const scene::FlightsSummary summary = scene::write_flights(options);
        fmt::print("{}: {} flights, {} frames\n", options.out.string(), options.flights, summary.frames);
    });
}

}  // namespace

int main(int argc, char** argv) {
    CLI::App app("Renders invented thermographic surveys of PV plants with known truth, and grades results on them.");
    app.name("heatrow-scene");
    app.require_subcommand(1);
    scene::RenderOptions render;
    setup_render(app, render);
    GradeOptions grade;
    setup_grade(app, grade);
    scene::SheetOptions sheet;
    setup_sheet(app, sheet);
    FitOptions fit;
    setup_fit(app, fit);
    scene::FlightsOptions flights;
    setup_flights(app, flights);
    try {
        app.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        return app.exit(error) == 0 ? 0 : 2;
    } catch (const heatrow::Error& error) {
        fmt::print(stderr, "heatrow-scene: {}\n", error.what());
        return error.kind() == heatrow::ErrorKind::usage ? 2 : 1;
    } catch (const std::exception& error) {
        fmt::print(stderr, "heatrow-scene: internal error: {}\n", error.what());
        return 1;
    }
    return 0;
}
