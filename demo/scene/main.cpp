// heatrow-scene: renders invented surveys with known truth.
#include <fmt/format.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <exception>

#include "heatrow/core/error.hpp"
#include "render.hpp"

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
    command->footer("Example:\n  heatrow-scene render demo/sites/quick/scene.toml --out demo/out/quick/survey");
    command->callback([&options] {
        const bool terminal = isatty(STDERR_FILENO) != 0;
        const auto summary = scene::render_scene(options, [terminal](int done, int all) {
            if (terminal) {
                fmt::print(stderr, "\r{} of {} frames{}", done, all, done == all ? "\n" : "");
            }
        });
        fmt::print("{}: {} frames, {} modules in {} strings, median {:.0f} whole views a module, {} faults, {} in scope\n",
                   options.out.string(), summary.frames, summary.modules, summary.strings, summary.median_views,
                   summary.faults, summary.in_scope);
    });
}

}  // namespace

int main(int argc, char** argv) {
    CLI::App app("Renders invented thermographic surveys of PV plants with known truth, and grades results on them.");
    app.name("heatrow-scene");
    app.require_subcommand(1);
    scene::RenderOptions render;
    setup_render(app, render);
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
