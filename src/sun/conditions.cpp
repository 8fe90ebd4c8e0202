#include "heatrow/sun/conditions.hpp"

#include <algorithm>
#include <cmath>
#include <deque>

namespace heatrow {
namespace {

using std::chrono::milliseconds;
using Rows = std::vector<ConditionsRow>;

double seconds_between(UtcTime from, UtcTime to) {
    return static_cast<double>((to - from).count()) / 1000.0;
}

UtcTime later_by(UtcTime time, double seconds) {
    return time + milliseconds(std::llround(seconds * 1000.0));
}

// Columns by name, as plain numbers.
double poa_of(const ConditionsRow& row) {
    return row.poa.value();
}
double wind_of(const ConditionsRow& row) {
    return row.wind.value();
}
double air_of(const ConditionsRow& row) {
    return row.air.value();
}
double humidity_of(const ConditionsRow& row) {
    return row.relative_humidity_percent;
}
double load_of(const ConditionsRow& row) {
    return row.load_fraction;
}
using Column = double (*)(const ConditionsRow&);

// Index of the first row later than `time`.
std::size_t first_after(const Rows& rows, UtcTime time) {
    const auto found = std::upper_bound(
        rows.begin(), rows.end(), time, [](UtcTime t, const ConditionsRow& row) { return t < row.time; });
    return static_cast<std::size_t>(found - rows.begin());
}

// A column between its two rows nearest in time that hold it.
struct Between {
    double before = kNaN;
    double after = kNaN;
    double fraction = 0.0;  // of the way from before to after

