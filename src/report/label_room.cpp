#include "label_room.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {

template <class Visit>
void LabelRoom::visit_squares(const PlanRect& rect, Visit visit) const {
    const auto index = [this](double value) { return static_cast<long>(std::floor(value / square_)); };
    for (long x = index(rect.low.x()); x <= index(rect.high.x()); ++x) {
        for (long y = index(rect.low.y()); y <= index(rect.high.y()); ++y) {
            visit(std::pair(x, y));
        }
    }
}

bool LabelRoom::is_free(const PlanRect& rect) const {
    bool free = true;
    visit_squares(rect, [&](const std::pair<long, long>& square) {
        const auto found = squares_.find(square);
        if (found == squares_.end()) {
            return;
        }
        free = free && std::ranges::none_of(found->second, [&](std::size_t i) {
                   const PlanRect& other = taken_[i];
                   return rect.low.x() < other.high.x() && other.low.x() < rect.high.x() &&
                          rect.low.y() < other.high.y() && other.low.y() < rect.high.y();
               });
    });
    return free;
}

void LabelRoom::take(const PlanRect& rect) {
    taken_.push_back(rect);
    visit_squares(rect, [this](const std::pair<long, long>& square) { squares_[square].push_back(taken_.size() - 1); });
}

}  // namespace heatrow
