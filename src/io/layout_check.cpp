#include "heatrow/io/layout_check.hpp"

#include "heatrow/io/site_projection.hpp"
#include "heatrow/site/layout.hpp"
#include "id_alias.hpp"
#include "layout_source.hpp"
#include "outline_overlaps.hpp"

#include <Eigen/Geometry>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>

namespace heatrow {
namespace {

using detail::LayoutFeature;
using Corners = std::array<Eigen::Vector3d, 4>;

struct NaturalLess {
    bool operator()(const std::string& a, const std::string& b) const { return natural_less(a, b); }
};

std::string module_name(const std::string& id) {
    return fmt::format("module \"{}\"", id);
}

class LayoutChecker {
  public:
    LayoutChecker(const std::filesystem::path& file, const ModuleTypeCatalogue& catalogue) : catalogue_(catalogue) {
        std::vector<detail::LayoutFault> faults;
        features_ = detail::read_layout_features(file, &faults);
        for (const auto& fault : faults) {
            add(LayoutDoubt::unreadable, fault.entity(), fault.why(), fault.remedy());
        }
        std::stable_sort(features_.begin(), features_.end(), [](const LayoutFeature& a, const LayoutFeature& b) {
            return natural_less(a.module, b.module);
        });
    }

    LayoutCheck run() {
        if (!features_.empty()) {
            read_types();
            measure_extent();
            place_outlines();
            check_ids();
            check_overlaps();
        }
        count();
        check_strings();
        std::stable_sort(result_.problems.begin(),
                         result_.problems.end(),
                         [](const LayoutProblem& a, const LayoutProblem& b) { return a.doubt < b.doubt; });
        return std::move(result_);
    }

  private:
    void add(LayoutDoubt doubt, std::string entity, std::string why, std::string_view remedy) {
        result_.problems.push_back({doubt, std::move(entity), std::move(why), std::string(remedy)});
    }

    void read_types() {
        for (const LayoutFeature& feature : features_) {
            if (types_.contains(feature.type)) {
                continue;
            }
            std::optional<ModuleType>& type = types_[feature.type];
            try {
                type = catalogue_.read(feature.type);
            } catch (const Error& problem) {
                add(LayoutDoubt::unreadable,
                    module_name(feature.module),
                    problem.what(),
                    "Correct 'type', or add the type file with --module-types");
            }
        }
    }

    void measure_extent() {
        const auto& first = features_.front().ring.front();
        Eigen::Vector2d low(first.longitude_deg, first.latitude_deg);
        Eigen::Vector2d high = low;
        for (const LayoutFeature& feature : features_) {
            for (const auto& point : feature.ring) {
                low = low.cwiseMin(Eigen::Vector2d(point.longitude_deg, point.latitude_deg));
                high = high.cwiseMax(Eigen::Vector2d(point.longitude_deg, point.latitude_deg));
            }
        }
        result_.low_longitude_deg = low.x();
        result_.low_latitude_deg = low.y();
        result_.high_longitude_deg = high.x();
        result_.high_latitude_deg = high.y();
        constexpr double kNearZero_deg = 0.1;
        if (low.cwiseAbs().maxCoeff() < kNearZero_deg && high.cwiseAbs().maxCoeff() < kNearZero_deg) {
            add(LayoutDoubt::far_away,
                "layout",
                "all modules lie at longitude 0, latitude 0, in the sea",
                "Its coordinates are no degrees: declare their CRS, or read the drawing with 'layout read --fit'");
        }
        find_strays();
    }

    // Modules far from the middle one: a slip in a coordinate.
    void find_strays() {
        const auto median = [&](auto part) {
            std::vector<double> values;
            for (const LayoutFeature& feature : features_) {
                values.push_back(part(feature.ring.front()));
            }
            std::nth_element(
                values.begin(), values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2), values.end());
            return values[values.size() / 2];
        };
        middle_ = {median([](const auto& point) { return point.longitude_deg; }),
                   median([](const auto& point) { return point.latitude_deg; }),
                   Metres(0.0)};
        constexpr double kFarthest_deg = 0.3;  // about 30 km
        for (const LayoutFeature& feature : features_) {
            const auto& point = feature.ring.front();
            if (std::hypot(point.longitude_deg - middle_.longitude_deg, point.latitude_deg - middle_.latitude_deg) >
                kFarthest_deg) {
                add(LayoutDoubt::far_away,
                    module_name(feature.module),
                    fmt::format("it lies at ({:.5f}, {:.5f}), the others near ({:.5f}, {:.5f})",
                                point.longitude_deg,
                                point.latitude_deg,
                                middle_.longitude_deg,
                                middle_.latitude_deg),
                    "Correct its coordinates");
                strays_.insert(&feature);
            }
        }
    }

