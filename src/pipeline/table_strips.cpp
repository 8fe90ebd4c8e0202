#include "table_strips.hpp"

#include "heatrow/camera/posed_camera.hpp"
#include "heatrow/core/median.hpp"
#include "heatrow/radiometry/encoding.hpp"
#include "heatrow/report/thermal_picture.hpp"
#include "read_frame.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <atomic>
#include <cmath>
#include <map>
#include <memory>
#include <mutex>
#include <optional>
#include <set>
#include <utility>

namespace heatrow {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double kMetresPerPixel = 0.025;  // of a strip: about the pixels of a usual flight
constexpr double kSurroundings_m = 0.5;    // shown beyond the table
constexpr int kWidestPx = 4000;            // longer tables are drawn coarser

// The plane in which a table is drawn: along its first module's top edge, and from there downwards.
class TablePlane {
  public:
    TablePlane(const Layout& layout, const Table& table) : layout_(layout), table_(table) {
        const Module& first = layout.modules[static_cast<std::size_t>(table.modules.front())];
        origin_ = first.corners_in_site[0];
        along_ = (first.corners_in_site[1] - first.corners_in_site[0]).normalized();
        down_ = (first.corners_in_site[3] - first.corners_in_site[0]).normalized();
        for (const int module : table.modules) {
            for (const Vector3d& corner : corners_of(module)) {
                low_ = low_.cwiseMin(in_plane(corner));
                high_ = high_.cwiseMax(in_plane(corner));
            }
        }
        low_ -= Vector2d::Constant(kSurroundings_m);
        high_ += Vector2d::Constant(kSurroundings_m);
        pixel_m_ = std::max(kMetresPerPixel, (high_.x() - low_.x()) / kWidestPx);
        for (std::size_t i = 0; i < table.modules.size(); ++i) {
            centres_.push_back(module(i).centre_in_site());
            normals_.push_back(module(i).normal_in_site());
            centres_px_.push_back(pixel_of(centres_.back()));
        }
    }

    [[nodiscard]] int width() const { return static_cast<int>(std::ceil((high_.x() - low_.x()) / pixel_m_)); }
    [[nodiscard]] int height() const { return static_cast<int>(std::ceil((high_.y() - low_.y()) / pixel_m_)); }
    [[nodiscard]] double pixel_m() const { return pixel_m_; }
    [[nodiscard]] Vector2d pixel_of(const Vector3d& point) const {
        return (in_plane(point) - low_) / pixel_m_ - Vector2d::Constant(0.5);
    }
    [[nodiscard]] std::vector<Vector2d> outline_of(int module) const {
        std::vector<Vector2d> outline;
        for (const Vector3d& corner : corners_of(module)) {
            outline.push_back(pixel_of(corner));
        }
        return outline;
    }
    // Modules that are the nearest ones of some pixel within `reach` px of another: places in Table::modules,
    // ascending.
    [[nodiscard]] std::vector<std::size_t> nearest_about(const Vector2d& pixel, double reach) const {
        double distance = HUGE_VAL;
        for (const Vector2d& centre : centres_px_) {
            distance = std::min(distance, (centre - pixel).norm());
        }
        std::vector<std::size_t> near;
        for (std::size_t i = 0; i < centres_px_.size(); ++i) {
            if ((centres_px_[i] - pixel).norm() <= distance + 2.0 * reach) {
                near.push_back(i);
            }
        }
        return near;
    }
    // The module nearest to a pixel among these.
    [[nodiscard]] std::size_t nearest(const Vector2d& pixel, const std::vector<std::size_t>& among) const {
        std::size_t nearest = among.front();
        double distance = HUGE_VAL;
        for (const std::size_t i : among) {
            const double own = (centres_px_[i] - pixel).squaredNorm();
            if (own < distance) {
                distance = own;
                nearest = i;
            }
        }
        return nearest;
    }
    // Where a pixel lies in the plane of one module.
    [[nodiscard]] Vector3d point_of(const Vector2d& pixel, std::size_t nearest) const {
        const Vector2d at = low_ + pixel_m_ * (pixel + Vector2d::Constant(0.5));
        const Vector3d point = origin_ + at.x() * along_ + at.y() * down_;
        const Vector3d& normal = normals_[nearest];
        return point + normal.dot(centres_[nearest] - point) * normal;
    }

