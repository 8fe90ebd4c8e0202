#include "heatrow/compare/site_match.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/core/median.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <string_view>

namespace heatrow {
namespace {

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

// A module's place in metres about the first survey's origin. The two origins of one site lie so near to each other
// that their frames are parallel to a millimetre a module; over another site's distance it need not be exact.
class CommonFrame {
  public:
    CommonFrame(const SiteOrigin& first, const SiteOrigin& other) {
        constexpr double kEarthRadiusM = 6'371'000.0;
        const double radian = std::numbers::pi / 180.0;
        const double latitude = 0.5 * (first.latitude_deg + other.latitude_deg) * radian;
        offset_ = {std::remainder(other.longitude_deg - first.longitude_deg, 360.0) * radian * kEarthRadiusM *
                       std::cos(latitude),
                   (other.latitude_deg - first.latitude_deg) * radian * kEarthRadiusM};
    }
    [[nodiscard]] Eigen::Vector2d place(const Module& module) const {
        return module.centre_in_site().head<2>() + offset_;
    }

  private:
    Eigen::Vector2d offset_;
};

double shorter_side_m(const Layout& layout, const Module& module) {
    const ModuleType& type = layout.type_of(module);
    return std::min(type.width.value(), type.height.value());
}

bool same_type(const ModuleType& a, const ModuleType& b) {
    return a.id == b.id && a.rows == b.rows && a.columns == b.columns && a.substring_of_cell == b.substring_of_cell;
}

// The modules of one survey against places that the surveys before it know.
class Matcher {
  public:
    Matcher(std::span<const SurveyRecord* const> surveys,
            const std::vector<std::string>& names,
            const ComparisonProfile& profile)
        : surveys_(surveys), names_(names), profile_(profile) {
        for (const SurveyRecord* survey : surveys) {
            frames_.emplace_back(surveys.front()->layout.origin, survey->layout.origin);
        }
        for (int m = 0; m < static_cast<int>(layout(0).modules.size()); ++m) {
            add_place(0, m);
        }
        match_.shift_m.emplace_back(0.0, 0.0);
    }

    void take(std::size_t survey) {
        const std::vector<Module>& modules = layout(survey).modules;
        std::map<std::string_view, std::size_t> by_id;
        for (std::size_t p = 0; p < match_.modules.size(); ++p) {
            by_id.emplace(last(p).id, p);
        }
        std::vector<int> place_of(modules.size(), -1);
        std::vector<double> east;
        std::vector<double> north;
        for (std::size_t m = 0; m < modules.size(); ++m) {
            if (const auto known = by_id.find(modules[m].id); known != by_id.end()) {
                place_of[m] = static_cast<int>(known->second);
                const Eigen::Vector2d off = frames_[survey].place(modules[m]) - last_place(known->second);
                east.push_back(off.x());
                north.push_back(off.y());
            }
        }
        const Eigen::Vector2d shift =
            east.empty() ? Eigen::Vector2d(0.0, 0.0) : Eigen::Vector2d(take_median(east), take_median(north));
        const std::size_t by_name = north.size();
        match_by_place(survey, shift, place_of);
        require_one_site(survey, place_of);
        const std::size_t moved = enter(survey, shift, place_of);
        require_same_numbering(survey, moved, by_name);
        match_.shift_m.push_back(match_.shift_m.back() + shift);
    }

    SiteMatch result() && {
        // By the last survey, so that lists read in its order.
        std::stable_sort(match_.modules.begin(), match_.modules.end(), [](const SiteModule& a, const SiteModule& b) {
            const auto key = [](const SiteModule& module) {
                return module.index.back() >= 0 ? at(module.index.back()) : std::size_t(-1);
            };
            return key(a) < key(b);
        });
        match_strings();
        return std::move(match_);
    }

  private:
    [[nodiscard]] const Layout& layout(std::size_t survey) const { return surveys_[survey]->layout; }
    void add_place(std::size_t survey, int module) {
        SiteModule place;
        place.index.assign(surveys_.size(), -1);
        place.identity.assign(surveys_.size(), Identity::same);
        place.index[survey] = module;
        match_.modules.push_back(std::move(place));
        last_survey_.push_back(survey);
    }
    [[nodiscard]] const Module& last(std::size_t place) const {
        const std::size_t survey = last_survey_[place];
        return layout(survey).modules[at(match_.modules[place].index[survey])];
    }
    [[nodiscard]] Eigen::Vector2d last_place(std::size_t place) const {
        return frames_[last_survey_[place]].place(last(place));
    }
    [[nodiscard]] bool is_near(std::size_t place, const Eigen::Vector2d& position, double side_m) const {
        return (position - last_place(place)).norm() <= profile_.same_place_pitch.value * side_m;
    }

