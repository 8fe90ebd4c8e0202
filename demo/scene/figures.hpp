// Figures with their count and 95 % interval.
#pragma once

#include <functional>
#include <string>
#include <vector>

namespace scene {

struct Figure {
    std::string name;  // stable, e.g. "recall_in_scope"
    std::string unit;  // "%", "K", "px", "per 1000 modules", ""
    double value = 0.0;
    double low = 0.0;  // 95 % interval
    double high = 0.0;
    int count = 0;  // of what it was taken over
};

// Share of successes, times `factor`; Wilson's interval (Wilson 1927). NaN where count is 0.
Figure share_figure(
    const std::string& name, int successes, int count, double factor = 100.0, const std::string& unit = "%");
// Mean with the interval of a normal distribution.
Figure mean_figure(const std::string& name, const std::vector<double>& values, const std::string& unit);
// Root mean square; interval by the chi-square distribution (Wilson and Hilferty 1931).
Figure rms_figure(const std::string& name, const std::vector<double>& values, const std::string& unit);
// Quantile (0.5 = median) with the interval of order statistics.
Figure quantile_figure(const std::string& name, std::vector<double> values, double quantile, const std::string& unit);

// Any statistic of indexed cases, with the interval of 400 resamplings with replacement (Efron 1979; percentiles). The
// draws are the same on every run. `statistic` gets the chosen indices.
Figure bootstrap_figure(const std::string& name,
                        int count,
                        const std::function<double(const std::vector<int>&)>& statistic,
                        const std::string& unit);

}  // namespace scene
