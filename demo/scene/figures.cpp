#include "figures.hpp"

#include "random.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

namespace scene {
namespace {

constexpr double kZ = 1.959963985;  // 97.5 % point of the normal distribution
constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

Figure empty(const std::string& name, const std::string& unit) {
    return {name, unit, kNone, kNone, kNone, 0};
}

}  // namespace

Figure share_figure(const std::string& name, int successes, int count, double factor, const std::string& unit) {
    if (count == 0) {
        return empty(name, unit);
    }
    const double n = count;
    const double p = successes / n;
    const double middle = (p + kZ * kZ / (2.0 * n)) / (1.0 + kZ * kZ / n);
    const double half = kZ / (1.0 + kZ * kZ / n) * std::sqrt(p * (1.0 - p) / n + kZ * kZ / (4.0 * n * n));
    return {name, unit, factor * p, factor * std::max(0.0, middle - half), factor * (middle + half), count};
}

Figure mean_figure(const std::string& name, const std::vector<double>& values, const std::string& unit) {
    if (values.empty()) {
        return empty(name, unit);
    }
    const double n = static_cast<double>(values.size());
    double mean = 0.0;
    for (const double value : values) {
        mean += value / n;
    }
    double squares = 0.0;
    for (const double value : values) {
        squares += (value - mean) * (value - mean);
    }
    const double half = values.size() < 2 ? kNone : kZ * std::sqrt(squares / (n - 1.0) / n);
    return {name, unit, mean, mean - half, mean + half, static_cast<int>(values.size())};
}

Figure rms_figure(const std::string& name, const std::vector<double>& values, const std::string& unit) {
    if (values.empty()) {
        return empty(name, unit);
    }
    const double n = static_cast<double>(values.size());
    double squares = 0.0;
    for (const double value : values) {
        squares += value * value;
    }
    const double rms = std::sqrt(squares / n);
    // The approximation of the chi-square quantiles is poor for fewer.
    constexpr int kFewest = 5;
    if (values.size() < kFewest) {
        return {name, unit, rms, kNone, kNone, static_cast<int>(values.size())};
    }
    const auto chi_square_over_n = [n](double z) {
        const double base = std::max(1e-6, 1.0 - 2.0 / (9.0 * n) + z * std::sqrt(2.0 / (9.0 * n)));
        return base * base * base;
    };
    return {name,
            unit,
            rms,
            rms / std::sqrt(chi_square_over_n(kZ)),
            rms / std::sqrt(chi_square_over_n(-kZ)),
            static_cast<int>(values.size())};
}

Figure quantile_figure(const std::string& name, std::vector<double> values, double quantile, const std::string& unit) {
    if (values.empty()) {
        return empty(name, unit);
    }
    std::ranges::sort(values);
    const double n = static_cast<double>(values.size());
    const auto at = [&values, n](double place) {
        const double inside = std::clamp(place, 0.0, n - 1.0);
        const auto i = static_cast<std::size_t>(inside);
        const std::size_t next = std::min(i + 1, values.size() - 1);
        return values[i] + (inside - static_cast<double>(i)) * (values[next] - values[i]);
    };
    const double half = kZ * std::sqrt(n * quantile * (1.0 - quantile));
    const double place = quantile * (n - 1.0);
    return {name, unit, at(place), at(place - half), at(place + half), static_cast<int>(values.size())};
}

Figure bootstrap_figure(const std::string& name,
                        int count,
                        const std::function<double(const std::vector<int>&)>& statistic,
                        const std::string& unit) {
    if (count == 0) {
        return empty(name, unit);
    }
    constexpr int kResamples = 400;
    std::vector<int> chosen(static_cast<std::size_t>(count));
    std::iota(chosen.begin(), chosen.end(), 0);
    const double value = statistic(chosen);
    Random random(1, Stream::bootstrap);
    std::vector<double> values;
    for (int i = 0; i < kResamples; ++i) {
        for (int& index : chosen) {
            index = random.index(count);
        }
        values.push_back(statistic(chosen));
    }
    std::ranges::sort(values);
    const auto at = [&values](double quantile) {
        return values[static_cast<std::size_t>(quantile * static_cast<double>(values.size() - 1))];
    };
    return {name, unit, value, at(0.025), at(0.975), count};
}

}  // namespace scene