  private:
    [[nodiscard]] const Module& module(std::size_t i) const {
        return layout_.modules[static_cast<std::size_t>(table_.modules[i])];
    }
    [[nodiscard]] const std::array<Vector3d, 4>& corners_of(int module) const {
        return layout_.modules[static_cast<std::size_t>(module)].corners_in_site;
    }
    [[nodiscard]] Vector2d in_plane(const Vector3d& point) const {
        return {along_.dot(point - origin_), down_.dot(point - origin_)};
    }

    const Layout& layout_;
    const Table& table_;
    Vector3d origin_;
    Vector3d along_;
    Vector3d down_;
    Vector2d low_ = Vector2d::Constant(HUGE_VAL);
    Vector2d high_ = Vector2d::Constant(-HUGE_VAL);
    double pixel_m_ = kMetresPerPixel;
    std::vector<Vector3d> centres_;  // of the modules, in the table's order
    std::vector<Vector3d> normals_;
    std::vector<Vector2d> centres_px_;
};

// For each module of a table the frame to draw it from, -1 for none: frames that show most of the table first.
std::vector<int> choose_frames(const Table& table, const std::map<int, std::set<int>>& frames_of_module) {
    std::vector<int> chosen(table.modules.size(), -1);
    const auto frames_of = [&](std::size_t i) -> const std::set<int>* {
        const auto found = frames_of_module.find(table.modules[i]);
        return found == frames_of_module.end() ? nullptr : &found->second;
    };
    for (;;) {
        std::map<int, int> gain;
        for (std::size_t i = 0; i < chosen.size(); ++i) {
            if (chosen[i] < 0 && frames_of(i) != nullptr) {
                for (const int frame : *frames_of(i)) {
                    ++gain[frame];
                }
            }
        }
        if (gain.empty()) {
            return chosen;
        }
        const int best = std::max_element(gain.begin(), gain.end(), [](const auto& a, const auto& b) {
                             return a.second < b.second;
                         })->first;
        for (std::size_t i = 0; i < chosen.size(); ++i) {
            if (chosen[i] < 0 && frames_of(i) != nullptr && frames_of(i)->contains(best)) {
                chosen[i] = best;
            }
        }
    }
}

// Apparent temperature between the four pixels around a place; NaN outside the picture.
float temperature_at(CountView counts, const Vector2d& pixel, const TemperatureEncoding& encoding) {
    const int x = static_cast<int>(std::floor(pixel.x()));
    const int y = static_cast<int>(std::floor(pixel.y()));
    if (!counts.contains(x, y) || !counts.contains(x + 1, y + 1)) {
        return std::numeric_limits<float>::quiet_NaN();
    }
    const double u = pixel.x() - x;
    const double v = pixel.y() - y;
    double sum = 0.0;
    for (const auto& [dx, dy, weight] :
         {std::tuple{0, 0, (1.0 - u) * (1.0 - v)}, {1, 0, u * (1.0 - v)}, {0, 1, (1.0 - u) * v}, {1, 1, u * v}}) {
        const double count = double{counts(x + dx, y + dy)};
        sum += weight * (encoding.nodata && count == *encoding.nodata ? kNaN : count);
    }
    return static_cast<float>(exported_temperature(sum, encoding).value());
}

// A frame that tables are drawn from.
struct Source {
    CountView counts;
    PosedCamera camera;
};

// Side of the squares of a strip, px: inside one the way from the strip to the frame bends by less than 0.01 px.
constexpr int kSquare = 16;

// Fills one square of the strip, whose first pixel is (left, top).
class SquareFiller {
  public:
    SquareFiller(const TablePlane& plane,
                 const std::vector<int>& chosen,
                 const std::map<int, Source>& sources,
                 const TemperatureEncoding& encoding)
        : plane_(plane), chosen_(chosen), sources_(sources), encoding_(encoding) {}