    [[nodiscard]] double value() const { return before + fraction * (after - before); }
};

std::optional<Between> between_rows(const ConditionsSeries& series, UtcTime time, Column column) {
    const Rows& rows = series.rows();
    if (rows.empty() || time < series.begins() || time > series.ends()) {
        return std::nullopt;
    }
    const milliseconds reach = series.maximum_gap();
    const std::size_t after = first_after(rows, time);
    std::optional<std::size_t> earlier;
    for (std::size_t i = after; i-- > 0 && time - rows[i].time <= reach;) {
        if (!std::isnan(column(rows[i]))) {
            earlier = i;
            break;
        }
    }
    if (earlier && rows[*earlier].time == time) {
        return Between{column(rows[*earlier]), column(rows[*earlier]), 0.0};
    }
    std::optional<std::size_t> later;
    for (std::size_t i = after; i < rows.size() && rows[i].time - time <= reach; ++i) {
        if (!std::isnan(column(rows[i]))) {
            later = i;
            break;
        }
    }
    if (earlier && later) {
        const milliseconds gap = rows[*later].time - rows[*earlier].time;
        if (gap > reach) {
            return std::nullopt;
        }
        const double fraction =
            static_cast<double>((time - rows[*earlier].time).count()) / static_cast<double>(gap.count());
        return Between{column(rows[*earlier]), column(rows[*later]), fraction};
    }
    // Half an interval beyond a row that is a mean over the interval.
    const milliseconds half = series.logger().interval / 2;
    const auto only = earlier ? earlier : later;
    if (only && std::chrono::abs(rows[*only].time - time) <= half) {
        return Between{column(rows[*only]), column(rows[*only]), 0.0};
    }
    return std::nullopt;
}

// Uncertainty of a value between rows: what lies between two samples, or inside one mean, is not known better than to
// a share of their difference (rectangular distribution over it, narrowing to nothing at a sample).
double interpolation_u(const Between& between, bool rows_are_means) {
    const double half_range = std::abs(between.after - between.before) / 2.0;
    const double share = rows_are_means ? 1.0 : 2.0 * std::sqrt(between.fraction * (1.0 - between.fraction));
    return share * half_range / std::sqrt(3.0);
}

// The irradiance before `time`, youngest first, for the thermal lag.
std::vector<AgedValue> irradiance_history(const ConditionsSeries& series, UtcTime time, double window_s) {
    std::vector<AgedValue> history;
    const auto now = between_rows(series, time, poa_of);
    if (!now) {
        return history;
    }
    history.push_back({0.0, now->value()});
    const Rows& rows = series.rows();
    UtcTime younger = time;
    for (std::size_t i = first_after(rows, time); i-- > 0;) {
        if (std::isnan(poa_of(rows[i])) || rows[i].time == time) {
            continue;
        }
        if (younger - rows[i].time > series.maximum_gap()) {
            break;
        }
        history.push_back({seconds_between(rows[i].time, time), poa_of(rows[i])});
        younger = rows[i].time;
        if (history.back().age_s >= window_s) {
            break;
        }
    }
    return history;
}

// Five time constants hold 99.3 % of the weight.
constexpr double kTimeConstantsLookedBack = 5.0;

LaggedValue felt(const ConditionsSeries& series, UtcTime time, double rate_per_s) {
    const double window_s = kTimeConstantsLookedBack / rate_per_s;
    return lagged_mean(irradiance_history(series, time, window_s), rate_per_s, window_s);
}

// Half of the range of a function over `time` +- half_window_s as a standard uncertainty (rectangular).
template <class Function>
double range_u(UtcTime time, double half_window_s, Function value_at) {
    if (!(half_window_s > 0.0)) {
        return 0.0;
    }
    constexpr int kSteps = 8;
    double low = kNaN;
    double high = kNaN;
    for (int i = -kSteps; i <= kSteps; ++i) {
        const double value = value_at(later_by(time, half_window_s * i / kSteps));
        low = std::fmin(low, value);  // NaN is passed over
        high = std::fmax(high, value);
    }
    return std::isnan(low) ? 0.0 : (high - low) / 2.0 / std::sqrt(3.0);
}

// A cloud edge over the sensor is over the modules up to this much earlier or later.
double travel_time_s(const LoggerDescription& logger) {
    return logger.cloud_speed.value() > 0.0 ? logger.distance / Metres(logger.cloud_speed.value()) : 0.0;
}

Uncertain<WattsPerSquareMetre> irradiance_now(const ConditionsSeries& series, UtcTime time) {
    const LoggerDescription& logger = series.logger();
    const auto between = between_rows(series, time, poa_of);
    if (!between) {
        return {};
    }
    const double distance_u = range_u(time, travel_time_s(logger), [&](UtcTime t) {
        const auto there = between_rows(series, t, poa_of);
        return there ? there->value() : kNaN;
    });
    const double value = between->value();
    const double u = combine_independent(series.irradiance_gain_u(time, WattsPerSquareMetre(value)),
                                         interpolation_u(*between, logger.interval > milliseconds(0)),
                                         distance_u);
    return {WattsPerSquareMetre(value), u};
}

// The time constant is known to about this share (published values of 5 to 8 minutes; from memory).
constexpr double kTimeConstantShare = 0.25;
// Wind where the log has none: the reference wind of module temperature tests.
constexpr double kUnknownWindMPerS = 1.0;

Uncertain<WattsPerSquareMetre> irradiance_felt(const ConditionsSeries& series, UtcTime time, double wind_m_s) {
    const LoggerDescription& logger = series.logger();
    const double wind = std::isnan(wind_m_s) ? kUnknownWindMPerS : wind_m_s;
    const double rate = thermal_rate_per_s(MetresPerSecond(wind), logger.module_mass_kg_per_m2);
    const LaggedValue lagged = felt(series, time, rate);
    if (std::isnan(lagged.value)) {
        return {};
    }
    const double distance_u =
        range_u(time, travel_time_s(logger), [&](UtcTime t) { return felt(series, t, rate).value; });
    const double slow = felt(series, time, rate * (1.0 - kTimeConstantShare)).value;
    const double fast = felt(series, time, rate * (1.0 + kTimeConstantShare)).value;
    const double constant_u = std::abs(slow - fast) / 2.0;
    // What the module felt before the log began may have been anything between nothing and as much again.
    const double start_u = lagged.missing_weight > std::exp(-kTimeConstantsLookedBack) * 1.01
                               ? lagged.missing_weight * lagged.value / std::sqrt(3.0)
                               : 0.0;
    const double u = combine_independent(
        series.irradiance_gain_u(time, WattsPerSquareMetre(lagged.value)), distance_u, constant_u, start_u);
    return {WattsPerSquareMetre(lagged.value), u};
}

// Cloud cover is observed now and then and holds until the next observation.
double cloud_observed(const ConditionsSeries& series, UtcTime time) {
    const Rows& rows = series.rows();
    for (std::size_t i = first_after(rows, time);
         i-- > 0 && time - rows[i].time <= series.logger().observation_lifetime;) {
        if (!std::isnan(rows[i].cloud_okta)) {
            return rows[i].cloud_okta;
        }
    }
    return kNaN;
}

// Least and greatest value of the last samples, kept while a window slides along.
class SlidingRange {
  public:
    void push(UtcTime time, double value) {
        while (!low_.empty() && low_.back().value >= value) {
            low_.pop_back();
        }
        low_.push_back({time, value});
        while (!high_.empty() && high_.back().value <= value) {
            high_.pop_back();
        }
        high_.push_back({time, value});
    }
    void drop_before(UtcTime time) {
        while (!low_.empty() && low_.front().time < time) {
            low_.pop_front();
        }
        while (!high_.empty() && high_.front().time < time) {
            high_.pop_front();
        }
    }
    // Greatest change from a value in the window to this one, as a share of the smaller of the two.
    [[nodiscard]] double change_to(double value) const {
        constexpr double kDarkW = 1.0;  // keeps the share finite at night
        const auto share = [&](double other) {
            return std::abs(value - other) / std::max(std::min(value, other), kDarkW);
        };
        double change = 0.0;
        if (!low_.empty()) {
            change = std::max(share(low_.front().value), share(high_.front().value));
        }
        return change;
    }