    // Corners in space, with degrees as written or with east and north changed.
    [[nodiscard]] tl::expected<Corners, std::string> corners_of(const LayoutFeature& feature,
                                                                const SiteProjection& projection,
                                                                bool swapped) const {
        detail::OutlineFromAbove outline;
        for (const auto& point : feature.ring) {
            const Eigen::Vector3d in_site =
                swapped ? projection.to_site(point.latitude_deg, point.longitude_deg, Metres(0.0))
                        : projection.to_site(point.longitude_deg, point.latitude_deg, Metres(0.0));
            outline.ring.push_back(in_site.head<2>());
        }
        outline.tilt = degrees(feature.tilt_deg);
        outline.azimuth = wrap_full_turn(degrees(feature.azimuth_deg));
        outline.height = feature.height;
        outline.top = feature.top;
        return detail::corners_in_space(outline);
    }

    [[nodiscard]] const ModuleType* type_of(const LayoutFeature& feature) const {
        const auto& type = types_.find(feature.type)->second;
        return type ? &*type : nullptr;
    }

    void place_outlines() {
        const SiteProjection projection(middle_);
        std::vector<std::pair<const LayoutFeature*, std::string>> misfits;
        int compared = 0;
        corners_.resize(features_.size());
        for (std::size_t i = 0; i < features_.size(); ++i) {
            const LayoutFeature& feature = features_[i];
            if (strays_.contains(&feature)) {
                continue;
            }
            const auto corners = corners_of(feature, projection, false);
            const ModuleType* type = type_of(feature);
            if (corners) {
                corners_[i] = *corners;
                result_.area_m2 += ((*corners)[2] - (*corners)[0]).cross((*corners)[3] - (*corners)[1]).norm() / 2.0;
                const std::string mismatch = type == nullptr ? std::string() : detail::size_mismatch(*corners, *type);
                compared += type == nullptr ? 0 : 1;
                if (!mismatch.empty()) {
                    misfits.emplace_back(&feature, mismatch);
                }
            } else {
                ++compared;
                misfits.emplace_back(&feature, corners.error());
            }
        }
        if (report_swapped(misfits, compared)) {
            return;
        }
        for (const auto& [feature, why] : misfits) {
            add(LayoutDoubt::size,
                module_name(feature->module),
                why + size_hint(*feature, projection),
                detail::kSizeRemedy);
        }
    }

    // Most outlines misfit as they are, and fit when longitude and latitude change places.
    bool report_swapped(const std::vector<std::pair<const LayoutFeature*, std::string>>& misfits, int compared) {
        const bool could_be = std::abs(middle_.longitude_deg) <= 90.0;
        if (!could_be || 2 * static_cast<int>(misfits.size()) <= compared) {
            return false;
        }
        const SiteProjection swapped({middle_.latitude_deg, middle_.longitude_deg, Metres(0.0)});
        int fits = 0;
        for (const auto& [feature, why] : misfits) {
            const auto corners = corners_of(*feature, swapped, true);
            const ModuleType* type = type_of(*feature);
            fits += corners && type != nullptr && detail::size_mismatch(*corners, *type).empty() ? 1 : 0;
        }
        if (2 * fits <= static_cast<int>(misfits.size())) {
            return false;
        }
        add(LayoutDoubt::axes_swapped,
            "layout",
            fmt::format("{} of {} outlines do not fit their types, and {} of those do with longitude and latitude "
                        "changed: the site would lie at ({:.5f}, {:.5f})",
                        misfits.size(),
                        compared,
                        fits,
                        middle_.latitude_deg,
                        middle_.longitude_deg),
            "Save the layout again with longitude (east) first");
        return true;
    }

