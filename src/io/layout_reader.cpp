#include "heatrow/io/layout_reader.hpp"

#include "ground_heights.hpp"
#include "heatrow/io/site_projection.hpp"
#include "layout_source.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace heatrow {
namespace {

using detail::fail_layout;
using detail::LayoutFeature;

// Natural order; ids that differ only in leading zeros fall back to plain order.
bool id_less(const std::string& a, const std::string& b) {
    return natural_less(a, b) || (!natural_less(b, a) && a < b);
}

SiteOrigin south_west_corner(const std::vector<LayoutFeature>& features) {
    SiteOrigin origin{HUGE_VAL, HUGE_VAL, Metres(0.0)};
    for (const LayoutFeature& feature : features) {
        for (const auto& point : feature.ring) {
            origin.longitude_deg = std::min(origin.longitude_deg, point.longitude_deg);
            origin.latitude_deg = std::min(origin.latitude_deg, point.latitude_deg);
        }
    }
    return origin;
}

std::string in_quotes(const std::string& id) {
    return fmt::format("module \"{}\"", id);
}

// Keeps of `home` what `other` names too.
void keep_common(StringHome& home, const StringHome& other) {
    for (std::string StringHome::*const field : {&StringHome::combiner, &StringHome::inverter, &StringHome::input}) {
        if (home.*field != other.*field) {
            (home.*field).clear();
        }
    }
}

class LayoutBuilder {
  public:
    LayoutBuilder(const std::filesystem::path& file, const ModuleTypeCatalogue& types, const SiteOrigin& origin)
        : file_(file), catalogue_(types), projection_(origin) {
        layout_.origin = origin;
    }

    void add(const LayoutFeature& feature) {
        if (!layout_.modules.empty() && layout_.modules.back().id == feature.module) {
            fail_layout(file_, in_quotes(feature.module), "the id is used by two modules", "Ids are unique on a site");
        }
        Module module;
        module.id = feature.module;
        module.type = type_index(feature);
        module.tilt = degrees(feature.tilt_deg);
        module.azimuth = wrap_full_turn(degrees(feature.azimuth_deg));
        module.position = feature.position;
        module.corners_in_site = corners_of(feature, module);
        require_size(module);
        const auto index = static_cast<int>(layout_.modules.size());
        if (!feature.string.empty()) {
            ModuleString& string = members_of_strings_[feature.string];
            if (string.modules.empty()) {
                string.home = feature.home;
            }
            keep_common(string.home, feature.home);
            string.modules.push_back(index);
        }
        if (!feature.table.empty()) {
            members_of_tables_[feature.table].push_back(index);
        }
        layout_.modules.push_back(std::move(module));
    }

    Layout finish() {
        for (auto& [id, string] : members_of_strings_) {
            string.id = id;
            add_string(std::move(string));
        }
        for (auto& [id, members] : members_of_tables_) {
            for (const int index : members) {
                module_at(index).table = static_cast<int>(layout_.tables.size());
            }
            layout_.tables.push_back({id, std::move(members)});
        }
        return std::move(layout_);
    }

  private:
    struct IdLess {
        bool operator()(const std::string& a, const std::string& b) const { return id_less(a, b); }
    };

    Module& module_at(int index) { return layout_.modules[static_cast<std::size_t>(index)]; }

    int type_index(const LayoutFeature& feature) {
        for (std::size_t i = 0; i < layout_.types.size(); ++i) {
            if (layout_.types[i].id == feature.type) {
                return static_cast<int>(i);
            }
        }
        layout_.types.push_back(catalogue_.read(feature.type));
        return static_cast<int>(layout_.types.size()) - 1;
    }

    std::array<Eigen::Vector3d, 4> corners_of(const LayoutFeature& feature, const Module& module) const {
        detail::OutlineFromAbove outline;
        for (const auto& point : feature.ring) {
            const Eigen::Vector3d in_site =
                projection_.to_site(point.longitude_deg, point.latitude_deg, projection_.origin().height);
            outline.ring.push_back(in_site.head<2>());
        }
        outline.tilt = module.tilt;
        outline.azimuth = module.azimuth;
        outline.height = feature.height;
        outline.top = feature.top;
        const auto corners = detail::corners_in_space(outline);
        if (!corners) {
            fail_layout(file_, in_quotes(feature.module), corners.error(), "Draw its outline from above, four corners");
        }
        return *corners;
    }

    void require_size(const Module& module) const {
        const std::string mismatch = detail::size_mismatch(module.corners_in_site, layout_.type_of(module));
        if (!mismatch.empty()) {
            fail_layout(file_, in_quotes(module.id), mismatch, detail::kSizeRemedy);
        }
    }

    void add_string(ModuleString string) {
        std::vector<int>& members = string.modules;
        std::sort(members.begin(), members.end(), [this](int a, int b) {
            return std::pair(module_at(a).position, a) < std::pair(module_at(b).position, b);
        });
        for (std::size_t i = 1; i < members.size(); ++i) {
            const Module& before = module_at(members[i - 1]);
            const Module& here = module_at(members[i]);
            if (before.position == here.position) {
                fail_layout(file_,
                            in_quotes(here.id),
                            fmt::format("it shares position {} of string \"{}\" with module \"{}\"",
                                        here.position,
                                        string.id,
                                        before.id),
                            "Each position of a string has one module");
            }
        }
        for (const int index : members) {
            module_at(index).string = static_cast<int>(layout_.strings.size());
        }
        layout_.strings.push_back(std::move(string));
    }

    const std::filesystem::path& file_;
    const ModuleTypeCatalogue& catalogue_;
    SiteProjection projection_;
    Layout layout_;
    std::map<std::string, ModuleString, IdLess> members_of_strings_;
    std::map<std::string, std::vector<int>, IdLess> members_of_tables_;
};

}  // namespace

Layout read_layout(const std::filesystem::path& file,
                   const ModuleTypeCatalogue& types,
                   const std::optional<SiteOrigin>& origin,
                   const std::optional<std::filesystem::path>& elevation) {
    std::vector<LayoutFeature> features = detail::read_layout_features(file);
    const SiteOrigin site_origin = origin.value_or(south_west_corner(features));
    if (elevation) {
        detail::add_ground(features, detail::ElevationModel(*elevation), site_origin, file);
    }
    std::stable_sort(features.begin(), features.end(), [](const LayoutFeature& a, const LayoutFeature& b) {
        return id_less(a.module, b.module);
    });
    LayoutBuilder builder(file, types, site_origin);
    for (const LayoutFeature& feature : features) {
        builder.add(feature);
    }
    return builder.finish();
}

}  // namespace heatrow
