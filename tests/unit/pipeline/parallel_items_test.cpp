#include "parallel_items.hpp"

#include <catch2/catch.hpp>

#include <atomic>
#include <stdexcept>
#include <vector>

using namespace heatrow;

TEST_CASE("items: each once, on any number of threads, and every one reported", "[pipeline]") {
    for (const int threads : {0, 1, 2, 7}) {
        CAPTURE(threads);
        std::vector<std::atomic<int>> visits(1000);
        std::size_t reports = 0;
        for_each_item(
            visits.size(),
            threads,
            "counting",
            [&](std::string_view, std::size_t done, std::size_t total) {
                reports += total == visits.size() && done == reports + 1 ? 1U : 0U;
            },
            [&](std::size_t i) { ++visits[i]; });
        for (const std::atomic<int>& visit : visits) {
            REQUIRE(visit == 1);
        }
        CHECK(reports == visits.size());
    }
    for_each_item(0, 2, "nothing", {}, [](std::size_t) { FAIL("there is no item"); });
}

TEST_CASE("items: on one thread in their order, and a failure ends the turns of all threads", "[pipeline]") {
    std::vector<std::size_t> order;
    for_each_item(5, 1, "", {}, [&](std::size_t i) { order.push_back(i); });
    CHECK(order == std::vector<std::size_t>{0, 1, 2, 3, 4});
    constexpr std::size_t kMany = 1'000'000;
    std::atomic<std::size_t> begun = 0;
    const auto fail_early = [&](std::size_t i) {
        ++begun;
        if (i == 3) {
            throw std::runtime_error("the fourth");
        }
    };
    CHECK_THROWS_WITH(for_each_item(kMany, 2, "", {}, fail_early), "the fourth");
    CHECK(begun < kMany);
}
