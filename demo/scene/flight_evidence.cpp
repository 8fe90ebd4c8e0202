#include "flight_evidence.hpp"

#include "random.hpp"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <cmath>

namespace scene {
namespace {

// What no rendered frame tells: assumed.
constexpr double kWrongRow = 0.02;     // share of flights over a site whose layout has one row drawn a module off
constexpr double kTwoFlights = 0.3;    // share that pauses after some lane and goes on with another bias
constexpr double kLostFrames = 0.1;    // share of lanes with a run of frames lost
constexpr double kTrendPlaces = 15.0;  // correlation length of what is smooth along a row
constexpr int kRowsSeen = 2;

bool stands(const EvidenceRow& row, int place) {
    return place >= row.first && place < row.first + row.count && !std::ranges::binary_search(row.holes, place);
}

void draw_site(FlightEvidence& flight, Random& random) {
    flight.pitch_m = random.uniform(1.0, 1.3);
    flight.row_pitch_m = random.uniform(5.0, 8.0);
    const int rows = 2 + random.index(5);
    const int count = 30 + random.index(90);
    const bool staggered = random.uniform() < 0.4;
    for (int i = 0; i < rows; ++i) {
        EvidenceRow row;
        row.first = staggered ? random.index(6) : 0;
        row.count = count - (staggered ? random.index(6) : 0);
        for (int place = row.first + 2; place < row.first + row.count - 2; ++place) {
            if (random.uniform() < 0.002) {
                row.holes.push_back(place);
            }
        }
        flight.site.push_back(std::move(row));
    }
    flight.layout = flight.site;
    if (random.uniform() < kWrongRow) {
        flight.layout[static_cast<std::size_t>(random.index(rows))].first += random.uniform() < 0.5 ? 1 : -1;
    }
}

// What a frame sees at each place of the site, beyond its own noise.
struct PlaceLooks {
    double level_k = 0.0;
    bool is_imagined = false;  // a module that looks like ground in every view
};
struct RowLooks {
    std::vector<PlaceLooks> places;  // from place kBefore on
    bool low_end_overlooked = false;
    bool high_end_overlooked = false;
};
constexpr int kBefore = -20;
constexpr int kBeyond = 40;

std::vector<RowLooks> draw_looks(const FlightEvidence& flight, const EvidenceStatistics& statistics, Random& random) {
    std::vector<RowLooks> looks;
    for (const EvidenceRow& row : flight.site) {
        RowLooks own;
        own.low_end_overlooked = random.uniform() < statistics.overlooked_ends;
        own.high_end_overlooked = random.uniform() < statistics.overlooked_ends;
        const double keep = std::exp(-1.0 / kTrendPlaces);
        double trend = random.normal();
        for (int place = kBefore; place < row.first + row.count + kBeyond; ++place) {
            trend = keep * trend + std::sqrt(1.0 - keep * keep) * random.normal();
            own.places.push_back({statistics.module_spread_k * random.normal() + statistics.module_trend_k * trend,
                                  random.uniform() < statistics.imagined_modules});
        }
        looks.push_back(std::move(own));
    }
    return looks;
}

void see(EvidenceFrame& frame,
         const FlightEvidence& flight,
         const std::vector<RowLooks>& looks,
         const EvidenceStatistics& statistics,
         Random& random) {
    const double gradient = statistics.view_trend_k * random.normal();  // along the picture
    for (int row = 0; row < kRowsSeen; ++row) {
        const auto true_row = static_cast<std::size_t>(frame.true_row + row);
        if (true_row >= flight.site.size()) {
            frame.means_k.emplace_back(static_cast<std::size_t>(frame.places), std::nan(""));
            continue;
        }
        const EvidenceRow& site = flight.site[true_row];
        const RowLooks& own = looks[true_row];
        const bool low_overlooked = own.low_end_overlooked || random.uniform() < statistics.overlooked_views;
        const bool high_overlooked = own.high_end_overlooked || random.uniform() < statistics.overlooked_views;
        std::vector<double> means;
        for (int place = 0; place < frame.places; ++place) {
            const int there = frame.true_place + place;
            const PlaceLooks& look = own.places[static_cast<std::size_t>(there - kBefore)];
            bool seen_as_module = false;
            if (stands(site, there)) {
                seen_as_module = !look.is_imagined && random.uniform() >= statistics.imagined_views;
            } else if (there < site.first) {
                seen_as_module = low_overlooked;
                frame.sees_row_end = true;
            } else if (there >= site.first + site.count) {
                seen_as_module = high_overlooked;
                frame.sees_row_end = true;
            } else {
                seen_as_module = random.uniform() < statistics.overlooked_views;
            }
            const double share = static_cast<double>(place) / (frame.places - 1) - 0.5;
            means.push_back(seen_as_module ? look.level_k + statistics.view_noise_k * random.normal() +
                                                 std::sqrt(12.0) * gradient * share
                                           : std::nan(""));
        }
        frame.means_k.push_back(std::move(means));
    }
}

// Error of the logged position: a bias that wanders.
class Bias {
  public:
    Bias(const EvidenceStatistics& statistics, Random& random) : statistics_(statistics), random_(random) { draw(); }

