#include "command.hpp"
#include "heatrow/core/error.hpp"
#include "heatrow/core/nearest_word.hpp"
#include "heatrow/pipeline/interrupt.hpp"
#include "version.hpp"

#include <fmt/format.h>

#include <csignal>
#include <exception>
#include <span>

namespace heatrow::cli {
namespace {

std::vector<std::unique_ptr<Command>> make_commands() {
    std::vector<std::unique_ptr<Command>> commands;
    commands.push_back(make_layout_command());
    commands.push_back(make_inspect_command());
    commands.push_back(make_calibrate_command());
    commands.push_back(make_check_command());
    commands.push_back(make_compare_command());
    commands.push_back(make_analyse_command());
    commands.push_back(make_measure_command());
    commands.push_back(make_joints_command());
    commands.push_back(make_review_command());
    commands.push_back(make_report_command());
    commands.push_back(make_bundle_command());
    return commands;
}

std::string examples_text(const Command& command) {
    std::string text = "Examples:\n";
    for (const std::string& example : command.examples()) {
        text += "  " + example + "\n";
    }
    return text;
}

// The first word that is no option, with the command of `app` that it could have been.
std::string command_hint(std::span<char*> arguments, const CLI::App& app) {
    std::vector<std::string> names;
    for (const CLI::App* command : app.get_subcommands({})) {
        names.push_back(command->get_name());
    }
    for (const char* argument : arguments) {
        if (argument[0] == '-') {
            continue;
        }
        if (std::find(names.begin(), names.end(), argument) != names.end()) {
            return {};
        }
        const auto nearest = nearest_word(argument, names);
        return fmt::format("There is no command '{}'.{}", argument, nearest ? " Did you mean '" + *nearest + "'?" : "");
    }
    return {};
}

// The first long option that `app` does not know, with the one it could have been.
std::string option_hint(std::span<char*> arguments, const CLI::App& app) {
    std::vector<std::string> known;
    for (const CLI::Option* option : app.get_options()) {
        for (const std::string& name : option->get_lnames()) {
            known.push_back("--" + name);
        }
    }
    for (const char* argument : arguments) {
        const std::string word = std::string(argument).substr(0, std::string(argument).find('='));
        if (!word.starts_with("--") || std::find(known.begin(), known.end(), word) != known.end()) {
            continue;
        }
        const auto nearest = nearest_word(word, known);
        return nearest ? fmt::format("Did you mean '{}'?", *nearest) : std::string{};
    }
    return {};
}

ExitCode report_usage(const CLI::ParseError& problem, std::span<char*> arguments, const CLI::App& app) {
    const auto chosen = app.get_subcommands();
    const auto nested = chosen.empty() ? chosen : chosen.front()->get_subcommands();
    const CLI::App& deepest = chosen.empty() ? app : nested.empty() ? *chosen.front() : *nested.front();
    const bool wants_command = !deepest.get_subcommands({}).empty();
    const auto self = std::find(arguments.begin(), arguments.end(), deepest.get_name());
    const std::span<char*> behind = self == arguments.end() ? arguments : std::span(self + 1, arguments.end());
    const std::string hint = wants_command ? command_hint(behind, deepest) : option_hint(arguments, deepest);
    std::string prefix = chosen.empty() ? "heatrow" : "heatrow " + chosen.front()->get_name();
    if (!nested.empty()) {
        prefix += " " + nested.front()->get_name();
    }
    if (wants_command && !hint.empty()) {
        fmt::print(stderr, "{}: {} See '{} --help'.\n", prefix, hint, prefix);
    } else {
        fmt::print(
            stderr, "{}: {}. {}{}See '{} --help'.\n", prefix, problem.what(), hint, hint.empty() ? "" : " ", prefix);
    }
    return ExitCode::usage;
}

ExitCode run_chosen(const CLI::App& app, const std::vector<std::unique_ptr<Command>>& commands) {
    const std::string chosen = app.get_subcommands().front()->get_name();
    try {
        for (const auto& command : commands) {
            if (command->name() == chosen) {
                return command->run();
            }
        }
    } catch (const Interrupted&) {
        fmt::print(stderr, "heatrow {}: interrupted; nothing was changed.\n", chosen);
        return ExitCode::interrupted;
    } catch (const Error& problem) {
        fmt::print(stderr, "heatrow {}: {}\n", chosen, problem.what());
        return problem.kind() == ErrorKind::usage ? ExitCode::usage : ExitCode::failed;
    } catch (const std::exception& problem) {
        fmt::print(stderr,
                   "heatrow {}: internal error: {}. Please report it with the command line.\n",
                   chosen,
                   problem.what());
        return ExitCode::failed;
    }
    return ExitCode::failed;
}

extern "C" void on_interrupt(int) {
    request_interrupt();
}

ExitCode run(int argc, char** argv) {
    CLI::App app(
        "heatrow analyses thermographic surveys of photovoltaic plants: thermal frames in, defect maps string by "
        "string out.",
        "heatrow");
    app.set_version_flag("--version", std::string("heatrow ") + kVersion);
    app.require_subcommand(1);
    app.footer(
        "'heatrow COMMAND --help' explains a command with examples.\n"
        "Exit codes: 0 done, 1 data or output error, 2 usage or configuration, 3 finished but outside limits "
        "(--strict), 130 interrupted.\n"
        "Safety: arrays are live whenever there is light; never open a connector or fuse under load; guard against\n"
        "falls, traffic and heat; follow the rules for drones. Local codes and licensed, qualified people decide what\n"
        "may be done.");
    const auto commands = make_commands();
    for (const auto& command : commands) {
        CLI::App* sub = app.add_subcommand(command->name(), command->summary());
        sub->footer(examples_text(*command));
        command->set_up(*sub);
    }
    const std::span<char*> arguments(argv + 1, static_cast<std::size_t>(argc > 0 ? argc - 1 : 0));
    if (arguments.empty()) {
        fmt::print("{}", app.help());
        return ExitCode::usage;
    }
    try {
        app.parse(argc, argv);
    } catch (const CLI::Success& request) {  // --help and --version
        app.exit(request);
        return ExitCode::done;
    } catch (const CLI::ParseError& problem) {
        return report_usage(problem, arguments, app);
    }
    std::signal(SIGINT, on_interrupt);
    std::signal(SIGTERM, on_interrupt);
    return run_chosen(app, commands);
}

}  // namespace
}  // namespace heatrow::cli

int main(int argc, char** argv) {
    return static_cast<int>(heatrow::cli::run(argc, argv));
}