    // Modules of new names: the free place that they stand on.
    void match_by_place(std::size_t survey, const Eigen::Vector2d& shift, std::vector<int>& place_of) const {
        std::vector<bool> taken(match_.modules.size(), false);
        for (const int place : place_of) {
            if (place >= 0) {
                taken[at(place)] = true;
            }
        }
        // Squares of a metre, so that only places near by are looked at.
        using Square = std::pair<long, long>;
        const auto square_of = [](const Eigen::Vector2d& p) {
            return Square(std::lround(std::floor(p.x())), std::lround(std::floor(p.y())));
        };
        std::map<Square, std::vector<std::size_t>> free;
        for (std::size_t p = 0; p < taken.size(); ++p) {
            if (!taken[p]) {
                free[square_of(last_place(p))].push_back(p);
            }
        }
        for (std::size_t m = 0; m < place_of.size(); ++m) {
            if (place_of[m] >= 0) {
                continue;
            }
            const Module& module = layout(survey).modules[m];
            const Eigen::Vector2d position = frames_[survey].place(module) - shift;
            const double side_m = shorter_side_m(layout(survey), module);
            const auto [x, y] = square_of(position);
            for (long dx = -1; dx <= 1; ++dx) {
                for (long dy = -1; dy <= 1; ++dy) {
                    const auto here = free.find({x + dx, y + dy});
                    if (here == free.end()) {
                        continue;
                    }
                    for (const std::size_t p : here->second) {
                        if (!taken[p] && is_near(p, position, side_m)) {
                            taken[p] = true;
                            place_of[m] = static_cast<int>(p);
                        }
                    }
                }
            }
        }
    }

    void require_one_site(std::size_t survey, const std::vector<int>& place_of) const {
        const auto shared = std::count_if(place_of.begin(), place_of.end(), [](int place) { return place >= 0; });
        const std::size_t smaller = std::min(place_of.size(), layout(survey - 1).modules.size());
        if (static_cast<double>(shared) < profile_.least_shared.value * static_cast<double>(smaller) || shared == 0) {
            throw Error(ErrorKind::input,
                        "cannot compare the surveys",
                        names_[survey - 1] + " and " + names_[survey],
                        std::to_string(shared) + " of " + std::to_string(smaller) +
                            " modules are the same by id or place: they do not seem to be of one site",
                        "Give results of one site; where all ids and the origin changed, bring one layout to the "
                        "other's ids and analyse again");
        }
    }

    // Puts the modules in; says how many of those known by name stand elsewhere.
    std::size_t enter(std::size_t survey, const Eigen::Vector2d& shift, const std::vector<int>& place_of) {
        std::size_t moved = 0;
        for (std::size_t m = 0; m < place_of.size(); ++m) {
            const int place = place_of[m];
            if (place < 0) {
                add_place(survey, static_cast<int>(m));
                continue;
            }
            const Module& module = layout(survey).modules[m];
            const bool near =
                is_near(at(place), frames_[survey].place(module) - shift, shorter_side_m(layout(survey), module));
            const bool alike =
                same_type(layout(survey).type_of(module), layout(last_survey_[at(place)]).type_of(last(at(place))));
            SiteModule& known = match_.modules[at(place)];
            known.identity[survey] = !near ? Identity::moved : !alike ? Identity::other_type : Identity::same;
            moved += near ? 0 : 1;
            known.index[survey] = static_cast<int>(m);
            last_survey_[at(place)] = survey;
        }
        return moved;
    }

    void require_same_numbering(std::size_t survey, std::size_t moved, std::size_t by_name) const {
        if (static_cast<double>(moved) > profile_.most_moved.value * static_cast<double>(by_name)) {
            throw Error(ErrorKind::input,
                        "cannot compare the surveys",
                        names_[survey - 1] + " and " + names_[survey],
                        std::to_string(moved) + " of " + std::to_string(by_name) +
                            " ids that both use stand at other places: the numbering changed, or it is another site",
                        "Bring one layout to the other's ids and analyse again");
        }
    }

    // A string is the one that most of its modules were in.
    void match_strings() {
        const std::size_t count = surveys_.size();
        std::vector<std::vector<std::map<int, int>>> votes(count);  // by survey, string: string of the last survey
        for (std::size_t s = 0; s < count; ++s) {
            votes[s].resize(layout(s).strings.size());
            for (const SiteModule& module : match_.modules) {
                if (module.index[s] < 0 || module.index.back() < 0) {
                    continue;
                }
                const int there = layout(s).modules[at(module.index[s])].string;
                const int now = layout(count - 1).modules[at(module.index.back())].string;
                if (there >= 0 && now >= 0) {
                    ++votes[s][at(there)][now];
                }
            }
        }
        for (int now = 0; now < static_cast<int>(layout(count - 1).strings.size()); ++now) {
            SiteString string;
            string.index.assign(count, -1);
            for (std::size_t s = 0; s < count; ++s) {
                for (std::size_t there = 0; there < votes[s].size(); ++there) {
                    const auto& of = votes[s][there];
                    const auto most = std::max_element(
                        of.begin(), of.end(), [](const auto& a, const auto& b) { return a.second < b.second; });
                    // More than half of it, so that no two strings can claim another.
                    if (most != of.end() && most->first == now &&
                        2 * at(most->second) > layout(count - 1).strings[at(now)].modules.size()) {
                        string.index[s] = static_cast<int>(there);
                    }
                }
            }
            match_.strings.push_back(std::move(string));
        }
    }

    std::span<const SurveyRecord* const> surveys_;
    const std::vector<std::string>& names_;
    const ComparisonProfile& profile_;
    std::vector<CommonFrame> frames_;
    SiteMatch match_;
    std::vector<std::size_t> last_survey_;  // by place: the last survey that has it
};

}  // namespace

SiteMatch match_site(std::span<const SurveyRecord* const> surveys,
                     const std::vector<std::string>& names,
                     const ComparisonProfile& profile) {
    Matcher matcher(surveys, names, profile);
    for (std::size_t survey = 1; survey < surveys.size(); ++survey) {
        matcher.take(survey);
    }
    return std::move(matcher).result();
}

}  // namespace heatrow
