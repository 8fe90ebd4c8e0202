#include "finding_pictures.hpp"

#include "heatrow/core/quad_area.hpp"
#include "heatrow/radiometry/encoding.hpp"
#include "heatrow/report/file_stem.hpp"
#include "heatrow/report/thermal_picture.hpp"
#include "parallel_items.hpp"
#include "read_frame.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <iterator>
#include <map>

namespace heatrow {
namespace {

using Eigen::Vector2d;

constexpr std::size_t kMostFindings = 300;  // more pictures than anybody looks at make a report that nobody can mail
constexpr double kSurroundings = 0.3;       // shown beyond the module, share of its extent
constexpr int kWidest_px = 160;             // of a crop; larger ones lose pixels
constexpr double kDrawn_px = 200.0;         // width of a picture

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

struct Shot {
    int finding = 0;
    const PlacedView* view = nullptr;
    Image<float> temperature_c;
    Vector2d corner{0.0, 0.0};  // of the crop in the frame, px
    int step = 1;               // frame pixels for one of the crop
};

// Views of a module in the frames that a finding was made from.
std::vector<const PlacedView*> views_of(const SurveyRecord& record, const Finding& finding) {
    std::vector<const PlacedView*> views;
    for (const int frame : finding.frames) {
        const auto first = std::lower_bound(record.views.begin(),
                                            record.views.end(),
                                            std::pair(frame, finding.module),
                                            [](const PlacedView& view, const std::pair<int, int>& key) {
                                                return std::pair(view.frame, view.module) < key;
                                            });
        if (first != record.views.end() && first->frame == frame && first->module == finding.module) {
            views.push_back(&*first);
        }
    }
    return views;
}

std::vector<Shot> choose_shots(const SurveyRecord& record) {
    std::vector<Shot> shots;
    for (std::size_t i = 0; i < record.findings.size() && i < kMostFindings; ++i) {
        const Finding& finding = record.findings[i];
        const auto views = finding.module == -1 ? std::vector<const PlacedView*>{} : views_of(record, finding);
        if (views.empty()) {
            continue;
        }
        const PlacedView* largest = *std::max_element(
            views.begin(), views.end(), [](const auto* a, const auto* b) { return quad_area(a->corners_px) < quad_area(b->corners_px); });
        const auto apart = [&](const PlacedView* view) {
            return std::chrono::abs(record.frames[at(view->frame)].prior.time -
                                    record.frames[at(largest->frame)].prior.time);
        };
        const PlacedView* other = *std::max_element(
            views.begin(), views.end(), [&](const auto* a, const auto* b) { return apart(a) < apart(b); });
        const auto take = [&](const PlacedView* view) {
            Shot& shot = shots.emplace_back();
            shot.finding = static_cast<int>(i);
            shot.view = view;
        };
        take(largest);
        if (other != largest) {
            take(other);
        }
    }
    return shots;
}

void crop(CountView counts, const TemperatureEncoding& encoding, Shot& shot) {
    Vector2d low = shot.view->corners_px[0];
    Vector2d high = low;
    for (const Vector2d& corner : shot.view->corners_px) {
        low = low.cwiseMin(corner);
        high = high.cwiseMax(corner);
    }
    const double margin = kSurroundings * (high - low).maxCoeff();
    const int left = std::max(0, static_cast<int>(std::floor(low.x() - margin)));
    const int top = std::max(0, static_cast<int>(std::floor(low.y() - margin)));
    const int right = std::min(counts.width() - 1, static_cast<int>(std::ceil(high.x() + margin)));
    const int bottom = std::min(counts.height() - 1, static_cast<int>(std::ceil(high.y() + margin)));
    if (right <= left || bottom <= top) {
        return;
    }
    shot.step = 1 + std::max(right - left, bottom - top) / kWidest_px;
    shot.corner = {left, top};
    shot.temperature_c = Image<float>((right - left) / shot.step + 1, (bottom - top) / shot.step + 1);
    for (int y = 0; y < shot.temperature_c.height(); ++y) {
        for (int x = 0; x < shot.temperature_c.width(); ++x) {
            const double count = double{counts(left + x * shot.step, top + y * shot.step)};
            shot.temperature_c.view()(x, y) = encoding.nodata && count == *encoding.nodata
                                                  ? std::numeric_limits<float>::quiet_NaN()
                                                  : static_cast<float>(exported_temperature(count, encoding).value());
        }
    }
}

// Without the few pixels that a damaged detector adds at either end.
ShownRange usual_range(const Image<float>& temperature_c) {
    constexpr std::size_t kLeftOut = 5;
    std::vector<float> known;
    std::copy_if(temperature_c.pixels().begin(), temperature_c.pixels().end(), std::back_inserter(known), [](float t) {
        return std::isfinite(t);
    });
    if (known.size() <= 2 * kLeftOut) {
        return range_of(temperature_c.view());
    }
    std::sort(known.begin(), known.end());
    return {Celsius(double{known[kLeftOut]}), Celsius(double{known[known.size() - 1 - kLeftOut]})};
}

std::string draw(const Shot& shot, const TemperatureScale& scale) {
    ThermalPicture picture;
    picture.temperature_c = shot.temperature_c.view();
    picture.scale = scale;
    picture.plain = true;
    picture.width_px = kDrawn_px;
    picture.png_scale = 1.0;
    PictureOutline outline;
    for (const Vector2d& corner : shot.view->corners_px) {
        outline.outline_px.push_back((corner - shot.corner) / shot.step);
    }
    outline.doubtful = shot.view->placement != Placement::placed;
    picture.outlines.push_back(std::move(outline));
    return thermal_picture_png(picture);
}

}  // namespace

FindingPictures make_finding_pictures(const SurveyInputs& inputs,
                                      const SurveyRecord& record,
                                      int threads,
                                      const Progress& progress) {
    std::vector<Shot> shots = choose_shots(record);
    std::map<int, std::vector<Shot*>> shots_of_frame;
    for (Shot& shot : shots) {
        shots_of_frame[shot.view->frame].push_back(&shot);
    }
    const std::vector<std::pair<int, std::vector<Shot*>>> frames(shots_of_frame.begin(), shots_of_frame.end());
    const TemperatureEncoding& encoding = inputs.settings.temperature.encoding;
    for_each_item(frames.size(), threads, "looking at findings", progress, [&](std::size_t i) {
        if (const auto accepted = read_accepted(inputs, at(frames[i].first))) {
            for (Shot* shot : frames[i].second) {
                crop(accepted->counts.view(), encoding, *shot);
            }
        }
    });
    std::erase_if(shots, [](const Shot& shot) { return shot.temperature_c.empty(); });
    ShownRange range;
    for (const Shot& shot : shots) {
        range = united(range, usual_range(shot.temperature_c));
    }
    range = rounded_out(range);
    const TemperatureScale scale(range.low, range.high, Palette::inferno);

    FindingPictures made;
    made.bytes.resize(shots.size());
    FileStems stems;
    for (const Shot& shot : shots) {
        const std::string& id = record.findings[at(shot.finding)].id;
        made.pictures.push_back({id, shot.view->frame, "findings/" + stems.claim(id) + ".png", range.low, range.high});
    }
    for_each_item(shots.size(), threads, "drawing findings", progress, [&](std::size_t i) {
        made.bytes[i] = draw(shots[i], scale);
    });
    return made;
}

}  // namespace heatrow
