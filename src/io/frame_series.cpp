#include "heatrow/io/frame_series.hpp"

#include "heatrow/core/median.hpp"
#include "heatrow/core/units.hpp"

#include <fmt/chrono.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace heatrow {
namespace {

using Kind = SeriesRemark::Kind;

class Series {
  public:
    Series(const std::vector<FrameInspection>& frames, const Profile& profile) : frames_(frames), profile_(profile) {
        const std::vector<int> earlier = find_duplicates(frames);
        for (std::size_t i = 0; i < frames.size(); ++i) {
            if (!frames[i].rejection && earlier[i] < 0) {
                members_.push_back(i);
            }
        }
    }

    std::vector<SeriesRemark> remarks() {
        odd_ones_out(Kind::other_size, [](const FrameInspection& frame) {
            return fmt::format("{} x {} px", frame.width_px, frame.height_px);
        });
        odd_ones_out(Kind::other_kind, [](const FrameInspection& frame) { return frame.kind; });
        odd_ones_out(Kind::other_camera, [](const FrameInspection& frame) { return camera_of(frame.tags); });
        far_away();
        long_after();
        blurred();
        saturated();
        std::stable_sort(remarks_.begin(), remarks_.end(), [](const SeriesRemark& a, const SeriesRemark& b) {
            return a.frame < b.frame;
        });
        return std::move(remarks_);
    }

  private:
    // What few frames have where more than half of them have another.
    template <class Property>
    void odd_ones_out(Kind kind, Property property) {
        std::map<std::string, std::size_t> counts;
        for (const std::size_t i : members_) {
            ++counts[property(frames_[i])];
        }
        for (const auto& [usual, count] : counts) {
            if (2 * count <= members_.size()) {
                continue;
            }
            for (const std::size_t i : members_) {
                const std::string own = property(frames_[i]);
                if (own != usual) {
                    const auto words = [](const std::string& text) { return text.empty() ? "none stated" : text; };
                    remarks_.push_back({i, kind, fmt::format("{}, most have {}", words(own), words(usual))});
                }
            }
        }
    }

    void far_away() {
        std::vector<std::pair<std::size_t, GeographicPlace>> placed;
        std::vector<double> latitudes;
        std::vector<double> longitudes;
        for (const std::size_t i : members_) {
            if (const auto place = place_of(frames_[i].tags)) {
                placed.emplace_back(i, *place);
                latitudes.push_back(place->latitude_deg);
                longitudes.push_back(place->longitude_deg);
            }
        }
        const double latitude = take_median(latitudes);
        const double longitude = take_median(longitudes);
        for (const auto& [i, place] : placed) {
            constexpr double kMetresPerDegree = 111195.0;  // on a sphere of 6371 km
            const double north = (place.latitude_deg - latitude) * kMetresPerDegree;
            const double east =
                (place.longitude_deg - longitude) * kMetresPerDegree * std::cos(degrees(latitude).value());
            const double distance = std::hypot(north, east);
            if (distance > profile_.stray_distance_m.value) {
                remarks_.push_back({i,
                                    Kind::far_away,
                                    fmt::format("{:.0f} m from the middle of the series, more than {:.0f} m",
                                                distance,
                                                profile_.stray_distance_m.value)});
            }
        }
    }

    // The series is cut at every long pause; all parts but the largest are strays.
    void long_after() {
        std::vector<std::pair<WrittenTime, std::size_t>> timed;
        for (const std::size_t i : members_) {
            if (const auto time = time_of(frames_[i].tags)) {
                timed.emplace_back(time->written, i);
            }
        }
        std::sort(timed.begin(), timed.end());
        std::vector<std::vector<std::size_t>> parts;
        for (std::size_t k = 0; k < timed.size(); ++k) {
            const std::chrono::duration<double, std::ratio<60>> pause =
                k == 0 ? std::chrono::milliseconds(0) : timed[k].first - timed[k - 1].first;
            if (k == 0 || pause.count() > profile_.stray_gap_min.value) {
                parts.emplace_back();
            }
            parts.back().push_back(timed[k].second);
        }
        const auto largest = std::max_element(
            parts.begin(), parts.end(), [](const auto& a, const auto& b) { return a.size() < b.size(); });
        for (auto part = parts.begin(); part != parts.end(); ++part) {
            if (part == largest) {
                continue;
            }
            for (const std::size_t i : *part) {
                remarks_.push_back(
                    {i,
                     Kind::long_after,
                     fmt::format("taken {:%Y-%m-%d %H:%M:%S} by the camera's clock, more than {:.0f} min "
                                 "from most frames",
                                 std::chrono::sys_seconds(std::chrono::floor<std::chrono::seconds>(
                                     time_of(frames_[i].tags)->written.time_since_epoch())),
                                 profile_.stray_gap_min.value)});
            }
        }
    }

    void blurred() {
        std::vector<double> all;
        for (const std::size_t i : members_) {
            all.push_back(frames_[i].sharpness);
        }
        const double usual = take_median(all);
        for (const std::size_t i : members_) {
            if (frames_[i].sharpness < profile_.blurred_ratio.value * usual) {
                remarks_.push_back(
                    {i, Kind::blurred, fmt::format("sharpness {:.2f}, usually {:.2f}", frames_[i].sharpness, usual)});
            }
        }
    }

    void saturated() {
        for (const std::size_t i : members_) {
            const CountSummary& counts = frames_[i].counts;
            const double share = static_cast<double>(counts.saturated) / static_cast<double>(counts.pixels);
            if (share > profile_.saturated_share.value) {
                remarks_.push_back(
                    {i,
                     Kind::saturated,
                     fmt::format("{} pixels ({:.2g} %) at the end of the range", counts.saturated, 100.0 * share)});
            }
        }
    }

    const std::vector<FrameInspection>& frames_;
    const Profile& profile_;
    std::vector<std::size_t> members_;
    std::vector<SeriesRemark> remarks_;
};

}  // namespace

std::string_view to_string(SeriesRemark::Kind kind) {
    switch (kind) {
        case Kind::other_size:
            return "other_size";
        case Kind::other_kind:
            return "other_kind";
        case Kind::other_camera:
            return "other_camera";
        case Kind::far_away:
            return "far_away";
        case Kind::long_after:
            return "long_after";
        case Kind::blurred:
            return "blurred";
        case Kind::saturated:
            return "saturated";
    }
    return "";
}

std::vector<SeriesRemark> find_remarks(const std::vector<FrameInspection>& frames, const Profile& profile) {
    return Series(frames, profile).remarks();
}

}  // namespace heatrow