    void fill(int left, int top, ImageView<float> flat) const {
        const int right = std::min(left + kSquare, flat.width()) - 1;
        const int bottom = std::min(top + kSquare, flat.height()) - 1;
        const Vector2d middle(0.5 * (left + right), 0.5 * (top + bottom));
        const std::vector<std::size_t> near = plane_.nearest_about(middle, (Vector2d(right, bottom) - middle).norm());
        for (int y = top; y <= bottom; ++y) {
            for (int x = left; x <= right; ++x) {
                flat(x, y) = std::numeric_limits<float>::quiet_NaN();
            }
        }
        for (const std::size_t module : near) {
            const auto source = sources_.find(chosen_[module]);
            if (source == sources_.end()) {
                continue;
            }
            const auto pixel_of = [&](int x, int y) {
                return source->second.camera.project(plane_.point_of(Vector2d(x, y), module));
            };
            const auto a = pixel_of(left, top);
            const auto b = pixel_of(right, top);
            const auto c = pixel_of(left, bottom);
            const auto d = pixel_of(right, bottom);
            if (!a || !b || !c || !d) {
                continue;
            }
            for (int y = top; y <= bottom; ++y) {
                const double v = bottom > top ? static_cast<double>(y - top) / (bottom - top) : 0.0;
                const Vector2d from = *a + v * (*c - *a);
                const Vector2d along = (*b + v * (*d - *b) - from) / std::max(1, right - left);
                for (int x = left; x <= right; ++x) {
                    if (near.size() == 1 || plane_.nearest(Vector2d(x, y), near) == module) {
                        flat(x, y) = temperature_at(source->second.counts, from + (x - left) * along, encoding_);
                    }
                }
            }
        }
    }

  private:
    const TablePlane& plane_;
    const std::vector<int>& chosen_;
    const std::map<int, Source>& sources_;
    const TemperatureEncoding& encoding_;
};

Image<float> lay_flat(const TablePlane& plane,
                      const std::vector<int>& chosen,
                      const std::map<int, Source>& sources,
                      const TemperatureEncoding& encoding) {
    Image<float> flat(plane.width(), plane.height());
    const SquareFiller filler(plane, chosen, sources, encoding);
    for (int top = 0; top < flat.height(); top += kSquare) {
        for (int left = 0; left < flat.width(); left += kSquare) {
            filler.fill(left, top, flat.view());
        }
    }
    return flat;
}

// One for all tables, so that strips compare: around the modules' usual cells; ground and hot cells may run out of it.
TemperatureScale scale_of(const std::vector<FrameOutcome>& outcomes, const TemperatureEncoding& encoding) {
    constexpr double kAround_k = 8.0;
    ShownRange range;
    for (const FrameOutcome& outcome : outcomes) {
        for (const ModuleSlot& slot : outcome.record.slots) {
            std::vector<double> cells;
            for (const CellSample& cell : slot.cells) {
                cells.push_back(exported_temperature(double{cell.mean}, encoding).value());
            }
            const double usual_c = take_median(cells);
            range = united(range, {Celsius(usual_c - kAround_k), Celsius(usual_c + kAround_k)});
        }
    }
    range = rounded_out(range);
    return {range.low, range.high, Palette::inferno};
}

// The frames that tables are drawn from: decoded once, by whoever comes first, and let go after the last table that
// needs them.
class SharedFrames {
  public:
    // chosen: per table, as choose_frames.
    SharedFrames(const SurveyInputs& inputs, const std::vector<std::vector<int>>& chosen)
        : inputs_(inputs), frames_(inputs.files.size()) {
        for (const std::vector<int>& of_table : chosen) {
            for (const int frame : std::set<int>(of_table.begin(), of_table.end())) {
                if (frame >= 0) {
                    auto& shared = frames_[static_cast<std::size_t>(frame)];
                    shared = shared ? std::move(shared) : std::make_unique<Shared>();
                    ++shared->uses_left;
                }
            }
        }
    }
    // Empty where the frame can no longer be read. Stays valid until `release`.
    CountView counts(int frame) {
        Shared& shared = *frames_[static_cast<std::size_t>(frame)];
        std::call_once(shared.decoded, [&] {
            if (auto accepted = read_accepted(inputs_, static_cast<std::size_t>(frame))) {
                shared.counts = std::move(accepted->counts);
            }
        });
        return std::as_const(shared.counts).view();
    }
    void release(int frame) {
        Shared& shared = *frames_[static_cast<std::size_t>(frame)];
        if (--shared.uses_left == 0) {
            shared.counts = Image<float>();
        }
    }

  private:
    struct Shared {
        std::once_flag decoded;
        std::atomic<int> uses_left = 0;
        Image<float> counts;
    };

    const SurveyInputs& inputs_;
    std::vector<std::unique_ptr<Shared>> frames_;
};

// All that drawing needs, so that tables can be drawn when the rest of the run's memory is free again.
class TableStrips {
  public:
    TableStrips(std::shared_ptr<const SurveyInputs> inputs,
                const TemperatureScale& scale,
                const SurveyRecord& record,
                std::vector<std::vector<int>> chosen,
                const std::vector<int>& tables,
                Progress progress)
        : inputs_(std::move(inputs)),
          scale_(scale),
          chosen_(std::move(chosen)),
          tables_(tables),
          frames_(*inputs_, chosen_),
          progress_(std::move(progress)) {
        for (const FrameResult& frame : record.frames) {
            poses_.push_back(frame.pose);
        }
        for (const ModuleResult& module : record.modules) {
            placements_.push_back(module.placement);
        }
    }

