// What `heatrow inspect` says about frames, for people and for programs.
#include "inspect_frames.hpp"

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include <map>

namespace heatrow::cli {
namespace {

std::string encoding_in_words(const TemperatureEncoding& encoding) {
    const char* unit = encoding.kelvin ? "K" : "degC";
    if (encoding.offset == 0.0) {
        return fmt::format("{:g} x count {}", encoding.scale, unit);
    }
    return fmt::format(
        "{:g} x count {} {:g} {}", encoding.scale, encoding.offset < 0.0 ? "-" : "+", std::abs(encoding.offset), unit);
}

std::string range_in_words(Celsius low, Celsius median, Celsius high) {
    return fmt::format("{:.1f} to {:.1f} degC, median {:.1f}", low.value(), high.value(), median.value());
}

std::string counts_in_words(const CountSummary& counts) {
    return fmt::format(
        "  counts      {:g} lowest, {:g} at 1 %, {:g} median, {:g} at 99 %, {:g} highest\n"
        "  pixels      {}, of them {} without data, {} saturated\n",
        counts.minimum,
        counts.p1,
        counts.median,
        counts.p99,
        counts.maximum,
        counts.pixels,
        counts.nodata,
        counts.saturated);
}

std::string guesses_in_words(const std::vector<EncodingGuess>& guesses, bool declared) {
    if (guesses.empty()) {
        return "  guess       none: no usual encoding gives temperatures of a plant; perhaps raw counts without "
               "calibration\n";
    }
    std::string text;
    for (const EncodingGuess& guess : guesses) {
        text += fmt::format("  {:<11} {} ({}): {}; confidence {:.0f} %\n",
                            text.empty() ? "guess" : "",
                            guess.name,
                            encoding_in_words(guess.encoding),
                            range_in_words(guess.low, guess.median, guess.high),
                            100.0 * guess.confidence);
    }
    if (!declared) {
        text += is_ambiguous(guesses)
                    ? "  ambiguous   several encodings fit; find out which one the camera wrote and declare it\n"
                    : "  undeclared  confirm it with --scale, --offset and --unit, and declare it in survey.toml\n";
    }
    return text;
}

std::string stated_in_words(const FrameInspection& facts) {
    if (!facts.stated_scale && !facts.stated_offset) {
        return {};
    }
    return fmt::format("  in the file scale {:g}, offset {:g}; not applied unless declared\n",
                       facts.stated_scale.value_or(1.0),
                       facts.stated_offset.value_or(0.0));
}

std::string tags_in_words(const std::vector<FrameTag>& tags) {
    if (tags.empty()) {
        return "  tags        none\n";
    }
    std::string text;
    constexpr std::size_t kLongest = 100;
    for (const FrameTag& tag : tags) {
        const bool whole = tag.value.size() <= kLongest;
        text += fmt::format("  {:<11} {} {} = {}{}\n",
                            text.empty() ? "tags" : "",
                            tag.group,
                            tag.name,
                            tag.value.substr(0, kLongest),
                            whole ? "" : "...");
    }
    return text;
}

std::string native_in_words(const FrameInspection& facts) {
    if (facts.enlargement == 1) {
        return {};
    }
    return fmt::format(
        "  native      pixels look enlarged {} times; if so, native_width_px = {} belongs into [[camera]]\n",
        facts.enlargement,
        facts.width_px / facts.enlargement);
}

std::string one_in_full(const InspectedFrame& frame, const FrameInspectionRequest& request) {
    const FrameInspection& facts = frame.facts;
    std::string text = facts.file.string() + "\n";
    if (facts.rejection) {
        text += fmt::format("  refused     {}: {}\n", to_string(facts.rejection->reason), facts.rejection->detail);
        return text + tags_in_words(facts.tags);
    }
    text += fmt::format("  kind        {}; {} x {} px\n", facts.kind, facts.width_px, facts.height_px);
    text += native_in_words(facts);
    text += counts_in_words(facts.counts);
    for (const SeriesRemark& remark : frame.remarks) {
        text += fmt::format("  {:<11} {}\n", to_string(remark.kind), remark.detail);
    }
    if (frame.declared_range) {
        const TemperatureRange& range = *frame.declared_range;
        text += fmt::format("  declared    {}: {}\n",
                            encoding_in_words(*request.declared),
                            range_in_words(range.low, range.median, range.high));
    }
    if (frame.implausible) {
        text += fmt::format("  declared    {}: implausible\n", encoding_in_words(*request.declared));
    }
    text += guesses_in_words(facts.guesses, request.declared.has_value());
    text += stated_in_words(facts);
    return text + tags_in_words(facts.tags);
}

// The first detail of each reason, and the names of the other frames that it holds for.
std::string refusals_in_short(const std::vector<InspectedFrame>& frames) {
    std::map<RejectReason, std::string> others;
    std::map<RejectReason, std::string> first;
    for (const InspectedFrame& frame : frames) {
        if (!frame.facts.rejection) {
            continue;
        }
        const auto [reason, detail] = *frame.facts.rejection;
        if (!first.emplace(reason, detail).second) {
            others[reason] += (others[reason].empty() ? "" : ", ") + frame.facts.file.filename().string();
        }
    }
    std::string text;
    for (const auto& [reason, detail] : first) {
        text += fmt::format("  refused     {}: {}\n", to_string(reason), detail);
        if (others.contains(reason)) {
            text += fmt::format("              the same: {}\n", others[reason]);
        }
    }
    return text;
}

std::string several_in_short(const std::vector<InspectedFrame>& frames, const FrameInspectionRequest& request) {
    const FramesSummary summary = summarise_frames(frames);
    std::string text = fmt::format("{} frames: {} readable, {} refused, {} duplicates\n",
                                   frames.size(),
                                   summary.usable,
                                   summary.refused,
                                   summary.duplicates);
    std::map<std::string, int> kinds;
    Celsius low(HUGE_VAL);
    Celsius high(-HUGE_VAL);
    for (const InspectedFrame& frame : frames) {
        if (!frame.facts.rejection) {
            ++kinds[fmt::format("{}; {} x {} px", frame.facts.kind, frame.facts.width_px, frame.facts.height_px)];
        }
        if (frame.declared_range) {
            low = std::min(low, frame.declared_range->low);
            high = std::max(high, frame.declared_range->high);
        }
    }
    for (const auto& [kind, count] : kinds) {
        text += fmt::format("  {:<11} {} ({} frames)\n", "kind", kind, count);
    }
    if (summary.usable > 0) {
        text += counts_in_words(summary.counts);
        if (request.declared && low <= high) {
            text += fmt::format("  declared    {}: {:.1f} to {:.1f} degC\n",
                                encoding_in_words(*request.declared),
                                low.value(),
                                high.value());
        }
        text += guesses_in_words(summary.guesses, request.declared.has_value());
        text += stated_in_words(frames.front().facts);
        text += native_in_words(frames.front().facts);
    }
    text += refusals_in_short(frames);
    for (const InspectedFrame& frame : frames) {
        const std::string name = frame.facts.file.filename().string();
        if (frame.implausible) {
            text += fmt::format("  implausible {}\n", name);
        }
        for (const SeriesRemark& remark : frame.remarks) {
            text += fmt::format("  {:<11} {}: {}\n", to_string(remark.kind), name, remark.detail);
        }
        if (frame.duplicate_of >= 0) {
            const auto& earlier = frames[static_cast<std::size_t>(frame.duplicate_of)].facts.file;
            text += fmt::format("  duplicate   {} has the bytes of {}\n", name, earlier.filename().string());
        }
    }
    text += fmt::format("tags of {}\n", frames.front().facts.file.filename().string());
    return text + tags_in_words(frames.front().facts.tags);
}

using Json = nlohmann::ordered_json;

Json range_as_json(Celsius low, Celsius median, Celsius high) {
    const auto tenths = [](Celsius t) { return std::round(t.value() * 10.0) / 10.0; };
    return {{"low_c", tenths(low)}, {"median_c", tenths(median)}, {"high_c", tenths(high)}};
}

Json encoding_as_json(const TemperatureEncoding& encoding) {
    return {{"scale", encoding.scale}, {"offset", encoding.offset}, {"unit", encoding.kelvin ? "K" : "degC"}};
}

Json counts_as_json(const CountSummary& counts) {
    return {{"minimum", counts.minimum},
            {"p1", counts.p1},
            {"median", counts.median},
            {"p99", counts.p99},
            {"maximum", counts.maximum},
            {"pixels", counts.pixels},
            {"nodata", counts.nodata},
            {"saturated", counts.saturated}};
}

Json guesses_as_json(const std::vector<EncodingGuess>& guesses) {
    Json list = Json::array();
    for (const EncodingGuess& guess : guesses) {
        Json one = {{"encoding", guess.name}};
        one.update(encoding_as_json(guess.encoding));
        one.update(range_as_json(guess.low, guess.median, guess.high));
        one["confidence"] = std::round(guess.confidence * 1000.0) / 1000.0;
        list.push_back(std::move(one));
    }
    return list;
}

Json rejection_as_json(const Rejection& rejection) {
    return {{"reason", to_string(rejection.reason)}, {"detail", rejection.detail}};
}

Json frame_as_json(const InspectedFrame& frame, const std::vector<InspectedFrame>& all) {
    const FrameInspection& facts = frame.facts;
    Json json = {{"file", facts.file.string()}, {"sha256", facts.sha256}};
    json["refused"] = facts.rejection ? rejection_as_json(*facts.rejection) : Json();
    if (!facts.rejection) {
        json["kind"] = facts.kind;
        json["width_px"] = facts.width_px;
        json["height_px"] = facts.height_px;
        json["counts"] = counts_as_json(facts.counts);
        json["declared_range"] =
            frame.declared_range
                ? range_as_json(frame.declared_range->low, frame.declared_range->median, frame.declared_range->high)
                : Json();
        json["implausible"] = frame.implausible ? rejection_as_json(*frame.implausible) : Json();
        json["guesses"] = guesses_as_json(facts.guesses);
        json["ambiguous"] = is_ambiguous(facts.guesses);
        json["stated_scale"] = facts.stated_scale ? Json(*facts.stated_scale) : Json();
        json["stated_offset"] = facts.stated_offset ? Json(*facts.stated_offset) : Json();
        json["sharpness"] = std::isnan(facts.sharpness) ? Json() : Json(std::round(facts.sharpness * 1000.0) / 1000.0);
        json["enlargement"] = facts.enlargement;
        json["remarks"] = Json::array();
        for (const SeriesRemark& remark : frame.remarks) {
            json["remarks"].push_back({{"kind", to_string(remark.kind)}, {"detail", remark.detail}});
        }
    }
    json["duplicate_of"] =
        frame.duplicate_of < 0 ? Json() : Json(all[static_cast<std::size_t>(frame.duplicate_of)].facts.file.string());
    json["tags"] = Json::array();
    for (const FrameTag& tag : facts.tags) {
        json["tags"].push_back({{"group", tag.group}, {"name", tag.name}, {"value", tag.value}});
    }
    return json;
}

}  // namespace

std::string frames_as_text(const std::vector<InspectedFrame>& frames,
                           const FrameInspectionRequest& request,
                           bool each) {
    if (frames.size() > 1 && !each) {
        return several_in_short(frames, request);
    }
    std::string text;
    for (const InspectedFrame& frame : frames) {
        text += one_in_full(frame, request);
    }
    return text;
}

std::string frames_as_json(const std::vector<InspectedFrame>& frames, const FrameInspectionRequest& request) {
    const FramesSummary summary = summarise_frames(frames);
    Json json;
    json["schema"] = "heatrow-inspect/1";
    json["profile"] = request.profile.id;
    json["declared"] = request.declared ? encoding_as_json(*request.declared) : Json();
    json["readable"] = summary.usable;
    json["refused"] = summary.refused;
    json["implausible"] = summary.implausible;
    json["duplicates"] = summary.duplicates;
    json["counts"] = counts_as_json(summary.counts);
    json["guesses"] = guesses_as_json(summary.guesses);
    json["ambiguous"] = is_ambiguous(summary.guesses);
    json["frames"] = Json::array();
    for (const InspectedFrame& frame : frames) {
        json["frames"].push_back(frame_as_json(frame, frames));
    }
    // Tags may hold any bytes: what is no UTF-8 is replaced, not refused.
    return json.dump(2, ' ', false, Json::error_handler_t::replace);
}

}  // namespace heatrow::cli
