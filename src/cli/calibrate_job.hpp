// The jobs of `heatrow calibrate`.
#pragma once

#include "command.hpp"

#include <CLI/CLI.hpp>

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

namespace heatrow::cli {

class CalibrateJob {
  public:
    CalibrateJob() = default;
    CalibrateJob(const CalibrateJob&) = delete;
    CalibrateJob& operator=(const CalibrateJob&) = delete;
    virtual ~CalibrateJob() = default;

    [[nodiscard]] virtual std::string name() const = 0;
    [[nodiscard]] virtual std::string summary() const = 0;
    [[nodiscard]] virtual std::string footer() const = 0;
    virtual void set_up(CLI::App& app) = 0;
    virtual ExitCode run() = 0;
};

std::unique_ptr<CalibrateJob> make_calibrate_camera();
std::unique_ptr<CalibrateJob> make_calibrate_flat_field();
std::unique_ptr<CalibrateJob> make_calibrate_reflected();
std::unique_ptr<CalibrateJob> make_calibrate_emissivity();

// Files as they are, folders as the files in them, in natural order of names.
std::vector<std::filesystem::path> listed_files(const std::vector<std::filesystem::path>& given);

}  // namespace heatrow::cli
