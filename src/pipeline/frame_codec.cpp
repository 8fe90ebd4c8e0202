#include "frame_codec.hpp"

#include "byte_stream.hpp"

namespace heatrow {
namespace {

void put_time(ByteWriter& out, UtcTime time) {
    out.put(static_cast<std::int64_t>(time.time_since_epoch().count()));
}

UtcTime get_time(ByteReader& in) {
    return UtcTime(UtcTime::duration(in.get<std::int64_t>()));
}

void put_pose(ByteWriter& out, const FramePose& pose) {
    out.put(pose.position_in_site);
    out.put(pose.yaw.value());
    out.put(pose.pitch.value());
    out.put(pose.roll.value());
}

FramePose get_pose(ByteReader& in) {
    FramePose pose;
    in.get(pose.position_in_site);
    pose.yaw = Radians(in.get<double>());
    pose.pitch = Radians(in.get<double>());
    pose.roll = Radians(in.get<double>());
    return pose;
}

void put_count(ByteWriter& out, std::size_t count) {
    out.put(static_cast<std::uint32_t>(count));
}

// Each flag by its place in the enumeration: those of one view, which pixels alone tell or the profile judges.
constexpr Flag kFlagsOfView[] = {Flag::too_few_pixels, Flag::angle_too_shallow, Flag::smeared, Flag::clipped};

void put_slot(ByteWriter& out, const ModuleSlot& slot) {
    out.put(slot.module);
    for (const Eigen::Vector2d& corner : slot.corners_px) {
        out.put(corner);
    }
    out.put(slot.view_angle.value());
    out.put(slot.cell_short_px);
    out.put(slot.smear_px);
    for (const Flag flag : kFlagsOfView) {
        out.put(slot.flags.has(flag));
    }
    put_count(out, slot.cells.size());
    for (const CellSample& cell : slot.cells) {
        out.put(cell.mean);
        out.put(cell.hottest);
        out.put(cell.spread);
        out.put(cell.pixels);
    }
}

ModuleSlot get_slot(ByteReader& in) {
    ModuleSlot slot;
    slot.module = in.get<int>();
    for (Eigen::Vector2d& corner : slot.corners_px) {
        in.get(corner);
    }
    slot.view_angle = Radians(in.get<double>());
    slot.cell_short_px = in.get<double>();
    slot.smear_px = in.get<double>();
    for (const Flag flag : kFlagsOfView) {
        if (in.get<bool>()) {
            slot.flags.set(flag);
        }
    }
    slot.cells.resize(in.count(sizeof(CellSample)));
    for (CellSample& cell : slot.cells) {
        cell.mean = in.get<float>();
        cell.hottest = in.get<float>();
        cell.spread = in.get<float>();
        cell.pixels = in.get<float>();
    }
    return slot;
}

void put_vote(ByteWriter& out, const PlaceVote& vote) {
    out.put(vote.along);
    out.put(vote.across);
    out.put(vote.log_likelihood);
    out.put(vote.witness);
    out.put(vote.witness_stands_here);
}

PlaceVote get_vote(ByteReader& in) {
    PlaceVote vote;
    vote.along = in.get<int>();
    vote.across = in.get<int>();
    vote.log_likelihood = in.get<double>();
    vote.witness = in.get<int>();
    vote.witness_stands_here = in.get<bool>();
    return vote;
}

void put_record(ByteWriter& out, const SlotRecord& record) {
    put_pose(out, record.pose);
    out.put(record.pose_covariance);
    out.put(record.lock_rms_px);
    out.put(record.edges_used);
    out.put(record.slip_margin);
    out.put(record.expected_position_in_site);
    put_count(out, record.votes.size());
    for (const PlaceVote& vote : record.votes) {
        put_vote(out, vote);
    }
    put_count(out, record.table_shifts.size());
    for (const TableShift& shift : record.table_shifts) {
        out.put(shift.table);
        out.put(shift.along);
    }
    put_count(out, record.slots.size());
    for (const ModuleSlot& slot : record.slots) {
        put_slot(out, slot);
    }
}

void get_record(ByteReader& in, SlotRecord& record) {
    record.pose = get_pose(in);
    in.get(record.pose_covariance);
    record.lock_rms_px = in.get<double>();
    record.edges_used = in.get<int>();
    record.slip_margin = in.get<double>();
    in.get(record.expected_position_in_site);
    record.votes.resize(in.count(sizeof(double)));
    for (PlaceVote& vote : record.votes) {
        vote = get_vote(in);
    }
    record.table_shifts.resize(in.count(sizeof(double)));
    for (TableShift& shift : record.table_shifts) {
        shift.table = in.get<int>();
        shift.along = in.get<double>();
    }
    record.slots.resize(in.count(sizeof(double)));
    for (ModuleSlot& slot : record.slots) {
        slot = get_slot(in);
    }
}

void put_spread(ByteWriter& out, const FrameSpread& spread) {
    for (const BandSpread& direction : {spread.along, spread.across}) {
        out.put(direction.variance_px2);
        out.put(direction.width_px2);
        out.put(direction.bands);
    }
    put_count(out, spread.fits.size());
    for (const BandFit& fit : spread.fits) {
        out.put(fit.cut);
        out.put(fit.fitting);
    }
}

void get_spread(ByteReader& in, FrameSpread& spread) {
    for (BandSpread* direction : {&spread.along, &spread.across}) {
        direction->variance_px2 = in.get<double>();
        direction->width_px2 = in.get<double>();
        direction->bands = in.get<int>();
    }
    spread.fits.resize(in.count(sizeof(double)));
    for (BandFit& fit : spread.fits) {
        fit.cut = in.get<int>();
        fit.fitting = in.get<int>();
    }
}

}  // namespace

std::vector<std::uint8_t> encode_outcome(const FrameOutcome& outcome) {
    ByteWriter out;
    out.put(outcome.rejection.has_value());
    if (outcome.rejection) {
        out.put(outcome.rejection->reason);
        out.put(std::string_view(outcome.rejection->detail));
    } else {
        put_record(out, outcome.record);
        put_spread(out, outcome.spread);
    }
    return out.bytes();
}

bool decode_outcome(std::span<const std::uint8_t> bytes, FrameOutcome& outcome) {
    ByteReader in(bytes);
    if (in.get<bool>()) {
        const auto reason = in.get<RejectReason>();
        outcome.rejection = Rejection{reason, in.text()};
    } else {
        get_record(in, outcome.record);
        get_spread(in, outcome.spread);
    }
    return in.is_at_end();
}

std::vector<std::uint8_t> encode_alignment(const FlightAlignment& alignment) {
    ByteWriter out;
    out.put(alignment.position_correction_in_site);
    out.put(alignment.correction_sd);
    put_count(out, alignment.drift.size());
    for (const DriftPoint& point : alignment.drift) {
        put_time(out, point.time);
        out.put(point.drift);
        out.put(point.covariance);
        out.put(point.margin);
    }
    out.put(alignment.wander_m);
    out.put(alignment.turning_correction);
    put_count(out, alignment.ways.size());
    for (const FlightWay& way : alignment.ways) {
        put_time(out, way.time);
        out.put(way.velocity);
    }
    out.put(alignment.lag.seconds);
    out.put(alignment.lag.u_s);
    out.put(alignment.lag.speed_m_s);
    out.put(alignment.attitude_correction);
    out.put(alignment.attitude_correction_sd);
    out.put(alignment.margin);
    out.put(alignment.frames_used);
    out.put(alignment.frames_locked);
    out.put(alignment.modules_warmer);
    return out.bytes();
}

std::optional<FlightAlignment> decode_alignment(std::span<const std::uint8_t> bytes) {
    ByteReader in(bytes);
    FlightAlignment alignment;
    in.get(alignment.position_correction_in_site);
    in.get(alignment.correction_sd);
    alignment.drift.resize(in.count(sizeof(double)));
    for (DriftPoint& point : alignment.drift) {
        point.time = get_time(in);
        in.get(point.drift);
        in.get(point.covariance);
        point.margin = in.get<double>();
    }
    alignment.wander_m = in.get<double>();
    in.get(alignment.turning_correction);
    alignment.ways.resize(in.count(sizeof(double)));
    for (FlightWay& way : alignment.ways) {
        way.time = get_time(in);
        in.get(way.velocity);
    }
    alignment.lag.seconds = in.get<double>();
    alignment.lag.u_s = in.get<double>();
    alignment.lag.speed_m_s = in.get<double>();
    in.get(alignment.attitude_correction);
    in.get(alignment.attitude_correction_sd);
    alignment.margin = in.get<double>();
    alignment.frames_used = in.get<int>();
    alignment.frames_locked = in.get<int>();
    alignment.modules_warmer = in.get<bool>();
    return in.is_at_end() ? std::optional(std::move(alignment)) : std::nullopt;
}

}  // namespace heatrow
