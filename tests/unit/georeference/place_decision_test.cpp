#include "heatrow/georeference/place_decision.hpp"

#include "heatrow/georeference/barcode.hpp"

#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <random>
#include <set>

using namespace heatrow;

namespace {

constexpr double kPitch = 1.1;
constexpr double kRowPitch = 6.0;
constexpr int kSeen = 10;

// Rows of modules on one lattice, flown in one lane a row; frames' own lattices are laid where the layout is, so that
// every offset is (0, 0) in truth.
struct Site {
    std::vector<std::pair<int, int>> rows;  // first place, one beyond the last
    std::set<LatticeOffset> holes;

    [[nodiscard]] bool has(LatticeOffset place) const {
        if (place.across < 0 || place.across >= static_cast<int>(rows.size()) || holes.count(place) > 0) {
            return false;
        }
        const auto& row = rows[static_cast<std::size_t>(place.across)];
        return place.along >= row.first && place.along < row.second;
    }
};

FrameEvidence look(const Site& site, const OffsetWindow& window, LatticeOffset first, double time_s) {
    FrameEvidence frame;
    frame.time_s = time_s;
    for (int i = 0; i < window.size(); ++i) {
        const LatticeOffset offset = window.at(i);
        for (int place = 0; place < kSeen; ++place) {
            const LatticeOffset own = first + LatticeOffset{place, 0};
            if (site.has(own) != site.has(own + offset)) {
                frame.votes.push_back({offset, own, -3.0});
            }
        }
    }
    return frame;
}

FlightEvidence fly(const Site& site, const std::vector<std::vector<int>>& lanes) {
    FlightEvidence flight;
    flight.pitch_along_m = kPitch;
    flight.pitch_across_m = kRowPitch;
    flight.window = {6, 1};
    double time_s = 0.0;
    for (std::size_t lane = 0; lane < lanes.size(); ++lane) {
        for (const int at : lanes[lane]) {
            flight.frames.push_back(look(site, flight.window, {at, static_cast<int>(lane)}, time_s));
            time_s += 1.5;
        }
        time_s += 10.0;
    }
    return flight;
}

FrameTie tie(int a, int b, LatticeOffset relative, double gain) {
    FrameTie result{a, b, {}};
    for (int along = -3; along <= 3; ++along) {
        result.votes.push_back({{along, 0}, LatticeOffset{along, 0} == relative ? gain : 0.0});
    }
    return result;
}

std::vector<int> every(int step, int from, int to) {
    std::vector<int> places;
    for (int place = from; place <= to; place += step) {
        places.push_back(place);
    }
    return places;
}

void tie_in_turn(FlightEvidence& flight) {
    for (int i = 0; i + 1 < static_cast<int>(flight.frames.size()); ++i) {
        flight.ties.push_back(tie(i, i + 1, {0, 0}, 20.0));
    }
}

bool all_named(const PlaceDecision& decision) {
    return std::all_of(decision.segments.begin(), decision.segments.end(), [](const auto& s) { return s.named; });
}

bool all_right(const PlaceDecision& decision) {
    return std::all_of(
        decision.offsets.begin(), decision.offsets.end(), [](LatticeOffset o) { return o == LatticeOffset{}; });
}

}  // namespace

TEST_CASE("place decision: along an endless row nothing tells", "[georeference]") {
    FlightEvidence flight = fly({{{-100, 200}}, {}}, {every(3, 0, 60)});
    tie_in_turn(flight);
    const PlaceDecision decision = decide_places(flight);
    REQUIRE(decision.segments.size() == 1);
    CHECK_FALSE(decision.segments[0].named);
    CHECK(decision.segments[0].reason == PlaceReason::nothing_tells);
    // The row itself is seen: only places along it are left.
    CHECK(decision.segments[0].rivals.size() == 12);
    for (const LatticeOffset& rival : decision.segments[0].rivals) {
        CHECK(rival.across == 0);
    }
}

TEST_CASE("place decision: one end of one row is one witness, five ends name the flight", "[georeference]") {
    FlightEvidence one = fly({{{0, 200}}, {}}, {every(3, -4, 60)});
    tie_in_turn(one);
    const PlaceDecision by_one = decide_places(one);
    CHECK_FALSE(all_named(by_one));
    CHECK(by_one.segments[0].reason != PlaceReason::nothing_tells);
    PlaceOptions trusting;
    trusting.withdrawn_witnesses = 0;
    trusting.margin_without_them = 0.0;
    trusting.threshold = 1.0;
    CHECK(all_named(decide_places(one, trusting)));

    FlightEvidence five =
        fly({{{0, 40}, {0, 40}, {0, 200}}, {}}, {every(3, -4, 34), every(3, -4, 34), every(3, -4, 34)});
    tie_in_turn(five);
    const PlaceDecision by_five = decide_places(five);
    CHECK(all_named(by_five));
    CHECK(all_right(by_five));
}