    // The i-th of the tables.
    std::string draw(std::size_t i) {
        std::string png = draw_table(static_cast<std::size_t>(tables_[i]));
        if (progress_) {
            const std::lock_guard lock(reporting_);
            progress_("drawing tables", ++done_, tables_.size());
        }
        return png;
    }

  private:
    std::string draw_table(std::size_t number);

    std::shared_ptr<const SurveyInputs> inputs_;
    TemperatureScale scale_;
    std::vector<std::vector<int>> chosen_;  // per table of the layout, as choose_frames
    std::vector<int> tables_;
    SharedFrames frames_;
    std::vector<std::optional<FramePose>> poses_;
    std::vector<Placement> placements_;
    Progress progress_;
    std::mutex reporting_;
    std::size_t done_ = 0;
};

std::string TableStrips::draw_table(std::size_t number) {
    const Layout& layout = inputs_->layout;
    const Table& table = layout.tables[number];
    const std::vector<int>& chosen = chosen_[number];
    const TablePlane plane(layout, table);
    std::map<int, Source> sources;
    std::string names;
    for (const int frame : std::set<int>(chosen.begin(), chosen.end())) {
        if (frame >= 0) {
            const auto i = static_cast<std::size_t>(frame);
            names += (names.empty() ? "" : ", ") + inputs_->files[i].name;
            if (const CountView counts = frames_.counts(frame); !counts.empty()) {
                sources.emplace(frame, Source{counts, PosedCamera(inputs_->lens, *poses_[i])});
            }
        }
    }
    const Image<float> flat = lay_flat(plane, chosen, sources, inputs_->settings.temperature.encoding);
    for (const int frame : std::set<int>(chosen.begin(), chosen.end())) {
        if (frame >= 0) {
            frames_.release(frame);
        }
    }
    ThermalPicture picture;
    picture.temperature_c = flat.view();
    picture.scale = scale_;
    picture.ruler = false;
    picture.title = "Table " + table.id;
    std::size_t placed = 0;
    for (const int module : table.modules) {
        const Placement placement = placements_[static_cast<std::size_t>(module)];
        placed += placement == Placement::placed ? 1U : 0U;
        picture.outlines.push_back({layout.modules[static_cast<std::size_t>(module)].id,
                                    plane.outline_of(module),
                                    placement != Placement::placed});
    }
    picture.subtitle = fmt::format(
        "{} of {} modules placed. Apparent temperature from {}. Lines: the layout, dashed where "
        "the frames do not tell which module is which.",
        placed,
        table.modules.size(),
        names);
    picture.metres_per_pixel = Metres(plane.pixel_m());
    picture.width_px = 2.0 * plane.width();
    picture.png_scale = 1.0;  // two pixels each way for one of the strip: labels stay legible
    return thermal_picture_png(picture);
}

}  // namespace

TablePictures make_table_strips(std::shared_ptr<const SurveyInputs> inputs,
                                const std::vector<FrameOutcome>& outcomes,
                                const SurveyRecord& record,
                                const Progress& progress) {
    std::map<int, std::set<int>> frames_of_module;
    for (const PlacedView& view : record.views) {
        const auto inside = [&](const Vector2d& corner) { return inside_picture(inputs->lens, corner); };
        if (std::all_of(view.corners_px.begin(), view.corners_px.end(), inside)) {
            frames_of_module[view.module].insert(view.frame);
        }
    }
    std::vector<std::vector<int>> chosen;
    TablePictures pictures;
    for (std::size_t i = 0; i < inputs->layout.tables.size(); ++i) {
        chosen.push_back(choose_frames(inputs->layout.tables[i], frames_of_module));
        if (std::any_of(chosen[i].begin(), chosen[i].end(), [](int frame) { return frame >= 0; })) {
            pictures.tables.push_back(static_cast<int>(i));
        }
    }
    const TemperatureScale scale = scale_of(outcomes, inputs->settings.temperature.encoding);
    pictures.draw = [strips = std::make_shared<TableStrips>(
                         std::move(inputs), scale, record, std::move(chosen), pictures.tables, progress)](
                        std::size_t i) { return strips->draw(i); };
    return pictures;
}

}  // namespace heatrow
