// The annotated picture of `heatrow measure`.
#pragma once

#include "heatrow/report/temperature_scale.hpp"
#include "measure_report.hpp"

#include <CLI/CLI.hpp>

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace heatrow::cli {

class PictureOptions {
  public:
    void declare(CLI::App& app);
    // Refuses what cannot be drawn before any work is done. Throws Error.
    void check(bool overwrite) const;
    // Coldest and hottest pixel of another file of the series, read like this one.
    using RangeOfFile = std::function<ShownRange(const std::filesystem::path&)>;
    void write(const MeasureReport& report,
               ImageView<const float> temperature_c,
               const RangeOfFile& range_of_file,
               bool overwrite) const;

  private:
    [[nodiscard]] ShownRange limits(const MeasureReport& report,
                                    ImageView<const float> temperature_c,
                                    const RangeOfFile& range_of_file) const;

    std::vector<std::filesystem::path> files_;
    std::vector<double> limits_;
    std::optional<double> span_;
    std::vector<std::filesystem::path> series_;
    std::string palette_ = "inferno";
};

}  // namespace heatrow::cli
