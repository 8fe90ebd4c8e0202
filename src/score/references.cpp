// What modules and strings are compared with. Strings come first: a string that is warm as a whole would pass for the
// normal state of its own modules, so it is judged against modules of other strings and then left out of references.
#include "heatrow/core/median.hpp"
#include "heatrow/site/neighbours.hpp"
#include "lower_mode.hpp"
#include "survey_state.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

// Rounds in which newly found warm strings leave the references of the others: each round can only uncover strings
// beside those of the round before.
constexpr int kStringRounds = 4;
constexpr double kHalf = 0.5;  // a module shares its string's rise if it shows more than half of it

NeighbourOptions neighbour_options(const Profile& profile) {
    NeighbourOptions options;
    options.radius = Metres(profile.neighbour_radius_m.value);
    options.wanted = static_cast<int>(profile.neighbours_wanted.value);
    options.tilt_tolerance = degrees(profile.like_tilt_deg.value);
    options.azimuth_tolerance = degrees(profile.like_azimuth_deg.value);
    return options;
}

class ReferenceFinder {
  public:
    ReferenceFinder(const ScoreInput& input, SurveyState& state)
        : layout_(input.layout), profile_(input.profile), state_(state), index_(layout_, neighbour_options(profile_)) {
        eligible_.reserve(state.modules.size());
        for (const auto& module : state.modules) {
            eligible_.push_back(module.serves ? 1 : 0);
        }
    }

    void find_strings() {
        collect_strings();
        for (int round = 0; round < kStringRounds; ++round) {
            bool found = false;
            for (std::size_t s = 0; s < state_.strings.size(); ++s) {
                found = judge_string(static_cast<int>(s)) || found;
            }
            if (!found) {
                break;
            }
        }
    }

    void find_modules() {
        for (std::size_t i = 0; i < state_.modules.size(); ++i) {
            if (state_.modules[i].has_levels) {
                state_.modules[i].reference = reference_of({static_cast<int>(i)});
            }
        }
    }

    // Standard deviation of healthy modules about their references, what these and drift add being taken off.
    [[nodiscard]] double module_residual_k() const {
        std::vector<double> residuals;
        std::vector<double> added;
        for (const auto& module : state_.modules) {
            if (module.serves && module.reference && !module.in_warm_string) {
                residuals.push_back(module.base_c() - module.reference->level_c);
                const double drift = module.input->fused.level_u_k;
                added.push_back(module.reference->u_k * module.reference->u_k + drift * drift);
            }
        }
        const double all = cool_side_sigma(std::move(residuals));
        return std::sqrt(std::max(0.0, all * all - median_of(std::move(added))));
    }
    // The same of strings.
    [[nodiscard]] double string_residual_k() const {
        std::vector<double> residuals;
        for (const auto& string : state_.strings) {
            if (string.reference && !string.is_warm) {
                residuals.push_back(string.rise_k());
            }
        }
        return cool_side_sigma(std::move(residuals));
    }

  private:
    // Standard deviation from the residuals below zero, faults being above; 0 (the profile's holds) where they are few.
    [[nodiscard]] double cool_side_sigma(std::vector<double> residuals) const {
        residuals.erase(std::remove_if(residuals.begin(), residuals.end(), [](double r) { return r >= 0.0; }),
                        residuals.end());
        if (residuals.size() < static_cast<std::size_t>(profile_.template_minimum_modules.value)) {
            return 0.0;
        }
        return -kSigmaOverMad * take_median(residuals);
    }

    // Lower mode over the like neighbours of these modules, those not eligible left out.
    std::optional<ReferenceLevel> reference_of(const std::vector<int>& modules) {
        std::vector<int> neighbours;
        for (const int module : modules) {
            const auto nearest = index_.nearest(module, eligible_);
            neighbours.insert(neighbours.end(), nearest.begin(), nearest.end());
        }
        std::sort(neighbours.begin(), neighbours.end());
        neighbours.erase(std::unique(neighbours.begin(), neighbours.end()), neighbours.end());
        if (neighbours.size() < static_cast<std::size_t>(profile_.neighbours_minimum.value)) {
            return std::nullopt;
        }
        ReferenceLevel reference;
        std::vector<double> levels;
        const auto& self = layout_.modules[static_cast<std::size_t>(modules.front())];
        for (const int neighbour : neighbours) {
            const auto& other = layout_.modules[static_cast<std::size_t>(neighbour)];
            const ModuleState& like = state_.modules[static_cast<std::size_t>(neighbour)];
            levels.push_back(like.base_c() - like.place_k);
            reference.in_table += self.table >= 0 && other.table == self.table ? 1 : 0;
            reference.farthest_m =
                std::max(reference.farthest_m, (other.centre_in_site() - self.centre_in_site()).norm());
        }
        const auto mode = lower_mode(std::move(levels), state_.module_spread_k, profile_.lower_mode_share.value);
        std::vector<double> places;
        std::vector<double> place_u;
        for (const int module : modules) {
            places.push_back(state_.modules[static_cast<std::size_t>(module)].place_k);
            place_u.push_back(state_.modules[static_cast<std::size_t>(module)].place_u_k);
        }
        reference.level_c = mode.value + take_median(places);
        reference.u_k = combine_independent(mode.u, take_median(place_u));
        reference.members = static_cast<int>(neighbours.size());
        return reference;
    }

