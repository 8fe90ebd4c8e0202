#include "flight_evidence.hpp"

#include "random.hpp"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <array>
#include <cmath>

namespace scene {
namespace {

// Shares that rendered frames do not tell yet: how often a witness is overlooked or imagined. Assumed.
constexpr double kOverlooked = 0.05;
constexpr double kImagined = 0.02;
constexpr int kRowsSeen = 2;

bool stands(const FlightEvidence& flight, int row, int place) {
    if (row < 0 || row >= static_cast<int>(flight.rows.size())) {
        return false;
    }
    const EvidenceRow& r = flight.rows[static_cast<std::size_t>(row)];
    return place >= r.first && place < r.first + r.count && !std::ranges::binary_search(r.holes, place);
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
        flight.rows.push_back(std::move(row));
    }
}

void see(EvidenceFrame& frame,
         const FlightEvidence& flight,
         const std::vector<std::vector<double>>& levels,
         const EvidenceStatistics& statistics,
         Random& random) {
    for (int row = 0; row < kRowsSeen; ++row) {
        std::vector<double> means;
        for (int place = 0; place < frame.places; ++place) {
            const int there = frame.true_place + place;
            const int true_row = frame.true_row + row;
            if (stands(flight, true_row, there)) {
                means.push_back(levels[static_cast<std::size_t>(true_row)][static_cast<std::size_t>(there)] +
                                statistics.view_noise_k * random.normal());
            } else {
                means.push_back(std::nan(""));
            }
            if (true_row >= static_cast<int>(flight.rows.size())) {
                continue;
            }
            const EvidenceRow& r = flight.rows[static_cast<std::size_t>(true_row)];
            const bool overlooked = random.uniform() < kOverlooked;
            if (there == r.first && !overlooked) {
                frame.witnesses.push_back({Witness::Kind::low_end, row, place});
            } else if (there == r.first + r.count - 1 && !overlooked) {
                frame.witnesses.push_back({Witness::Kind::high_end, row, place});
            } else if (std::ranges::binary_search(r.holes, there) && !overlooked) {
                frame.witnesses.push_back({Witness::Kind::hole, row, place});
            }
        }
        frame.means_k.push_back(std::move(means));
    }
    if (random.uniform() < kImagined) {
        frame.witnesses.push_back({Witness::Kind::hole, random.index(kRowsSeen), random.index(frame.places)});
    }
}

// The shift between two frames that their means fit best.
void tie(FlightEvidence& flight, int a, int b, double noise_k) {
    const EvidenceFrame& first = flight.frames[static_cast<std::size_t>(a)];
    const EvidenceFrame& second = flight.frames[static_cast<std::size_t>(b)];
    // The log is good over seconds: shifts near what it says are tried.
    const int guess = static_cast<int>(std::lround((second.logged_along_m - first.logged_along_m) / flight.pitch_m));
    const int guess_rows =
        static_cast<int>(std::lround((second.logged_across_m - first.logged_across_m) / flight.row_pitch_m));
    constexpr int kReach = 3;
    constexpr int kLeastCommon = 4;
    std::array<double, 2> best{-1e300, -1e300};
    Tie found{a, b, 0, 0, 0.0};
    for (int rows = guess_rows - 1; rows <= guess_rows + 1; ++rows) {
        for (int places = guess - kReach; places <= guess + kReach; ++places) {
            double squares = 0.0;
            int common = 0;
            for (int row = 0; row < kRowsSeen; ++row) {
                for (int place = 0; place < first.places; ++place) {
                    // Place p of the second is place p + places of the first.
                    const int other = place - places;
                    if (row - rows < 0 || row - rows >= kRowsSeen || other < 0 || other >= second.places) {
                        continue;
                    }
                    const double difference =
                        first.means_k[static_cast<std::size_t>(row)][static_cast<std::size_t>(place)] -
                        second.means_k[static_cast<std::size_t>(row - rows)][static_cast<std::size_t>(other)];
                    if (!std::isnan(difference)) {
                        squares += difference * difference;
                        ++common;
                    }
                }
            }
            if (common < kLeastCommon) {
                continue;
            }
            // Mean square over the shared modules, weighed as that many independent ones.
            const double score = -0.25 * squares / (noise_k * noise_k) * kLeastCommon * 2.0 / common;
            if (score > best[0]) {
                best = {score, best[0]};
                found.places = places;
                found.rows = rows;
            } else if (score > best[1]) {
                best[1] = score;
            }
        }
    }
    if (best[1] > -1e299) {
        found.margin = best[0] - best[1];
        flight.ties.push_back(found);
    }
}

void draw_ties(FlightEvidence& flight, double noise_k) {
    const int count = static_cast<int>(flight.frames.size());
    for (int b = 1; b < count; ++b) {
        const EvidenceFrame& frame = flight.frames[static_cast<std::size_t>(b)];
        if (flight.frames[static_cast<std::size_t>(b - 1)].lane == frame.lane) {
            tie(flight, b - 1, b, noise_k);
        }
        // The nearest frame of the lane before.
        int nearest = -1;
        for (int a = 0; a < b; ++a) {
            const EvidenceFrame& other = flight.frames[static_cast<std::size_t>(a)];
            const auto off = [&frame](const EvidenceFrame& f) {
                return std::abs(f.logged_along_m - frame.logged_along_m);
            };
            if (other.lane == frame.lane - 1 &&
                (nearest < 0 || off(other) < off(flight.frames[static_cast<std::size_t>(nearest)]))) {
                nearest = a;
            }
        }
        if (nearest >= 0) {
            tie(flight, nearest, b, noise_k);
        }
    }
}

}  // namespace

