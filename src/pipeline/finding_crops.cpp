#include "finding_crops.hpp"

#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/core/quad_area.hpp"
#include "heatrow/radiometry/encoding.hpp"
#include "heatrow/report/part_outlines.hpp"
#include "heatrow/report/temperature_scale.hpp"
#include "hot_modules.hpp"
#include "parallel_items.hpp"
#include "read_frame.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

namespace heatrow {
namespace {

using Eigen::Vector2d;

constexpr double kSurroundings = 0.5;  // shown around a module, of its larger side
constexpr double kAspect = 1.25;       // a crop's width over its height, at least
constexpr int kLeastSide_px = 24;

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

std::vector<int> modules_of(const SurveyRecord& record, const Finding& finding) {
    return finding.module >= 0 ? std::vector<int>{finding.module} : record.layout.strings[at(finding.string)].modules;
}

// The frame that shows most pixels of the finding's modules, whole views before cut ones; -1 where none shows any.
int best_frame(const SurveyInputs& inputs,
               const ViewsByModule& views,
               const std::vector<int>& modules,
               const Finding& finding) {
    constexpr double kWhole = 1e6;  // above any area of cut views
    std::map<int, double> shown;
    for (const int module : modules) {
        const auto found = views.find(module);
        if (found == views.end()) {
            continue;
        }
        for (const PlacedView* view : found->second) {
            if (std::find(finding.frames.begin(), finding.frames.end(), view->frame) == finding.frames.end()) {
                continue;
            }
            const bool whole = std::all_of(view->corners_px.begin(),
                                           view->corners_px.end(),
                                           [&](const Vector2d& corner) { return inside_picture(inputs.lens, corner); });
            shown[view->frame] += quad_area(view->corners_px) + (whole ? kWhole : 0.0);
        }
    }
    int best = -1;
    for (const auto& [frame, pixels] : shown) {
        best = best < 0 || pixels > shown.at(best) ? frame : best;
    }
    return best;
}

// Outlines in pixels of the frame.
void place_outlines(const SurveyRecord& record, const PosedCamera& camera, FindingCrop& crop) {
    const Finding& finding = record.findings[at(crop.finding)];
    const auto project = [&camera](const auto& points, const auto& to_site) {
        std::vector<Vector2d> outline;
        for (const auto& point : points) {
            if (const auto pixel = camera.project(to_site(point))) {
                outline.push_back(*pixel);
            }
        }
        return outline;
    };
    for (const int index : modules_of(record, finding)) {
        const Module& module = record.layout.modules[at(index)];
        const auto outline = project(module.corners_in_site,
                                     [](const Eigen::Vector3d& corner) -> const Eigen::Vector3d& { return corner; });
        const bool seen =
            outline.size() == 4 && std::any_of(outline.begin(), outline.end(), [&](const Vector2d& corner) {
                return inside_picture(camera.lens(), corner);
            });
        if (seen) {
            crop.modules_px.push_back(outline);
        }
    }
    for (const auto& part : part_outlines(record, finding)) {
        const Module& module = record.layout.modules[at(finding.module)];
        crop.parts_px.push_back(project(
            part, [&](const Vector2d& point) { return module.point_in_site(record.layout.type_of(module), point); }));
    }
}

struct PixelBox {
    Vector2d low{HUGE_VAL, HUGE_VAL};
    Vector2d high{-HUGE_VAL, -HUGE_VAL};
    void add(const Vector2d& point) {
        low = low.cwiseMin(point);
        high = high.cwiseMax(point);
    }
};

// The part of the frame to show.
PixelBox crop_of(const FindingCrop& crop, CountView frame) {
    PixelBox box;
    for (const auto& outline : crop.modules_px) {
        for (const Vector2d& corner : outline) {
            box.add(corner);
        }
    }
    const Vector2d middle = 0.5 * (box.low + box.high);
    Vector2d half = 0.5 * (box.high - box.low);
    half += Vector2d::Constant(kSurroundings * (crop.modules_px.size() > 1 ? half.minCoeff() : half.maxCoeff()));
    half.y() = std::max({half.y(), 0.5 * kLeastSide_px, 0.5 * half.x()});
    half.x() = std::max(half.x(), kAspect * half.y());
    const Vector2d last(frame.width() - 1, frame.height() - 1);
    const auto inside = [&last](const Vector2d& point) { return point.cwiseMax(Vector2d::Zero()).cwiseMin(last); };
    return {inside(middle - half), inside(middle + half)};
}

// The hottest 3 x 3 pixels whose middle lies in one of the areas; areas are convex.
void find_hottest(FindingCrop& crop) {
    const auto& areas = crop.parts_px.empty() ? crop.modules_px : crop.parts_px;
    const auto inside = [&areas](const Vector2d& point) {
        return std::any_of(areas.begin(), areas.end(), [&point](const std::vector<Vector2d>& area) {
            int left = 0;
            for (std::size_t i = 0; i < area.size(); ++i) {
                const Vector2d side = area[(i + 1) % area.size()] - area[i];
                const Vector2d to = point - area[i];
                left += side.x() * to.y() - side.y() * to.x() > 0.0 ? 1 : 0;
            }
            return left == 0 || left == static_cast<int>(area.size());
        });
    };
    const auto view = std::as_const(crop.temperature_c).view();
    for (int y = 1; y + 1 < view.height(); ++y) {
        for (int x = 1; x + 1 < view.width(); ++x) {
            if (!inside(Vector2d(x, y))) {
                continue;
            }
            double sum = 0.0;
            for (int dy = -1; dy <= 1; ++dy) {
                for (int dx = -1; dx <= 1; ++dx) {
                    sum += double{view(x + dx, y + dy)};
                }
            }
            const Celsius mean(sum / 9.0);
            if (mean.is_known() && !(crop.hottest.is_known() && crop.hottest >= mean)) {
                crop.hottest = mean;
                crop.hottest_px = Vector2d(x, y);
            }
        }
    }
}

void cut_out(const TemperatureEncoding& encoding, CountView counts, FindingCrop& crop) {
    const PixelBox box = crop_of(crop, counts);
    const Eigen::Vector2i low(static_cast<int>(std::floor(box.low.x())), static_cast<int>(std::floor(box.low.y())));
    const Eigen::Vector2i high(static_cast<int>(std::ceil(box.high.x())), static_cast<int>(std::ceil(box.high.y())));
    crop.corner_px = low;
    crop.temperature_c = Image<float>(high.x() - low.x() + 1, high.y() - low.y() + 1);
    for (int y = 0; y < crop.temperature_c.height(); ++y) {
        for (int x = 0; x < crop.temperature_c.width(); ++x) {
            const double count = double{counts(low.x() + x, low.y() + y)};
            const bool empty = encoding.nodata && count == *encoding.nodata;
            crop.temperature_c.view()(x, y) = empty ? std::numeric_limits<float>::quiet_NaN()
                                                    : static_cast<float>(exported_temperature(count, encoding).value());
        }
    }
    for (auto* outlines : {&crop.modules_px, &crop.parts_px}) {
        for (auto& outline : *outlines) {
            for (Vector2d& point : outline) {
                point -= low.cast<double>();
            }
        }
    }
    find_hottest(crop);
}

// Three quarters of the findings fit; hotter ends are clipped, so that a warm substring still shows.
ShownRange scale_for(const std::vector<FindingCrop>& crops) {
    std::vector<double> coldest;
    std::vector<double> hottest;
    for (const FindingCrop& crop : crops) {
        std::vector<float> values = crop.temperature_c.pixels();
        std::erase_if(values, [](float value) { return std::isnan(value); });
        if (values.empty()) {
            continue;
        }
        std::sort(values.begin(), values.end());
        coldest.push_back(double{values[values.size() / 20]});
        hottest.push_back(double{values[values.size() - 1]});
    }
    if (coldest.empty()) {
        return {Celsius(0.0), Celsius(100.0)};
    }
    std::sort(coldest.begin(), coldest.end());
    std::sort(hottest.begin(), hottest.end());
    return rounded_out({Celsius(coldest[coldest.size() / 4]), Celsius(hottest[(3 * hottest.size()) / 4])});
}

}  // namespace

std::vector<FindingCrop> make_finding_crops(const SurveyInputs& inputs,
                                            const SurveyRecord& record,
                                            int threads,
                                            const Progress& progress) {
    const ViewsByModule views = views_by_module(record.views);
    std::vector<FindingCrop> crops(record.findings.size());
    std::map<int, std::vector<std::size_t>> of_frame;
    for (std::size_t i = 0; i < record.findings.size(); ++i) {
        const Finding& finding = record.findings[i];
        crops[i].finding = static_cast<int>(i);
        crops[i].frame = best_frame(inputs, views, modules_of(record, finding), finding);
        if (crops[i].frame >= 0 && record.frames[at(crops[i].frame)].pose) {
            of_frame[crops[i].frame].push_back(i);
        }
    }
    const std::vector<std::pair<int, std::vector<std::size_t>>> jobs(of_frame.begin(), of_frame.end());
    for_each_item(jobs.size(), threads, "cutting out findings", progress, [&](std::size_t job) {
        const auto& [frame, members] = jobs[job];
        const auto accepted = read_accepted(inputs, at(frame));
        if (!accepted) {
            return;
        }
        const PosedCamera camera(inputs.lens, *record.frames[at(frame)].pose);
        for (const std::size_t i : members) {
            FindingCrop& crop = crops[i];
            place_outlines(record, camera, crop);
            if (crop.modules_px.empty()) {
                continue;
            }
            cut_out(inputs.settings.temperature.encoding, accepted->counts.view(), crop);
            const Finding& finding = record.findings[at(crop.finding)];
            const int shown = finding.module >= 0 ? finding.module : modules_of(record, finding).front();
            crop.metres_per_pixel = camera.ground_sample_distance(record.layout.modules[at(shown)].centre_in_site());
        }
    });
    std::erase_if(crops, [](const FindingCrop& crop) { return crop.temperature_c.empty(); });
    const ShownRange scale = scale_for(crops);
    for (FindingCrop& crop : crops) {
        crop.scale_low = scale.low;
        crop.scale_high = scale.high;
    }
    return crops;
}

}  // namespace heatrow
