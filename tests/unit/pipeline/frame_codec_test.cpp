#include "frame_codec.hpp"

#include <catch2/catch.hpp>

#include <cmath>

using namespace heatrow;

namespace {

FrameOutcome measured() {
    FrameOutcome outcome;
    SlotRecord& record = outcome.record;
    record.frame = 3;
    record.pose = {{1.25, -2.5, 33.0}, Radians(0.1), Radians(-0.2), Radians(0.3)};
    record.pose_covariance(4, 2) = 1.0 / 3.0;
    record.lock_rms_px = 0.31;
    record.edges_used = 120;
    record.slip_margin = HUGE_VAL;
    record.expected_position_in_site = {1.0, 2.0, 3.0};
    record.votes.push_back({-1, 2, -4.5, 17, false});
    record.table_shifts.push_back({5, 0.25});
    for (int module = 0; module < 3; ++module) {
        ModuleSlot slot;
        slot.module = module;
        slot.corners_px = {Eigen::Vector2d(1.0, 2.0), {3.0, 4.0}, {5.0, 6.0}, {7.0, 8.0 + module}};
        slot.view_angle = Radians(0.2);
        slot.cell_short_px = 5.5;
        slot.smear_px = 0.7;
        slot.flags.set(Flag::clipped);
        slot.cells.assign(static_cast<std::size_t>(module), CellSample{1.5F, std::nanf(""), 0.25F, 30.0F});
        record.slots.push_back(slot);
    }
    return outcome;
}

}  // namespace

TEST_CASE("slot records: what is kept comes back to the last bit") {
    const FrameOutcome outcome = measured();
    const auto bytes = encode_outcome(outcome);
    FrameOutcome back;
    back.record.frame = 3;
    REQUIRE(decode_outcome(bytes, back));
    CHECK(encode_outcome(back) == bytes);
    CHECK(back.record.pose_covariance == outcome.record.pose_covariance);
    CHECK(back.record.votes.front().witness == 17);
    CHECK(back.record.slots[2].corners_px[3].y() == 10.0);
    CHECK(back.record.slots[2].flags == outcome.record.slots[2].flags);
    CHECK(back.record.slots[2].cells[1].spread == 0.25F);
    CHECK(std::isnan(back.record.slots[2].cells[1].hottest));
    CHECK_FALSE(back.rejection);
}

TEST_CASE("slot records: a rejected frame keeps its reason") {
    FrameOutcome outcome;
    outcome.rejection = Rejection{RejectReason::not_locked, "12 edges"};
    FrameOutcome back;
    REQUIRE(decode_outcome(encode_outcome(outcome), back));
    REQUIRE(back.rejection);
    CHECK(back.rejection->reason == RejectReason::not_locked);
    CHECK(back.rejection->detail == "12 edges");
}

TEST_CASE("slot records: bytes cut short, or too many, are refused") {
    const auto bytes = encode_outcome(measured());
    FrameOutcome back;
    for (std::size_t size = 0; size < bytes.size(); ++size) {
        CHECK_FALSE(decode_outcome(std::span(bytes).first(size), back));
    }
    auto longer = bytes;
    longer.push_back(0);
    CHECK_FALSE(decode_outcome(longer, back));
}

TEST_CASE("slot records: a flight's alignment comes back to the last bit") {
    FlightAlignment alignment;
    alignment.position_correction_in_site = {1.0, -2.0, 15.0};
    alignment.drift.push_back(
        {UtcTime(std::chrono::milliseconds(1234567)), {0.5, 0.25}, Eigen::Matrix2d::Identity(), 3.5});
    alignment.wander_m = 0.01;
    alignment.attitude_correction = {0.05, 0.0, -0.01};
    alignment.frames_locked = 21;
    alignment.modules_warmer = false;
    const auto bytes = encode_alignment(alignment);
    const auto back = decode_alignment(bytes);
    REQUIRE(back);
    CHECK(encode_alignment(*back) == bytes);
    CHECK(back->drift.front().time == alignment.drift.front().time);
    CHECK_FALSE(back->modules_warmer);
    CHECK_FALSE(decode_alignment(std::span(bytes).first(bytes.size() - 1)));
}