    [[nodiscard]] std::string size_hint(const LayoutFeature& feature, const SiteProjection& projection) const {
        double shortest = HUGE_VAL;
        double longest = 0.0;
        for (std::size_t k = 0; k < feature.ring.size(); ++k) {
            const auto& a = feature.ring[k];
            const auto& b = feature.ring[(k + 1) % feature.ring.size()];
            const double side = (projection.to_site(a.longitude_deg, a.latitude_deg, Metres(0.0)) -
                                 projection.to_site(b.longitude_deg, b.latitude_deg, Metres(0.0)))
                                    .norm();
            shortest = std::min(shortest, side);
            longest = std::max(longest, side);
        }
        constexpr double kSmallest_m = 0.1;  // no module is smaller or larger
        constexpr double kLargest_m = 4.0;
        return shortest < kSmallest_m || longest > kLargest_m
                   ? fmt::format("; sides of {:.3f} to {:.3f} m are no size of a module", shortest, longest)
                   : std::string();
    }

    void check_ids() {
        std::set<std::string> modules;
        std::set<std::string> strings;
        std::set<std::string> tables;
        for (const LayoutFeature& feature : features_) {
            if (!modules.insert(feature.module).second) {
                add(LayoutDoubt::duplicate_id,
                    module_name(feature.module),
                    "the id is used by two modules",
                    "Ids are unique on a site");
            }
            if (!feature.string.empty()) {
                strings.insert(feature.string);
            }
            if (!feature.table.empty()) {
                tables.insert(feature.table);
            }
        }
        check_aliases("module", modules);
        check_aliases("string", strings);
        check_aliases("table", tables);
    }

    void check_aliases(std::string_view kind, const std::set<std::string>& ids) {
        std::map<std::string, std::string> first_of_key;
        for (const std::string& id : ids) {
            const auto [known, is_new] = first_of_key.emplace(detail::alias_key(id), id);
            if (!is_new) {
                add(LayoutDoubt::alias,
                    fmt::format("{} \"{}\"", kind, id),
                    fmt::format("it is easily taken for \"{}\"", known->second),
                    "If they are one, write them alike; if not, rename one");
            }
        }
    }

    void check_overlaps() {
        std::vector<detail::PlanOutline> outlines;
        std::vector<const LayoutFeature*> owners;
        for (std::size_t i = 0; i < features_.size(); ++i) {
            if (corners_[i]) {
                detail::PlanOutline outline;
                for (const Eigen::Vector3d& corner : *corners_[i]) {
                    outline.ring.emplace_back(corner.x(), corner.y());
                }
                outline.height_m = features_[i].height.value();
                outlines.push_back(std::move(outline));
                owners.push_back(&features_[i]);
            }
        }
        constexpr double kSamePlace = 0.9;
        for (const detail::Overlap& overlap : detail::find_overlaps(outlines)) {
            const auto& at = owners[overlap.second]->ring.front();
            add(LayoutDoubt::overlap,
                fmt::format("modules \"{}\" and \"{}\"", owners[overlap.first]->module, owners[overlap.second]->module),
                fmt::format("{} {:.0f} % of the smaller one, {:.3f} m2, near ({:.7f}, {:.7f})",
                            overlap.share > kSamePlace ? "they lie on one another:" : "they overlap by",
                            100.0 * overlap.share,
                            overlap.area_m2,
                            at.longitude_deg,
                            at.latitude_deg),
                overlap.share > kSamePlace ? "Delete one of them" : "Move one of them");
        }
    }

    void count() {
        std::map<std::string, std::vector<const LayoutFeature*>, NaturalLess> strings;
        std::map<std::string, int, NaturalLess> tables;
        result_.modules = static_cast<int>(features_.size());
        for (const LayoutFeature& feature : features_) {
            TypeCount& type = result_.types[feature.type];
            ++type.modules;
            type.rated_power_w += type_of(feature) == nullptr ? 0.0 : type_of(feature)->rated_power_w;
            if (feature.string.empty()) {
                ++result_.without_string;
            } else {
                strings[feature.string].push_back(&feature);
            }
            if (feature.table.empty()) {
                ++result_.without_table;
            } else {
                ++tables[feature.table];
            }
        }
        result_.tables.assign(tables.begin(), tables.end());
        for (auto& [id, members] : strings) {
            std::stable_sort(members.begin(), members.end(), [](const LayoutFeature* a, const LayoutFeature* b) {
                return a->position < b->position;
            });
            check_members(id, members);
            const LayoutFeature& first = *members.front();
            result_.strings.push_back({id,
                                       first.type,
                                       static_cast<int>(members.size()),
                                       first.home.combiner,
                                       first.home.inverter,
                                       first.home.input});
        }
    }