    void draw() {
        const double direction = random_.uniform(0.0, 6.283185307179586);
        const double length =
            statistics_.bias_m * std::sqrt(-2.0 * std::log(1.0 - random_.uniform())) / 1.4142135623730951;
        along_ = length * std::cos(direction);
        across_ = length * std::sin(direction);
    }
    void wander(double seconds) {
        along_ += statistics_.walk_m_per_sqrt_s * std::sqrt(seconds) * random_.normal();
        across_ += statistics_.walk_m_per_sqrt_s * std::sqrt(seconds) * random_.normal();
    }
    double logged_along(double true_m) { return true_m + along_ + statistics_.fix_noise_m * random_.normal(); }
    double logged_across(double true_m) { return true_m + across_ + statistics_.fix_noise_m * random_.normal(); }

  private:
    const EvidenceStatistics& statistics_;
    Random& random_;
    double along_ = 0.0;
    double across_ = 0.0;
};

}  // namespace

FlightEvidence simulate_flight(const EvidenceStatistics& statistics, std::uint64_t seed, int number) {
    Random random(seed, Stream::evidence, static_cast<std::uint64_t>(number));
    FlightEvidence flight;
    draw_site(flight, random);
    const std::vector<RowLooks> looks = draw_looks(flight, statistics, random);
    Bias bias(statistics, random);
    const int seen = 10 + random.index(8);
    const int step = 2 + random.index(3);
    const bool to_the_ends = random.uniform() < 0.8;
    constexpr double kFrame_s = 1.5;
    constexpr double kTurn_s = 12.0;
    constexpr double kPause_s = 300.0;
    const int lanes = std::max(1, static_cast<int>(flight.site.size()) - 1);
    const int pause_after = random.uniform() < kTwoFlights ? random.index(lanes) : -1;
    const int from = to_the_ends ? -2 : 6;
    const int to = flight.site.front().count - seen + (to_the_ends ? 4 : -6);
    double time_s = 0.0;
    for (int lane = 0; lane < lanes; ++lane) {
        const int steps = std::max(1, (to - from) / step);
        const bool loses = random.uniform() < kLostFrames;
        const int lost_from = loses ? random.index(steps) : steps + 1;
        const int lost_to = lost_from + 4 + random.index(12);
        for (int i = 0; i <= steps; ++i) {
            const int at = lane % 2 == 0 ? from + i * step : to - i * step;
            bias.wander(kFrame_s);
            time_s += kFrame_s;
            if (i >= lost_from && i < lost_to) {
                continue;
            }
            EvidenceFrame frame;
            frame.time_s = time_s;
            frame.lane = lane;
            frame.places = seen;
            frame.true_place = at;
            frame.true_row = lane;
            frame.logged_along_m = bias.logged_along(at * flight.pitch_m);
            frame.logged_across_m = bias.logged_across(lane * flight.row_pitch_m);
            see(frame, flight, looks, statistics, random);
            flight.frames.push_back(std::move(frame));
        }
        time_s += kTurn_s;
        bias.wander(kTurn_s);
        if (lane == pause_after) {
            time_s += kPause_s;
            bias.draw();
        }
    }
    return flight;
}

std::string evidence_line(const FlightEvidence& flight, int number) {
    using nlohmann::ordered_json;
    const auto thousandths = [](double value) {
        return std::isnan(value) ? ordered_json() : ordered_json(std::lround(value * 1e3));
    };
    ordered_json rows = ordered_json::array();
    for (const EvidenceRow& row : flight.layout) {
        rows.push_back({{"first", row.first}, {"count", row.count}, {"holes", row.holes}});
    }
    ordered_json frames = ordered_json::array();
    for (const EvidenceFrame& frame : flight.frames) {
        ordered_json means = ordered_json::array();
        for (const auto& row : frame.means_k) {
            ordered_json values = ordered_json::array();
            for (const double value : row) {
                values.push_back(thousandths(value));
            }
            means.push_back(std::move(values));
        }
        frames.push_back({{"time_ms", std::lround(frame.time_s * 1e3)},
                          {"lane", frame.lane},
                          {"along_mm", std::lround(frame.logged_along_m * 1e3)},
                          {"across_mm", std::lround(frame.logged_across_m * 1e3)},
                          {"means_mk", std::move(means)}});
    }
    return ordered_json{{"flight", number},
                        {"pitch_mm", std::lround(flight.pitch_m * 1e3)},
                        {"row_pitch_mm", std::lround(flight.row_pitch_m * 1e3)},
                        {"rows", rows},
                        {"frames", frames}}
        .dump();
}

std::string evidence_truth_line(const FlightEvidence& flight, int number) {
    nlohmann::ordered_json frames = nlohmann::ordered_json::array();
    nlohmann::ordered_json ends = nlohmann::ordered_json::array();
    for (std::size_t i = 0; i < flight.frames.size(); ++i) {
        const EvidenceFrame& frame = flight.frames[i];
        frames.push_back({frame.true_place, frame.true_row});
        if (frame.sees_row_end) {
            ends.push_back(i);
        }
    }
    nlohmann::ordered_json wrong = nlohmann::ordered_json::array();
    for (std::size_t i = 0; i < flight.site.size(); ++i) {
        if (flight.layout[i].first != flight.site[i].first) {
            wrong.push_back(i);
        }
    }
    return nlohmann::ordered_json{{"flight", number}, {"frames", frames}, {"row_ends", ends}, {"wrong_rows", wrong}}
        .dump();
}

}  // namespace scene
