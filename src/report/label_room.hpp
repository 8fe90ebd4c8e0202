// Where a drawing still has room for words.
#pragma once

#include <Eigen/Core>

#include <map>
#include <utility>
#include <vector>

namespace heatrow {

// An upright rectangle of the drawing, px.
struct PlanRect {
    Eigen::Vector2d low{0.0, 0.0};
    Eigen::Vector2d high{0.0, 0.0};
};

// Rectangles that are taken, in squares so that a question is quick.
class LabelRoom {
  public:
    explicit LabelRoom(double square) : square_(square) {}
    [[nodiscard]] bool is_free(const PlanRect& rect) const;
    void take(const PlanRect& rect);

  private:
    template <class Visit>
    void visit_squares(const PlanRect& rect, Visit visit) const;

    double square_;
    std::vector<PlanRect> taken_;
    std::map<std::pair<long, long>, std::vector<std::size_t>> squares_;
};

}  // namespace heatrow