FlightEvidence simulate_flight(const EvidenceStatistics& statistics, std::uint64_t seed, int number) {
    Random random(seed, Stream::evidence, static_cast<std::uint64_t>(number));
    FlightEvidence flight;
    draw_site(flight, random);
    const int places = flight.rows.front().first + flight.rows.front().count + 12;
    std::vector<std::vector<double>> levels;
    for (std::size_t row = 0; row < flight.rows.size(); ++row) {
        std::vector<double> of_row;
        for (int place = 0; place < places; ++place) {
            of_row.push_back(statistics.module_spread_k * random.normal());
        }
        levels.push_back(std::move(of_row));
    }
    const double direction = random.uniform(0.0, 6.283185307179586);
    const double length = statistics.bias_m * std::sqrt(-2.0 * std::log(1.0 - random.uniform())) / 1.4142135623730951;
    double bias_along = length * std::cos(direction);
    double bias_across = length * std::sin(direction);
    const int seen = 10 + random.index(8);
    const int step = 2 + random.index(3);
    const bool to_the_ends = random.uniform() < 0.8;
    const double frame_s = 1.5;
    double time_s = 0.0;
    const int lanes = std::max(1, static_cast<int>(flight.rows.size()) - 1);
    const int from = to_the_ends ? -2 : 6;
    const int to = flight.rows.front().count - seen + (to_the_ends ? 4 : -6);
    for (int lane = 0; lane < lanes; ++lane) {
        const int steps = std::max(1, (to - from) / step);
        for (int i = 0; i <= steps; ++i) {
            const int at = lane % 2 == 0 ? from + i * step : to - i * step;
            EvidenceFrame frame;
            frame.time_s = time_s;
            frame.lane = lane;
            frame.places = seen;
            frame.true_place = at;
            frame.true_row = lane;
            bias_along += statistics.walk_m_per_sqrt_s * std::sqrt(frame_s) * random.normal();
            bias_across += statistics.walk_m_per_sqrt_s * std::sqrt(frame_s) * random.normal();
            frame.logged_along_m = at * flight.pitch_m + bias_along + statistics.fix_noise_m * random.normal();
            frame.logged_across_m = lane * flight.row_pitch_m + bias_across + statistics.fix_noise_m * random.normal();
            see(frame, flight, levels, statistics, random);
            flight.frames.push_back(std::move(frame));
            time_s += frame_s;
        }
        time_s += 12.0;
        bias_along += statistics.walk_m_per_sqrt_s * std::sqrt(12.0) * random.normal();
        bias_across += statistics.walk_m_per_sqrt_s * std::sqrt(12.0) * random.normal();
    }
    draw_ties(flight, std::max(statistics.view_noise_k, 1e-3));
    return flight;
}

std::string evidence_line(const FlightEvidence& flight, int number) {
    using nlohmann::ordered_json;
    const auto thousandths = [](double value) {
        return std::isnan(value) ? ordered_json() : ordered_json(std::lround(value * 1e3));
    };
    ordered_json rows = ordered_json::array();
    for (const EvidenceRow& row : flight.rows) {
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
        ordered_json witnesses = ordered_json::array();
        for (const Witness& witness : frame.witnesses) {
            const char* kind = witness.kind == Witness::Kind::low_end    ? "low_end"
                               : witness.kind == Witness::Kind::high_end ? "high_end"
                                                                         : "hole";
            witnesses.push_back({kind, witness.row, witness.place});
        }
        frames.push_back({{"time_ms", std::lround(frame.time_s * 1e3)},
                          {"lane", frame.lane},
                          {"along_mm", std::lround(frame.logged_along_m * 1e3)},
                          {"across_mm", std::lround(frame.logged_across_m * 1e3)},
                          {"means_mk", std::move(means)},
                          {"witnesses", std::move(witnesses)}});
    }
    ordered_json ties = ordered_json::array();
    for (const Tie& t : flight.ties) {
        ties.push_back({t.a, t.b, t.places, t.rows, std::lround(t.margin * 100.0)});
    }
    return ordered_json{{"flight", number},
                        {"pitch_mm", std::lround(flight.pitch_m * 1e3)},
                        {"row_pitch_mm", std::lround(flight.row_pitch_m * 1e3)},
                        {"rows", rows},
                        {"frames", frames},
                        {"ties", ties}}
        .dump();
}

std::string evidence_truth_line(const FlightEvidence& flight, int number) {
    nlohmann::ordered_json frames = nlohmann::ordered_json::array();
    for (const EvidenceFrame& frame : flight.frames) {
        frames.push_back({frame.true_place, frame.true_row});
    }
    return nlohmann::ordered_json{{"flight", number}, {"frames", frames}}.dump();
}

}  // namespace scene
