// One subcommand of the program. set_up() only declares options; run() does the work and opens the files.
#pragma once

#include <CLI/CLI.hpp>

#include <memory>
#include <string>
#include <vector>

namespace heatrow::cli {

// Exit codes of every command (docs/commands.md). Errors become codes in main.cpp.
enum class ExitCode {
    done = 0,
    failed = 1,          // data or output error
    usage = 2,           // usage or configuration
    outside_limits = 3,  // finished but outside limits; only with --strict
    interrupted = 130,
};

class Command {
  public:
    Command() = default;
    Command(const Command&) = delete;
    Command& operator=(const Command&) = delete;
    virtual ~Command() = default;

    [[nodiscard]] virtual std::string name() const = 0;
    // One line: the question that the command answers.
    [[nodiscard]] virtual std::string summary() const = 0;
    // Lines of the form "heatrow ...    # what it does", shown by --help.
    [[nodiscard]] virtual std::vector<std::string> examples() const = 0;
    virtual void set_up(CLI::App& app) = 0;
    virtual ExitCode run() = 0;
};

std::unique_ptr<Command> make_analyse_command();
std::unique_ptr<Command> make_bundle_command();
std::unique_ptr<Command> make_calibrate_command();
std::unique_ptr<Command> make_check_command();
std::unique_ptr<Command> make_compare_command();
std::unique_ptr<Command> make_inspect_command();
std::unique_ptr<Command> make_joints_command();
std::unique_ptr<Command> make_layout_command();
std::unique_ptr<Command> make_measure_command();
std::unique_ptr<Command> make_report_command();
std::unique_ptr<Command> make_review_command();

}  // namespace heatrow::cli