    void check_members(const std::string& id, const std::vector<const LayoutFeature*>& members) {
        const std::string name = fmt::format("string \"{}\"", id);
        int expected = 1;
        for (std::size_t i = 0; i < members.size(); ++i) {
            const LayoutFeature& here = *members[i];
            if (i > 0 && members[i - 1]->position == here.position) {
                add(LayoutDoubt::shared_position,
                    module_name(here.module),
                    fmt::format("it shares position {} of string \"{}\" with module \"{}\"",
                                here.position,
                                id,
                                members[i - 1]->module),
                    "Each position of a string has one module");
                continue;
            }
            if (here.position != expected) {
                add(LayoutDoubt::position_gap,
                    name,
                    here.position == expected + 1
                        ? fmt::format("position {} is missing, before module \"{}\"", expected, here.module)
                        : fmt::format("positions {} to {} are missing, before module \"{}\"",
                                      expected,
                                      here.position - 1,
                                      here.module),
                    "Count from 1 at the positive end, without gaps, or add the module that is not drawn");
            }
            expected = here.position + 1;
        }
        const LayoutFeature& first = *members.front();
        for (const LayoutFeature* member : members) {
            const auto differs = [&](std::string_view what, const std::string& a, const std::string& b) {
                if (a != b) {
                    add(LayoutDoubt::mixed_string,
                        name,
                        fmt::format("its modules \"{}\" and \"{}\" differ in {}: \"{}\" and \"{}\"",
                                    first.module,
                                    member->module,
                                    what,
                                    a,
                                    b),
                        "The modules of a string are of one type and lead to one place");
                }
                return a != b;
            };
            if (differs("type", first.type, member->type) ||
                differs("combiner", first.home.combiner, member->home.combiner) ||
                differs("inverter", first.home.inverter, member->home.inverter) ||
                differs("input", first.home.input, member->home.input)) {
                break;
            }
        }
    }

    // Held against the commonest length of its type, where that is more than half of them.
    void check_strings() {
        std::map<std::string, std::map<int, int>> lengths_of_type;
        std::map<std::string, int> strings_of_type;
        for (const StringCount& string : result_.strings) {
            ++lengths_of_type[string.type][string.modules];
            ++strings_of_type[string.type];
        }
        for (const StringCount& string : result_.strings) {
            const auto& lengths = lengths_of_type[string.type];
            const auto usual = std::max_element(
                lengths.begin(), lengths.end(), [](const auto& a, const auto& b) { return a.second < b.second; });
            if (string.modules != usual->first && 2 * usual->second > strings_of_type[string.type]) {
                add(LayoutDoubt::odd_length,
                    fmt::format("string \"{}\"", string.id),
                    fmt::format("it has {} modules, {} of {} strings of its type have {}",
                                string.modules,
                                usual->second,
                                strings_of_type[string.type],
                                usual->first),
                    "Hold it against the string list of the site");
            }
        }
    }

    const ModuleTypeCatalogue& catalogue_;
    std::vector<LayoutFeature> features_;  // sorted by id
    std::map<std::string, std::optional<ModuleType>> types_;
    std::set<const LayoutFeature*> strays_;
    std::vector<std::optional<Corners>> corners_;
    SiteOrigin middle_;
    LayoutCheck result_;
};

}  // namespace

std::string_view to_string(LayoutDoubt doubt) {
    switch (doubt) {
        case LayoutDoubt::unreadable:
            return "unreadable";
        case LayoutDoubt::duplicate_id:
            return "duplicate_id";
        case LayoutDoubt::shared_position:
            return "shared_position";
        case LayoutDoubt::size:
            return "size";
        case LayoutDoubt::axes_swapped:
            return "axes_swapped";
        case LayoutDoubt::far_away:
            return "far_away";
        case LayoutDoubt::overlap:
            return "overlap";
        case LayoutDoubt::alias:
            return "alias";
        case LayoutDoubt::position_gap:
            return "position_gap";
        case LayoutDoubt::odd_length:
            return "odd_length";
        case LayoutDoubt::mixed_string:
            break;
    }
    return "mixed_string";
}

bool is_refused(LayoutDoubt doubt) {
    return doubt <= LayoutDoubt::axes_swapped;
}

bool LayoutCheck::is_refused() const {
    return std::ranges::any_of(problems,
                               [](const LayoutProblem& problem) { return heatrow::is_refused(problem.doubt); });
}

LayoutCheck check_layout(const std::filesystem::path& file, const ModuleTypeCatalogue& types) {
    return LayoutChecker(file, types).run();
}

}  // namespace heatrow