TEST_CASE("place decision: stagger and holes are witnesses too", "[georeference]") {
    // Ends of three rows that begin at other places, and two holes in the middle of a fourth.
    FlightEvidence flight = fly({{{0, 200}, {2, 200}, {3, 200}, {-50, 200}}, {{20, 3}, {27, 3}}},
                                {every(3, -4, 30), every(3, -4, 30), every(3, -4, 30), every(3, 10, 30)});
    tie_in_turn(flight);
    const PlaceDecision decision = decide_places(flight);
    CHECK(all_named(decision));
    CHECK(all_right(decision));
}

TEST_CASE("place decision: two witnesses that lie do not carry a name, nor do they break one", "[georeference]") {
    const Site site{{{0, 40}, {0, 40}, {0, 40}}, {}};
    const std::vector<std::vector<int>> lanes{every(3, -4, 34), every(3, -4, 34), every(3, -4, 34)};
    // The first row is really a module further on than the layout draws it: both its ends lie.
    FlightEvidence flight = fly(site, lanes);
    const Site shifted{{{1, 41}, {0, 40}, {0, 40}}, {}};
    for (std::size_t i = 0; i < lanes[0].size(); ++i) {
        FrameEvidence& frame = flight.frames[i];
        frame.votes.clear();
        for (int state = 0; state < flight.window.size(); ++state) {
            const LatticeOffset offset = flight.window.at(state);
            for (int place = 0; place < kSeen; ++place) {
                const LatticeOffset own{lanes[0][i] + place, 0};
                if (shifted.has(own) != site.has(own + offset)) {
                    frame.votes.push_back({offset, own, -3.0});
                }
            }
        }
    }
    tie_in_turn(flight);
    const PlaceDecision decision = decide_places(flight);
    // Four witnesses against two: probable, but not without any two of the four.
    CHECK(all_right(decision));
    CHECK_FALSE(all_named(decision));
}

TEST_CASE("place decision: a wrong tie is cut by the loops it breaks", "[georeference]") {
    FlightEvidence flight = fly({{{0, 40}, {0, 40}}, {}}, {every(3, -4, 34), every(3, -4, 34)});
    const int count = static_cast<int>(flight.frames.size());
    for (int i = 0; i + 1 < count; ++i) {
        // The strongest of all ties is wrong.
        flight.ties.push_back(i == 5 ? tie(i, i + 1, {1, 0}, 30.0) : tie(i, i + 1, {0, 0}, 20.0));
        if (i + 2 < count) {
            flight.ties.push_back(tie(i, i + 2, {0, 0}, 12.0));
        }
    }
    const PlaceDecision decision = decide_places(flight);
    CHECK(decision.ties_cut == 1);
    CHECK(all_named(decision));
    CHECK(all_right(decision));
}

TEST_CASE("place decision: without a tie the change of position carries a name, if it is short", "[georeference]") {
    FlightEvidence flight = fly({{{0, 40}, {2, 42}, {1, 45}, {-100, 200}}, {}},
                                {every(3, -4, 34), every(3, -4, 34), every(3, -4, 34), every(3, 0, 30)});
    tie_in_turn(flight);
    const int last_lane = static_cast<int>(flight.frames.size()) - 11;
    std::erase_if(flight.ties, [&](const FrameTie& t) { return t.b == last_lane; });
    PlaceOptions steady;
    steady.positions.walk_m_per_sqrt_s = 0.01;
    steady.positions.fix_noise_m = 0.05;
    steady.positions.outlier = 0.01;
    const PlaceDecision decision = decide_places(flight, steady);
    REQUIRE(decision.segments.size() == 2);
    CHECK(decision.segments[0].named);
    CHECK_FALSE(decision.segments[1].named);  // outliers of the positions are more probable than the threshold
    steady.positions.outlier = 1e-4;
    CHECK(all_named(decide_places(flight, steady)));
    // A second flight, half an hour later, has its own bias.
    for (std::size_t i = static_cast<std::size_t>(last_lane); i < flight.frames.size(); ++i) {
        flight.frames[i].time_s += 1800.0;
    }
    steady.positions.walk_m_per_sqrt_s = 0.1;
    const PlaceDecision later = decide_places(flight, steady);
    CHECK(later.segments[0].named);
    CHECK_FALSE(later.segments[1].named);
}

