// A command that consists of several jobs, each a word of its own behind the command's.
#pragma once

#include "command.hpp"

#include <memory>
#include <string>
#include <vector>

namespace heatrow::cli {

class Job {
  public:
    Job() = default;
    Job(const Job&) = delete;
    Job& operator=(const Job&) = delete;
    virtual ~Job() = default;

    [[nodiscard]] virtual std::string name() const = 0;
    [[nodiscard]] virtual std::string summary() const = 0;
    [[nodiscard]] virtual std::string footer() const = 0;
    virtual void set_up(CLI::App& app) = 0;
    virtual ExitCode run() = 0;
};

class CommandOfJobs : public Command {
  public:
    explicit CommandOfJobs(std::vector<std::unique_ptr<Job>> jobs) : jobs_(std::move(jobs)) {}
    void set_up(CLI::App& app) override {
        app.require_subcommand(1);
        for (const auto& job : jobs_) {
            CLI::App* sub = app.add_subcommand(job->name(), job->summary());
            sub->footer(job->footer());
            job->set_up(*sub);
        }
        app_ = &app;
    }
    ExitCode run() override {
        const std::string chosen = app_->get_subcommands().front()->get_name();
        for (const auto& job : jobs_) {
            if (job->name() == chosen) {
                return job->run();
            }
        }
        return ExitCode::usage;
    }

  private:
    std::vector<std::unique_ptr<Job>> jobs_;
    const CLI::App* app_ = nullptr;
};

// Takes ownership one by one: lists of unique pointers cannot be written down.
template <class... Jobs>
std::vector<std::unique_ptr<Job>> jobs_of(Jobs... jobs) {
    std::vector<std::unique_ptr<Job>> list;
    (list.push_back(std::move(jobs)), ...);
    return list;
}

}  // namespace heatrow::cli