  private:
    struct Entry {
        UtcTime time;
        double value;
    };
    std::deque<Entry> low_;
    std::deque<Entry> high_;
};

milliseconds median_spacing(const Rows& rows) {
    if (rows.size() < 2) {
        return milliseconds(0);
    }
    std::vector<milliseconds> spacings;
    spacings.reserve(rows.size() - 1);
    for (std::size_t i = 1; i < rows.size(); ++i) {
        spacings.push_back(rows[i].time - rows[i - 1].time);
    }
    const auto middle = spacings.begin() + static_cast<std::ptrdiff_t>(spacings.size() / 2);
    std::nth_element(spacings.begin(), middle, spacings.end());
    return *middle;
}

Flags flags_against(const FrameConditions& conditions, const ConditionsLimits& limits, bool steady) {
    Flags flags;
    if (conditions.irradiance.value < limits.minimum_irradiance) {
        flags.set(Flag::irradiance_below_minimum);
    }
    if (conditions.wind.value > limits.maximum_wind) {
        flags.set(Flag::wind_above_maximum);
    }
    if (!steady) {
        flags.set(Flag::irradiance_unsteady);
    }
    if (conditions.cloud_okta > limits.maximum_cloud_okta) {  // false where either is not known
        flags.set(Flag::cloud_above_maximum);
    }
    if (std::isnan(conditions.load_fraction.value)) {
        flags.set(Flag::load_unknown);
    }
    return flags;
}

Rejection not_covered(const ConditionsSeries& series, UtcTime time) {
    std::string detail = "the conditions log has no irradiance at " + to_iso8601(time);
    if (series.empty()) {
        detail += ": it has no rows";
    } else if (time < series.begins() || time > series.ends()) {
        detail += ": it runs from " + to_iso8601(series.begins()) + " to " + to_iso8601(series.ends()) +
                  ". Check the clocks of camera and log, or give the log of that day";
    } else {
        detail += ": it has a gap there longer than " +
                  std::to_string(std::chrono::duration_cast<std::chrono::seconds>(series.maximum_gap()).count()) +
                  " s. Give a log without the gap, or leave the frame out";
    }
    return {RejectReason::no_conditions, detail};
}

}  // namespace

ConditionsSeries::ConditionsSeries(Rows rows, LoggerDescription logger) : rows_(std::move(rows)), logger_(logger) {
    const auto earlier = [](const ConditionsRow& a, const ConditionsRow& b) { return a.time < b.time; };
    const auto same = [](const ConditionsRow& a, const ConditionsRow& b) { return a.time == b.time; };
    std::stable_sort(rows_.begin(), rows_.end(), earlier);
    rows_.erase(std::unique(rows_.begin(), rows_.end(), same), rows_.end());
    usual_spacing_ = median_spacing(rows_);
}

UtcTime ConditionsSeries::begins() const {
    return rows_.empty() ? UtcTime{} : rows_.front().time - logger_.interval / 2;
}

UtcTime ConditionsSeries::ends() const {
    return rows_.empty() ? UtcTime{} : rows_.back().time + logger_.interval / 2;
}

milliseconds ConditionsSeries::maximum_gap() const {
    return logger_.maximum_gap > milliseconds(0) ? logger_.maximum_gap : 3 * usual_spacing_;
}

std::optional<WattsPerSquareMetre> ConditionsSeries::irradiance_at(UtcTime time) const {
    const auto between = between_rows(*this, time, poa_of);
    return between ? std::optional(WattsPerSquareMetre(between->value())) : std::nullopt;
}

double ConditionsSeries::irradiance_gain_u(UtcTime time, WattsPerSquareMetre irradiance) const {
    // Of the row before, or of the first one: the sun moves little between rows.
    const std::size_t after = first_after(rows_, time);
    const double model = rows_.empty() ? 0.0 : rows_[after > 0 ? after - 1 : 0].poa_model_u;
    const double share = combine_independent(logger_.irradiance_u_share, model);
    return combine_independent(share * irradiance.value(), logger_.irradiance_u_offset.value());
}

std::optional<WattsPerSquareMetre> ConditionsSeries::irradiance_felt_at(UtcTime time, MetresPerSecond wind) const {
    const double rate = thermal_rate_per_s(wind, logger_.module_mass_kg_per_m2);
    const LaggedValue lagged = felt(*this, time, rate);
    return std::isnan(lagged.value) ? std::nullopt : std::optional(WattsPerSquareMetre(lagged.value));
}

std::optional<UtcTime> ConditionsSeries::last_unsteady(UtcTime time, const ConditionsLimits& limits) const {
    constexpr std::chrono::minutes kMinute(1);
    const UtcTime from = time - limits.settling_time;
    std::optional<UtcTime> last;
    SlidingRange recent;
    std::size_t i = first_after(rows_, from - std::max<milliseconds>(kMinute, maximum_gap()));
    std::optional<ConditionsRow> previous;
    // One row beyond `time` counts: the change towards it may already be under way.
    for (bool beyond = false; i < rows_.size() && !beyond; ++i) {
        const ConditionsRow& row = rows_[i];
        if (std::isnan(row.poa.value())) {
            continue;
        }
        beyond = row.time >= time;
        recent.drop_before(row.time - kMinute);
        double change = recent.change_to(row.poa.value());
        if (previous && row.time - previous->time > kMinute && row.time - previous->time <= maximum_gap()) {
            SlidingRange neighbour;
            neighbour.push(previous->time, previous->poa.value());
            change = neighbour.change_to(row.poa.value());
        }
        if (change > limits.maximum_change_per_minute && row.time >= from) {
            last = std::min(row.time, time);
        }
        recent.push(row.time, row.poa.value());
        previous = row;
    }
    return last;
}

tl::expected<FrameConditions, Rejection> ConditionsSeries::at(UtcTime time, const ConditionsLimits& limits) const {
    FrameConditions conditions;
    conditions.irradiance = irradiance_now(*this, time);
    if (!conditions.irradiance.is_known()) {
        return tl::make_unexpected(not_covered(*this, time));
    }
    conditions.irradiance_is_modelled = logger_.irradiance_is_modelled;
    const bool means = logger_.interval > milliseconds(0);
    if (const auto wind = between_rows(*this, time, wind_of)) {
        const double u = combine_independent(
            logger_.wind_u.value(), logger_.wind_u_share * wind->value(), interpolation_u(*wind, means));
        conditions.wind = {MetresPerSecond(wind->value()), u};
    }
    if (const auto air = between_rows(*this, time, air_of)) {
        conditions.air = {Celsius(air->value()),
                          combine_independent(logger_.air_u.value(), interpolation_u(*air, means))};
    }
    if (const auto humidity = between_rows(*this, time, humidity_of)) {
        conditions.relative_humidity_percent = humidity->value();
    }
    if (const auto load = between_rows(*this, time, load_of)) {
        conditions.load_fraction = {load->value(), combine_independent(logger_.load_u, interpolation_u(*load, means))};
    }
    conditions.cloud_okta = cloud_observed(*this, time);
    conditions.irradiance_felt = irradiance_felt(*this, time, conditions.wind.value.value());
    conditions.flags = flags_against(conditions, limits, !last_unsteady(time, limits).has_value());
    return conditions;
}

}  // namespace heatrow
