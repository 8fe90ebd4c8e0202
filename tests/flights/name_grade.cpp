#include "name_grade.hpp"

#include "figures.hpp"

#include <fmt/format.h>

#include <limits>
#include <set>
#include <utility>

namespace flights {

FrameCounts& FrameCounts::operator+=(const FrameCounts& other) {
    named += other.named;
    wrong += other.wrong;
    ambiguous += other.ambiguous;
    return *this;
}

NameGrade& NameGrade::operator+=(const NameGrade& other) {
    flights += other.flights;
    flights_with_wrong_names += other.flights_with_wrong_names;
    flights_named_whole += other.flights_named_whole;
    with_row_end += other.with_row_end;
    with_two_things += other.with_two_things;
    with_wrong_row += other.with_wrong_row;
    without_row_end += other.without_row_end;
    for (std::size_t i = 0; i < frames_by_reason.size(); ++i) {
        frames_by_reason[i] += other.frames_by_reason[i];
    }
    segments += other.segments;
    ties_cut += other.ties_cut;
    wrong_flights.insert(wrong_flights.end(), other.wrong_flights.begin(), other.wrong_flights.end());
    return *this;
}

namespace {

// Row ends and holes that a flight has in view, each counted once.
std::size_t things_shown(const FlightFile& flight, const FlightTruth& truth) {
    constexpr int kLowEnd = std::numeric_limits<int>::min();
    constexpr int kHighEnd = std::numeric_limits<int>::max();
    std::set<std::pair<int, int>> things;  // row; end, or place of a hole
    for (std::size_t i = 0; i < flight.frames.size(); ++i) {
        for (std::size_t r = 0; r < flight.frames[i].means_k.size(); ++r) {
            const int row = truth.places[i].across + static_cast<int>(r);
            if (row < 0 || row >= static_cast<int>(flight.rows.size())) {
                continue;
            }
            const LayoutRow& layout = flight.rows[static_cast<std::size_t>(row)];
            const int first = truth.places[i].along;
            const int last = first + static_cast<int>(flight.frames[i].means_k[r].size()) - 1;
            if (first < layout.first) {
                things.emplace(row, kLowEnd);
            }
            if (last >= layout.first + layout.count) {
                things.emplace(row, kHighEnd);
            }
            for (const int hole : layout.holes) {
                if (hole >= first && hole <= last) {
                    things.emplace(row, hole);
                }
            }
        }
    }
    return things.size();
}

}  // namespace

NameGrade grade_names(const FlightFile& flight,
                      const FlightTruth& truth,
                      const std::vector<heatrow::LatticeOffset>& at_zero,
                      const heatrow::PlaceDecision& decision) {
    std::set<int> lanes_with_row_end;
    for (const int frame : truth.frames_with_row_end) {
        lanes_with_row_end.insert(flight.frames[static_cast<std::size_t>(frame)].lane);
    }
    NameGrade grade;
    const bool shows_two = things_shown(flight, truth) <= 2;
    for (std::size_t i = 0; i < flight.frames.size(); ++i) {
        const heatrow::SegmentDecision& segment = decision.segments[static_cast<std::size_t>(decision.segment_of[i])];
        FrameCounts own;
        if (!segment.named) {
            own.ambiguous = 1;
        } else if (at_zero[i] + decision.offsets[i] == truth.places[i]) {
            own.named = 1;
        } else {
            own.wrong = 1;
        }
        if (lanes_with_row_end.count(flight.frames[i].lane) == 0) {
            grade.without_row_end += own;
        } else {
            grade.with_row_end += own;
            if (shows_two) {
                grade.with_two_things += own;
            } else if (truth.has_wrong_row) {
                grade.with_wrong_row += own;
            }
        }
        ++grade.frames_by_reason[static_cast<std::size_t>(segment.reason)];
    }
    grade.flights = 1;
    grade.segments = static_cast<int>(decision.segments.size());
    grade.ties_cut = decision.ties_cut;
    grade.flights_with_wrong_names = grade.with_row_end.wrong + grade.without_row_end.wrong > 0 ? 1 : 0;
    grade.flights_named_whole =
        grade.with_row_end.named + grade.without_row_end.named == static_cast<int>(flight.frames.size()) ? 1 : 0;
    return grade;
}

std::string grade_page(const NameGrade& grade) {
    const auto share = [](int count, int all) {
        if (all == 0) {
            return std::string("-");
        }
        const scene::Figure figure = scene::share_figure("", count, all);
        return fmt::format("{:.3f} % ({:.3f}-{:.3f})", figure.value, figure.low, figure.high);
    };
    std::string page =
        "| frames in lanes | frames | named rightly | wrong names | ambiguous |\n| --- | --- | --- | --- | --- |\n";
    const auto row = [&](const char* name, const FrameCounts& counts) {
        page += fmt::format("| {} | {} | {} | {} | {} |\n",
                            name,
                            counts.all(),
                            share(counts.named, counts.all()),
                            share(counts.wrong, counts.all()),
                            share(counts.ambiguous, counts.all()));
    };
    row("with a row end in view", grade.with_row_end);
    row("- of flights that show two row ends or holes at most", grade.with_two_things);
    row("- of the others, where the layout draws a row wrongly", grade.with_wrong_row);
    row("without", grade.without_row_end);
    FrameCounts all = grade.with_row_end;
    all += grade.without_row_end;
    row("all", all);
    page += fmt::format("\nFlights with any wrong name: {} of {}, {}; flights named whole: {}.\n",
                        grade.flights_with_wrong_names,
                        grade.flights,
                        share(grade.flights_with_wrong_names, grade.flights),
                        share(grade.flights_named_whole, grade.flights));
    page += "Frames by reason:";
    for (std::size_t i = 0; i < grade.frames_by_reason.size(); ++i) {
        page += fmt::format("{} {} {}",
                            i > 0 ? "," : "",
                            heatrow::to_string(static_cast<heatrow::PlaceReason>(i)),
                            grade.frames_by_reason[i]);
    }
    page += fmt::format(". Segments: {:.2f} a flight; ties cut by a loop: {}.\n",
                        static_cast<double>(grade.segments) / std::max(1, grade.flights),
                        grade.ties_cut);
    return page;
}

}  // namespace flights
