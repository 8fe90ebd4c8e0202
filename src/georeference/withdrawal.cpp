#include "withdrawal.hpp"

#include <algorithm>
#include <functional>
#include <limits>

namespace heatrow::detail {

namespace {

constexpr double kInfinity = std::numeric_limits<double>::infinity();

using Leads = std::vector<double>;  // by offset, then by number withdrawn

std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

// Lead of the chosen offset by a segment's own witnesses.
Leads own_leads(const std::vector<std::vector<double>>& witnesses,
                const std::vector<double>& allowed,
                int chosen,
                int withdrawn) {
    const std::size_t numbers = at(withdrawn) + 1;
    Leads leads(allowed.size() * numbers, kInfinity);
    std::vector<double> differences;
    for (std::size_t offset = 0; offset < allowed.size(); ++offset) {
        if (allowed[offset] == -kInfinity) {
            continue;
        }
        differences.clear();
        double sum = 0.0;
        for (const std::vector<double>& votes : witnesses) {
            differences.push_back(votes[at(chosen)] - votes[offset]);
            sum += differences.back();
        }
        const std::size_t taken = std::min(differences.size(), at(withdrawn));
        std::partial_sort(differences.begin(),
                          differences.begin() + static_cast<std::ptrdiff_t>(taken),
                          differences.end(),
                          std::greater<>());
        for (std::size_t number = 0; number < numbers; ++number) {
            leads[offset * numbers + number] = sum;
            if (number < taken) {
                sum -= std::max(0.0, differences[number]);
            }
        }
    }
    return leads;
}

// Two leads together, the withdrawn witnesses shared out between them in the worst way.
void add(Leads& leads, const Leads& others, std::size_t numbers) {
    for (std::size_t start = 0; start < leads.size(); start += numbers) {
        for (std::size_t number = numbers; number-- > 0;) {
            double least = kInfinity;
            for (std::size_t here = 0; here <= number; ++here) {
                least = std::min(least, leads[start + here] + others[start + number - here]);
            }
            leads[start + number] = least;
        }
    }
}

}  // namespace

Withdrawal::Withdrawal(const std::vector<std::vector<std::vector<double>>>& witnesses,
                       const std::vector<std::vector<double>>& allowed,
                       const std::vector<int>& chosen,
                       const OffsetWindow& window,
                       const std::vector<SegmentLink>& tree,
                       int withdrawn)
    : withdrawn_(withdrawn) {
    const std::size_t numbers = at(withdrawn) + 1;
    const RootedForest forest(static_cast<int>(witnesses.size()), tree);
    std::vector<Leads> own;
    for (std::size_t segment = 0; segment < witnesses.size(); ++segment) {
        own.push_back(own_leads(witnesses[segment], allowed[segment], chosen[segment], withdrawn));
    }
    // Least lead at the near end of a link for each offset there, over the offsets at its far end.
    const auto message = [&](const Leads& far_leads, int far, int near, const SegmentLink& link) {
        const auto says = [&](int near_offset, int far_offset) {
            const LatticeOffset step = window.at(near_offset) - window.at(far_offset);
            return link.at(near == link.b ? step : -step);
        };
        const double at_chosen = says(chosen[at(near)], chosen[at(far)]);
        Leads leads(at(window.size()) * numbers, kInfinity);
        for (int near_offset = 0; near_offset < window.size(); ++near_offset) {
            for (int far_offset = 0; far_offset < window.size(); ++far_offset) {
                const double by_link = at_chosen - says(near_offset, far_offset);
                for (std::size_t number = 0; number < numbers; ++number) {
                    double& least = leads[at(near_offset) * numbers + number];
                    least = std::min(least, by_link + far_leads[at(far_offset) * numbers + number]);
                }
            }
        }
        return leads;
    };
    std::vector<Leads> inward = own;
    for (auto it = forest.outward().rbegin(); it != forest.outward().rend(); ++it) {
        if (const int parent = forest.parent(*it); parent >= 0) {
            add(inward[at(parent)], message(inward[at(*it)], *it, parent, forest.link_to_parent(*it)), numbers);
        }
    }
    // Outward: what reaches the parent by all other ways is summed anew, since a least sum cannot be taken apart.
    std::vector<Leads> from_parent(witnesses.size());
    leads_ = inward;
    for (const int segment : forest.outward()) {
        for (const int child : forest.children(segment)) {
            Leads others = own[at(segment)];
            if (!from_parent[at(segment)].empty()) {
                add(others, from_parent[at(segment)], numbers);
            }
            for (const int sibling : forest.children(segment)) {
                if (sibling != child) {
                    add(others,
                        message(inward[at(sibling)], sibling, segment, forest.link_to_parent(sibling)),
                        numbers);
                }
            }
            from_parent[at(child)] = message(others, segment, child, forest.link_to_parent(child));
            add(leads_[at(child)], from_parent[at(child)], numbers);
        }
    }
}

double Withdrawal::lead(int segment, int offset) const {
    const std::size_t numbers = at(withdrawn_) + 1;
    return leads_[at(segment)][at(offset) * numbers + at(withdrawn_)];
}

}  // namespace heatrow::detail
