#include "visible_pictures.hpp"

#include "heatrow/io/colour_picture.hpp"
#include "hot_modules.hpp"
#include "parallel_items.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace heatrow {
namespace {

using Eigen::Vector2d;

constexpr std::size_t kMostFindings = 300;  // as of thermal pictures
constexpr double kSurroundings = 0.5;       // shown around a module, of its larger side
constexpr double kAspect = 1.25;            // width over height, as of thermal crops
constexpr int kWidest_px = 320;             // larger ones lose pixels

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

struct Job {
    int finding = 0;
    int frame = 0;  // thermal
    std::size_t picture = 0;
};

// The partner of the largest view that has one.
std::vector<Job> choose_pictures(const VisiblePartners& partners, const SurveyRecord& record) {
    const ViewsByModule views = views_by_module(record.views);
    std::vector<Job> jobs;
    for (std::size_t i = 0; i < record.findings.size() && i < kMostFindings; ++i) {
        const Finding& finding = record.findings[i];
        const auto own = views.find(finding.module);
        if (own == views.end()) {
            continue;
        }
        auto shown = own->second;
        std::erase_if(shown, [&](const PlacedView* view) {
            return std::find(finding.frames.begin(), finding.frames.end(), view->frame) == finding.frames.end();
        });
        sort_largest_first(shown);
        for (const PlacedView* view : shown) {
            if (const auto picture = partners.of_frame(view->frame)) {
                jobs.push_back({static_cast<int>(i), view->frame, *picture});
                break;
            }
        }
    }
    return jobs;
}

// Means over square blocks of pixels.
Image<Colour> cut_out(const Image<Colour>& pixels, Eigen::Vector2i low, Eigen::Vector2i size, int block) {
    Image<Colour> cut(size.x(), size.y());
    const auto view = pixels.view();
    for (int y = 0; y < cut.height(); ++y) {
        for (int x = 0; x < cut.width(); ++x) {
            int sums[3] = {};
            for (int i = 0; i < block * block; ++i) {
                const Colour colour = view(low.x() + x * block + i % block, low.y() + y * block + i / block);
                sums[0] += colour.red;
                sums[1] += colour.green;
                sums[2] += colour.blue;
            }
            const auto mean = [&](int sum) { return static_cast<std::uint8_t>(sum / (block * block)); };
            cut.view()(x, y) = {mean(sums[0]), mean(sums[1]), mean(sums[2])};
        }
    }
    return cut;
}

// Nothing where the module lies outside the picture.
std::optional<VisiblePicture> picture_of(const LaidPicture& laid, const Module& module) {
    VisiblePicture picture;
    for (const Eigen::Vector3d& corner : module.corners_in_site) {
        const auto pixel = laid.camera.project(corner);
        if (!pixel) {
            return std::nullopt;
        }
        picture.module_px.push_back(*pixel);
    }
    Vector2d low = picture.module_px.front();
    Vector2d high = low;
    for (const Vector2d& corner : picture.module_px) {
        low = low.cwiseMin(corner);
        high = high.cwiseMax(corner);
    }
    const Vector2d middle = 0.5 * (low + high);
    if (!inside_picture(laid.camera.lens(), middle)) {
        return std::nullopt;
    }
    Vector2d half = 0.5 * (high - low) + Vector2d::Constant(kSurroundings * 0.5 * (high - low).maxCoeff());
    half.y() = std::max(half.y(), half.x() / kAspect);
    half.x() = std::max(half.x(), kAspect * half.y());
    const auto inside = [&](const Vector2d& point) {
        return point.cwiseMax(Vector2d::Zero())
            .cwiseMin(Vector2d(laid.pixels.width() - 1, laid.pixels.height() - 1))
            .array()
            .round()
            .cast<int>()
            .matrix()
            .eval();
    };
    const Eigen::Vector2i from = inside(middle - half);
    const Eigen::Vector2i extent = inside(middle + half) - from + Eigen::Vector2i::Ones();
    const int block = 1 + (extent.x() - 1) / kWidest_px;
    picture.size_px = extent / block;
    if (picture.size_px.minCoeff() < 1) {
        return std::nullopt;
    }
    picture.jpeg = encode_jpeg(cut_out(laid.pixels, from, picture.size_px, block));
    for (Vector2d& corner : picture.module_px) {
        corner = ((corner - from.cast<double>()).array() + 0.5) / block - 0.5;
    }
    picture.fits = laid.fits;
    return picture;
}

// What became of one picture that was asked.
struct Outcome {
    std::string rejected;  // why it cannot be used; empty where it can
    bool fits = false;
};

std::vector<std::string> notes_on(const SurveyInputs& inputs,
                                  const SurveyRecord& record,
                                  const std::vector<Outcome>& outcomes) {
    const bool may_have_some =
        !inputs.visible.frames.empty() &&
        std::any_of(record.findings.begin(), record.findings.end(), [](const auto& f) { return f.module >= 0; });
    if (may_have_some && outcomes.empty()) {
        return {
            fmt::format("None of {} visible frames was taken within a second of a placed thermal frame that shows a "
                        "finding. Check the clock of camera '{}' and the times of the visible frames.",
                        inputs.visible.frames.size(),
                        inputs.settings.visible_frames->camera)};
    }
    std::vector<std::string> notes;
    const auto is_rejected = [](const Outcome& outcome) { return !outcome.rejected.empty(); };
    if (const auto rejected = std::count_if(outcomes.begin(), outcomes.end(), is_rejected); rejected > 0) {
        notes.push_back(fmt::format("{} of {} visible frames beside findings cannot be used: {}.",
                                    rejected,
                                    outcomes.size(),
                                    std::find_if(outcomes.begin(), outcomes.end(), is_rejected)->rejected));
    }
    const auto unfitting = std::count_if(outcomes.begin(), outcomes.end(), [&](const Outcome& outcome) {
        return !is_rejected(outcome) && !outcome.fits;
    });
    if (unfitting > 0) {
        notes.push_back(fmt::format(
            "{} of {} visible frames beside findings do not fit the layout: they are shown, but have no say. "
            "Check focal_px and distortion of camera '{}', and that it looks where the thermal camera does.",
            unfitting,
            outcomes.size(),
            inputs.settings.visible_frames->camera));
    }
    return notes;
}

}  // namespace