TEST_CASE("place decision: how far a change of position carries a name is measured on the flight", "[georeference]") {
    const auto noisy = [](double sd_m) {
        FlightEvidence flight = fly({{{0, 40}, {2, 42}, {1, 45}, {-100, 200}}, {}},
                                    {every(3, -4, 34), every(3, -4, 34), every(3, -4, 34), every(3, 0, 30)});
        tie_in_turn(flight);
        const int last_lane = static_cast<int>(flight.frames.size()) - 11;
        std::erase_if(flight.ties, [&](const FrameTie& t) { return t.b == last_lane; });
        std::mt19937 random(3);
        std::normal_distribution<double> normal(0.0, sd_m);
        for (FrameEvidence& frame : flight.frames) {
            frame.deviation_m = {normal(random), normal(random)};
        }
        return flight;
    };
    CHECK(all_named(decide_places(noisy(0.03))));
    const PlaceDecision decision = decide_places(noisy(0.3));
    REQUIRE(decision.segments.size() == 2);
    CHECK(decision.segments[0].named);
    CHECK_FALSE(decision.segments[1].named);
}

TEST_CASE("place decision: frames that share little with each neighbour are joined by all that they saw",
          "[georeference]") {
    // Two passes over one row, frame by frame tied too weakly.
    FlightEvidence flight = fly({{{-3, 60}}, {}}, {every(4, 0, 40), {}});
    const int pass = static_cast<int>(flight.frames.size());
    FlightEvidence back = fly({{{-3, 60}}, {}}, {every(4, 2, 42), {}});
    for (FrameEvidence& frame : back.frames) {
        frame.time_s += 60.0;
        flight.frames.push_back(std::move(frame));
    }
    std::mt19937 random(9);
    std::normal_distribution<double> normal;
    std::vector<double> level(120);
    std::generate(level.begin(), level.end(), [&] { return normal(random); });
    for (int i = 0; i < 2 * pass; ++i) {
        FrameEvidence& frame = flight.frames[static_cast<std::size_t>(i)];
        const int first = i < pass ? 4 * i : 4 * (i - pass) + 2;
        for (int place = first; place < first + kSeen; ++place) {
            for (const int row : {0, 1}) {
                const double mean = level[static_cast<std::size_t>(2 * place + row)];
                frame.barcode.push_back({{place, row}, mean + 0.05 * normal(random)});
            }
        }
        frame.deviation_m.setConstant(std::nan(""));
        if (i + 1 < 2 * pass && i + 1 != pass) {
            flight.ties.push_back(tie(i, i + 1, {0, 0}, 3.0));
        }
    }
    const int tied_wrongly = static_cast<int>(flight.ties.size());
    for (int i = 0; i < pass; ++i) {
        flight.ties.push_back(tie(i, i + pass, {0, 0}, 3.0));
    }
    CHECK(decide_places(flight).segments.size() <= 2);
    // Chance between two passes, strong as it looks in two frames, does not join them against what the others saw.
    flight.ties[static_cast<std::size_t>(tied_wrongly)] = tie(0, pass, {1, 0}, 30.0);
    const PlaceDecision decision = decide_places(flight);
    CHECK(decision.segments.size() <= 2);
    for (const SegmentDecision& segment : decision.segments) {
        for (const int frame : segment.frames) {
            CHECK(decision.offsets[static_cast<std::size_t>(frame)] ==
                  decision.offsets[static_cast<std::size_t>(segment.frames.front())]);
        }
    }
}

TEST_CASE("place decision: a filled-in position speaks less, and what is logged on either side of it is linked",
          "[georeference]") {
    FlightEvidence flight = fly({{{0, 40}, {2, 42}, {1, 45}, {-100, 200}}, {}},
                                {every(3, -4, 34), every(3, -4, 34), every(3, -4, 34), every(3, 0, 30)});
    tie_in_turn(flight);
    const int last_lane = static_cast<int>(flight.frames.size()) - 11;
    std::erase_if(flight.ties, [&](const FrameTie& t) { return t.b == last_lane; });
    PlaceOptions steady;
    steady.positions.walk_m_per_sqrt_s = 0.01;
    steady.positions.fix_noise_m = 0.05;
    REQUIRE(all_named(decide_places(flight, steady)));
    // Nothing but filled-in positions in the last lane: a step of the lattice is within what they leave open.
    FlightEvidence filled = flight;
    for (std::size_t i = static_cast<std::size_t>(last_lane); i < filled.frames.size(); ++i) {
        filled.frames[i].deviation_u_m = 1.0;
    }
    CHECK_FALSE(decide_places(filled, steady).segments[1].named);
    // One frame of its own between the two, a filled-in one, tells nothing and breaks nothing.
    FrameEvidence between = flight.frames[static_cast<std::size_t>(last_lane)];
    between.deviation_u_m = 1.0;
    flight.frames.insert(flight.frames.begin() + last_lane, between);
    for (FrameTie& one : flight.ties) {
        one.a += one.a >= last_lane ? 1 : 0;
        one.b += one.b >= last_lane ? 1 : 0;
    }
    const PlaceDecision decision = decide_places(flight, steady);
    const int alone = decision.segment_of[static_cast<std::size_t>(last_lane)];
    for (int segment = 0; segment < static_cast<int>(decision.segments.size()); ++segment) {
        CHECK(decision.segments[static_cast<std::size_t>(segment)].named == (segment != alone));
    }
    CHECK(decision.segments[static_cast<std::size_t>(alone)].frames.size() == 1);
}

