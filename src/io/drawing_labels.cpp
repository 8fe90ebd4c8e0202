#include "drawing_labels.hpp"

#include "drawing_csv.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace heatrow::detail {
namespace {

Eigen::Vector2d centre_of(const DrawnOutline& outline) {
    Eigen::Vector2d sum(0.0, 0.0);
    for (const Eigen::Vector2d& point : outline.ring) {
        sum += point;
    }
    return sum / static_cast<double>(outline.ring.size());
}

// Half the longer diagonal.
double reach_of(const DrawnOutline& outline) {
    double reach = 0.0;
    for (const Eigen::Vector2d& point : outline.ring) {
        reach = std::max(reach, (point - centre_of(outline)).norm());
    }
    return reach;
}

// Of a convex ring, the border included.
bool is_inside(const std::vector<Eigen::Vector2d>& ring, const Eigen::Vector2d& point) {
    bool left = false;
    bool right = false;
    for (std::size_t i = 0; i < ring.size(); ++i) {
        const Eigen::Vector2d side = ring[(i + 1) % ring.size()] - ring[i];
        const Eigen::Vector2d to_point = point - ring[i];
        const double cross = side.x() * to_point.y() - side.y() * to_point.x();
        left = left || cross > 0.0;
        right = right || cross < 0.0;
    }
    return !(left && right);
}

// Labels in squares of a plane, so that an outline asks only those near it.
class LabelGrid {
  public:
    LabelGrid(const std::vector<DrawnLabel>& labels, double square) : labels_(labels), square_(square) {
        for (std::size_t i = 0; i < labels.size(); ++i) {
            squares_[square_of(labels[i].position)].push_back(i);
        }
    }
    // Within `reach` (at most the side of a square) of the point, ascending.
    [[nodiscard]] std::vector<std::size_t> near(const Eigen::Vector2d& point, double reach) const {
        std::vector<std::size_t> found;
        const auto [column, row] = square_of(point);
        for (long x = column - 1; x <= column + 1; ++x) {
            for (long y = row - 1; y <= row + 1; ++y) {
                const auto square = squares_.find({x, y});
                if (square == squares_.end()) {
                    continue;
                }
                std::ranges::copy_if(square->second, std::back_inserter(found), [&](std::size_t i) {
                    return (labels_[i].position - point).norm() <= reach;
                });
            }
        }
        std::ranges::sort(found);
        return found;
    }

  private:
    [[nodiscard]] std::pair<long, long> square_of(const Eigen::Vector2d& point) const {
        return {std::lround(point.x() / square_), std::lround(point.y() / square_)};
    }
    const std::vector<DrawnLabel>& labels_;
    double square_;
    std::map<std::pair<long, long>, std::vector<std::size_t>> squares_;
};

class LabelMatcher {
  public:
    explicit LabelMatcher(const Drawing& drawing)
        : drawing_(drawing), grid_(drawing.labels, widest_reach(drawing)), owner_(drawing.labels.size(), kNobody) {}

    std::vector<std::string> match() {
        std::vector<std::size_t> label_of(drawing_.outlines.size(), kNobody);
        for (std::size_t i = 0; i < drawing_.outlines.size(); ++i) {
            const DrawnOutline& outline = drawing_.outlines[i];
            for (const std::size_t label : grid_.near(centre_of(outline), reach_of(outline))) {
                if (!is_inside(outline.ring, drawing_.labels[label].position)) {
                    continue;
                }
                if (label_of[i] != kNobody) {
                    fail(outline,
                         fmt::format("both \"{}\" and \"{}\" lie inside",
                                     drawing_.labels[label_of[i]].text,
                                     drawing_.labels[label].text),
                         "Keep the ids on a layer of their own: --labels LAYER");
                }
                claim(label, i);
                label_of[i] = label;
            }
        }
        for (std::size_t i = 0; i < drawing_.outlines.size(); ++i) {
            if (label_of[i] == kNobody) {
                label_of[i] = nearest_free(drawing_.outlines[i], i);
            }
        }
        std::vector<std::string> texts;
        for (const std::size_t label : label_of) {
            texts.push_back(drawing_.labels[label].text);
        }
        return texts;
    }

  private:
    static constexpr std::size_t kNobody = static_cast<std::size_t>(-1);

    static double widest_reach(const Drawing& drawing) {
        double widest = 1e-12;
        for (const DrawnOutline& outline : drawing.outlines) {
            widest = std::max(widest, 2.0 * reach_of(outline));
        }
        return widest;
    }

    [[noreturn]] void fail(const DrawnOutline& outline, const std::string& why, std::string_view remedy) const {
        const Eigen::Vector2d at = centre_of(outline);
        fail_drawing(
            drawing_.name, outline.entity, fmt::format("{}, at ({:.10g}, {:.10g})", why, at.x(), at.y()), remedy);
    }

    void claim(std::size_t label, std::size_t outline) {
        if (owner_[label] != kNobody) {
            fail(drawing_.outlines[outline],
                 fmt::format("the text \"{}\" would serve for {} too",
                             drawing_.labels[label].text,
                             drawing_.outlines[owner_[label]].entity),
                 "Move the text into its outline");
        }
        owner_[label] = outline;
    }

    std::size_t nearest_free(const DrawnOutline& outline, std::size_t index) {
        const Eigen::Vector2d centre = centre_of(outline);
        std::size_t nearest = kNobody;
        for (const std::size_t label : grid_.near(centre, 2.0 * reach_of(outline))) {
            const bool taken_from_inside = owner_[label] != kNobody && is_inside(drawing_.outlines[owner_[label]].ring,
                                                                                 drawing_.labels[label].position);
            if (!taken_from_inside && (nearest == kNobody || (drawing_.labels[label].position - centre).norm() <
                                                                 (drawing_.labels[nearest].position - centre).norm())) {
                nearest = label;
            }
        }
        if (nearest == kNobody) {
            fail(outline,
                 "no text lies in it or near it",
                 "Add its id as a text, or take ids from a field: --field module=NAME");
        }
        claim(nearest, index);
        return nearest;
    }

    const Drawing& drawing_;
    LabelGrid grid_;
    std::vector<std::size_t> owner_;  // outline of each label
};

}  // namespace

std::vector<std::string> match_labels(const Drawing& drawing) {
    return LabelMatcher(drawing).match();
}

}  // namespace heatrow::detail