VisiblePictures make_visible_pictures(const SurveyInputs& inputs,
                                      const VisiblePartners& partners,
                                      const SurveyRecord& record,
                                      int threads,
                                      const Progress& progress) {
    const std::vector<Job> jobs = choose_pictures(partners, record);
    std::map<std::size_t, std::vector<std::size_t>> by_picture;
    for (std::size_t job = 0; job < jobs.size(); ++job) {
        by_picture[jobs[job].picture].push_back(job);
    }
    const std::vector<std::pair<std::size_t, std::vector<std::size_t>>> groups(by_picture.begin(), by_picture.end());
    std::vector<std::optional<VisiblePicture>> pictures(jobs.size());
    std::vector<Outcome> outcomes(groups.size());
    for_each_item(groups.size(), threads, "cutting out of visible frames", progress, [&](std::size_t group) {
        const auto laid = partners.lay(groups[group].first);
        if (!laid) {
            outcomes[group].rejected = laid.error().detail;
            return;
        }
        outcomes[group].fits = laid->fits;
        for (const std::size_t job : groups[group].second) {
            const Finding& finding = record.findings[at(jobs[job].finding)];
            pictures[job] = picture_of(*laid, record.layout.modules[at(finding.module)]);
        }
    });
    VisiblePictures made;
    for (std::size_t job = 0; job < jobs.size(); ++job) {
        if (pictures[job]) {
            const VisibleFrame& frame = inputs.visible.frames[jobs[job].picture];
            pictures[job]->finding = jobs[job].finding;
            pictures[job]->frame = frame.file.name;
            pictures[job]->time = frame.time;
            pictures[job]->partner = jobs[job].frame;
            made.pictures.push_back(std::move(*pictures[job]));
        }
    }
    made.notes = notes_on(inputs, record, outcomes);
    return made;
}

}  // namespace heatrow