TEST_CASE("place decision: a control point names what hangs on it", "[georeference]") {
    FlightEvidence flight = fly({{{-100, 200}}, {}}, {every(3, 0, 60)});
    tie_in_turn(flight);
    flight.frames[7].known = LatticeOffset{2, 0};
    const PlaceDecision decision = decide_places(flight);
    CHECK(all_named(decision));
    CHECK(std::isinf(decision.segments[0].log_odds));
    CHECK(decision.offsets.front() == LatticeOffset{2, 0});
}

TEST_CASE("place decision: control points that contradict each other name nothing", "[georeference]") {
    FlightEvidence flight = fly({{{-100, 200}}, {}}, {every(3, 0, 60)});
    tie_in_turn(flight);
    flight.frames[7].known = LatticeOffset{2, 0};
    flight.frames[9].known = LatticeOffset{1, 0};
    const PlaceDecision decision = decide_places(flight);
    REQUIRE(decision.segments.size() == 1);
    CHECK_FALSE(decision.segments[0].named);
}

TEST_CASE("place decision: the same evidence gives the same decision", "[georeference]") {
    FlightEvidence flight =
        fly({{{0, 40}, {2, 42}, {1, 45}}, {}}, {every(3, -4, 34), every(3, -4, 34), every(3, -4, 34)});
    tie_in_turn(flight);
    const PlaceDecision first = decide_places(flight);
    std::reverse(flight.ties.begin(), flight.ties.end());
    const PlaceDecision second = decide_places(flight);
    CHECK(first.offsets == second.offsets);
    REQUIRE(first.segments.size() == second.segments.size());
    CHECK(first.segments[0].log_odds == second.segments[0].log_odds);
}

TEST_CASE("barcode: overlapping frames are tied at the right offset, unrelated ones are not", "[georeference]") {
    std::mt19937 random(5);
    std::normal_distribution<double> normal;
    std::vector<double> level(60);
    std::generate(level.begin(), level.end(), [&] { return 300.0 + 0.6 * normal(random); });
    const auto barcode_at = [&](int first, int shift) {
        std::vector<BarcodeCell> cells;
        for (int place = first; place < first + 14; ++place) {
            // A gradient along the picture and the noise of a view.
            const double mean = level[static_cast<std::size_t>(place)] + 0.2 * (place - first) + 0.1 * normal(random);
            cells.push_back({{place + shift, 0}, mean});
        }
        return Barcode(cells).take();
    };
    const auto best_of = [](std::vector<RelativeVote> votes) {
        std::sort(votes.begin(), votes.end(), [](const auto& a, const auto& b) {
            return a.log_likelihood > b.log_likelihood;
        });
        return std::pair(votes[0].relative, votes[0].log_likelihood - votes[1].log_likelihood);
    };
    const auto [relative, margin] = best_of(compare_barcodes(barcode_at(10, 0), barcode_at(13, 2), {0, 0}, {3, 1}));
    CHECK(relative == LatticeOffset{-2, 0});
    CHECK(margin > 3.0);
    CHECK(best_of(compare_barcodes(barcode_at(10, 0), barcode_at(40, -27), {0, 0}, {3, 1})).second < 3.0);
    CHECK(Barcode({{{0, 0}, 1.0}, {{1, 0}, 2.0}}).cells().empty());
}

TEST_CASE("pairs: neighbours in time and the nearest of other passes", "[georeference]") {
    std::vector<Eigen::Vector2d> positions;
    for (int i = 0; i < 10; ++i) {
        positions.emplace_back(3.0 * i, 0.0);
    }
    for (int i = 9; i >= 0; --i) {
        positions.emplace_back(3.0 * i, 6.0);
    }
    positions.emplace_back(Eigen::Vector2d::Constant(std::nan("")));
    const auto pairs = choose_pairs(positions, 7.0);
    const auto has = [&](int a, int b) { return std::count(pairs.begin(), pairs.end(), std::pair(a, b)) == 1; };
    CHECK(has(3, 4));
    CHECK(has(3, 5));
    CHECK_FALSE(has(3, 6));
    CHECK(has(2, 17));
    CHECK_FALSE(has(0, 16));
    for (const auto& [a, b] : pairs) {
        CHECK(a < b);
        CHECK(b < 20);
    }
}