    void collect_strings() {
        state_.strings.resize(layout_.strings.size());
        for (std::size_t s = 0; s < state_.strings.size(); ++s) {
            auto& string = state_.strings[s];
            std::vector<double> levels;
            for (const int module : layout_.strings[s].modules) {
                const auto& state = state_.modules[static_cast<std::size_t>(module)];
                // Without load a module is no reference, but that its string is warm is what shows the string.
                if (state.serves || (state.has_levels && state.unassessed == reason::kLowLoad)) {
                    string.seen.push_back(module);
                    levels.push_back(state.level_c);
                }
            }
            const auto size = static_cast<double>(layout_.strings[s].modules.size());
            string.level_c = take_median(levels);
            const bool enough = !string.seen.empty() &&
                                static_cast<double>(string.seen.size()) >= profile_.string_minimum_share.value * size;
            string.unassessed = enough ? std::string_view{} : reason::kNotSeen;
        }
    }

    // True if the string turned out to be warm just now.
    bool judge_string(int index) {
        auto& string = state_.strings[static_cast<std::size_t>(index)];
        if (string.seen.empty()) {
            return false;
        }
        std::vector<std::size_t> muted;
        for (const int module : string.seen) {
            muted.push_back(static_cast<std::size_t>(module));
        }
        std::vector<char> before;
        for (const auto module : muted) {
            before.push_back(eligible_[module]);
            eligible_[module] = 0;
        }
        string.reference = reference_of(string.seen);
        for (std::size_t i = 0; i < muted.size(); ++i) {
            eligible_[muted[i]] = before[i];
        }
        if (!string.reference) {
            string.unassessed = reason::kNoReference;
            return false;
        }
        string.warm_share = share_above(string, string.reference->level_c + kHalf * string.rise_k());
        const double threshold =
            std::max(profile_.candidate_string_k.value, profile_.candidate_sigma.value * string_u_k(state_, string));
        // A string of one module is judged as a module.
        const bool warm = string.unassessed.empty() && string.seen.size() >= 2 && string.rise_k() >= threshold &&
                          string.warm_share >= profile_.string_warm_share.value;
        const bool news = warm && !string.is_warm;
        string.is_warm = warm;
        for (const auto module : muted) {
            state_.modules[module].in_warm_string = warm;
            eligible_[module] = !warm && state_.modules[module].serves ? 1 : 0;
        }
        return news;
    }

    [[nodiscard]] double share_above(const StringState& string, double level_c) const {
        const auto above = std::count_if(string.seen.begin(), string.seen.end(), [&](int module) {
            return state_.modules[static_cast<std::size_t>(module)].level_c > level_c;
        });
        return static_cast<double>(above) / static_cast<double>(string.seen.size());
    }

    const Layout& layout_;
    const Profile& profile_;
    SurveyState& state_;
    NeighbourIndex index_;
    std::vector<char> eligible_;
};

}  // namespace

void find_references(const ScoreInput& input, SurveyState& state) {
    state.module_spread_k = input.profile.healthy_module_spread_k.value;
    state.string_spread_k = input.profile.healthy_string_spread_k.value;
    // Once with the profile's spreads and no matter where on a table modules lie, and again with what the first round
    // tells of both.
    for (int round = 0; round < 2; ++round) {
        ReferenceFinder finder(input, state);
        finder.find_strings();
        finder.find_modules();
        state.module_spread_k = std::fmax(input.profile.healthy_module_spread_k.value, finder.module_residual_k());
        const double strings = finder.string_residual_k();
        state.string_seen_k = strings > 0.0 ? strings : input.profile.healthy_string_spread_k.value;
        state.string_spread_k = std::fmax(input.profile.healthy_string_spread_k.value, strings);
        if (round == 0) {
            set_table_places(input, state);
            state.strings.clear();
            for (auto& module : state.modules) {
                module.in_warm_string = false;
            }
        }
    }
}

}  // namespace heatrow
