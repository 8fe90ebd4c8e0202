#include "heatrow/core/finding.hpp"
#include "heatrow/core/flags.hpp"
#include "heatrow/core/placed_view.hpp"
#include "heatrow/core/rejection.hpp"

#include <catch2/catch.hpp>

#include <set>

using namespace heatrow;

TEST_CASE("pattern: every name is its own and reads back", "[core]") {
    std::set<std::string_view> names;
    for (int i = 0; i < kPatternCount; ++i) {
        const auto pattern = static_cast<Pattern>(i);
        names.insert(to_string(pattern));
        CHECK(parse_pattern(to_string(pattern)) == pattern);
    }
    CHECK(names.size() == static_cast<std::size_t>(kPatternCount));
    CHECK_FALSE(parse_pattern("hot_cells").has_value());
    CHECK(to_string(Pattern::module_cooler) == "module_cooler");
    CHECK(to_string(Pattern::string_warm_cause_open) == "string_warm_cause_open");
}

TEST_CASE("flags: set, list and join in the order of the enumeration", "[core]") {
    Flags flags;
    CHECK(flags.none());
    CHECK(flags.to_string().empty());
    flags.set(Flag::lower_bound);
    flags.set(Flag::single_view);
    CHECK(flags.has(Flag::single_view));
    CHECK_FALSE(flags.has(Flag::glint));
    CHECK(flags.to_string() == "single_view|lower_bound");
    Flags more;
    more.set(Flag::irradiance_below_minimum);
    more |= flags;
    CHECK(more.list() == std::vector{Flag::irradiance_below_minimum, Flag::single_view, Flag::lower_bound});
}

TEST_CASE("rejection and placement: every value has a name of its own", "[core]") {
    std::set<std::string_view> names;
    const int last = static_cast<int>(RejectReason::no_data);
    for (int i = 0; i <= last; ++i) {
        names.insert(to_string(static_cast<RejectReason>(i)));
    }
    CHECK(names.size() == static_cast<std::size_t>(last) + 1);
    CHECK(names.count("") == 0);
    CHECK(to_string(Placement::placed) == "placed");
    CHECK(to_string(Placement::ambiguous) == "ambiguous");
    CHECK(to_string(Placement::not_seen) == "not_seen");
}
