#include "string_cause.hpp"

#include "evidence_text.hpp"
#include "heatrow/core/median.hpp"
#include "string_homes.hpp"
#include "string_readings.hpp"

#include <algorithm>
#include <cmath>

namespace heatrow {
namespace {

// The readings do not tell two causes apart: neither is more likely than the other.
constexpr double kEither = 0.5;

double voltage_per_module(const ScoreInput& input, int string) {
    const auto modules = input.layout.strings[static_cast<std::size_t>(string)].modules.size();
    return load_of(input, string).voltage_v / static_cast<double>(modules);
}

// Between their nearest modules.
double distance_m(const ScoreInput& input, int string, int other) {
    double nearest = HUGE_VAL;
    for (const int a : input.layout.strings[static_cast<std::size_t>(string)].modules) {
        for (const int b : input.layout.strings[static_cast<std::size_t>(other)].modules) {
            nearest = std::min(nearest,
                               (input.layout.modules[static_cast<std::size_t>(a)].centre_in_site() -
                                input.layout.modules[static_cast<std::size_t>(b)].centre_in_site())
                                   .norm());
        }
    }
    return nearest;
}

struct OtherStrings {
    int loaded = 0;
    int read = 0;
    double voltage_per_module = kNaN;  // median of the loaded ones
};
OtherStrings other_strings(const ScoreInput& input, int string) {
    OtherStrings others;
    std::vector<double> voltages;
    for (int s = 0; s < static_cast<int>(input.strings.size()); ++s) {
        const StringLoad load = load_of(input, s);
        if (s == string || !load.fraction.is_known()) {
            continue;
        }
        ++others.read;
        if (is_loaded(input, load)) {
            ++others.loaded;
            if (std::isfinite(load.voltage_v)) {
                voltages.push_back(voltage_per_module(input, s));
            }
        }
    }
    others.voltage_per_module = voltages.empty() ? kNaN : take_median(voltages);
    return others;
}

// An open string and one that is switched off carry nothing alike. Voltage at its end tells them apart: a string that
// shows open-circuit voltage is whole and disconnected from the others; one that shows the others' voltage is connected
// to them and broken inside.
StringCause cause_without_current(const ScoreInput& input, const SurveyState& state, int string) {
    const StringLoad load = load_of(input, string);
    const OtherStrings others = other_strings(input, string);
    StringCause cause;
    cause.words = "It carried " + reading_words(load) + ", which agrees with its warmth; ";
    if (others.read > 0 && others.loaded == 0) {
        cause.pattern = Pattern::string_off;
        cause.second = Pattern::string_open_circuit;
        cause.words +=
            "none of the " + count_words(others.read, "other string") +
            " read was loaded either: this part of the plant was off, and a string that is not under load is "
            "no defect";
        return cause;
    }
    // Where no other string was read, that its neighbours are cooler says that they export.
    const std::string loaded = others.read == 0
                                   ? "no other string was read, but its neighbours are cooler and so export"
                                   : count_words(others.loaded, "other string") + " of " + std::to_string(others.read) +
                                         " read " + (others.loaded == 1 ? "was" : "were") + " loaded";
    const double ratio = voltage_per_module(input, string) / others.voltage_per_module;
    if (ratio >= input.profile.open_voltage_ratio.value) {
        cause.pattern = Pattern::string_off;
        cause.second = Pattern::string_open_circuit;
        cause.words += loaded + ", and its voltage is " + number_words(ratio, 2) +
                       " times theirs: it is whole and disconnected, by a switch or a fuse; not under load is no "
                       "defect, a blown fuse is";
        return cause;
    }
    if (const auto group = idle_group_of(input, state, string); group && !std::isfinite(ratio)) {
        cause.pattern = Pattern::string_off;
        cause.second = Pattern::string_open_circuit;
        cause.words += loaded + ", but none of the " + count_words(static_cast<int>(group->strings.size()), "string") +
                       " of " + group->words +
                       ": what they share is off or open, its switch, fuse or cable; not under load is no defect, a "
                       "blown fuse is";
        return cause;
    }
    cause.pattern = Pattern::string_open_circuit;
    cause.second = Pattern::string_off;
    if (std::isfinite(ratio)) {
        cause.words += loaded + ", and its voltage is " + number_words(ratio, 2) +
                       " times theirs: it is open between its modules or dead at its end";
        return cause;
    }
    cause.probability = kEither;
    cause.words += loaded +
                   "; without its voltage an open string and one switched off read the same: look at its "
                   "switch first";
    return cause;
}

}  // namespace

StringCause cause_of_warm_string(const ScoreInput& input, const SurveyState& state, int string) {
    const StringLoad load = load_of(input, string);
    if (carries_none(input, load)) {
        return cause_without_current(input, state, string);
    }
    StringCause cause;
    if (!load.fraction.is_known()) {
        cause.words = "Whether it is open or switched off needs electrical data";
        if (const auto group = idle_group_of(input, state, string)) {
            cause.second = Pattern::string_off;
            cause.words += "; all " + count_words(static_cast<int>(group->strings.size()), "string") + " of " +
                           group->words + " that were judged are idle like it, so what they share comes first";
        }
    } else if (is_loaded(input, load)) {
        cause.words = "Contradiction: it carried " + reading_words(load) +
                      ", so it is neither open nor off; check that log and layout name the same string";
    } else {
        cause.words = "It carried " + reading_words(load) +
                      ": it is neither open nor off, but gives less than its share, which warms it";
    }
    return cause;
}

std::string load_words(const FrameConditions& conditions) {
    return conditions.load_fraction.is_known() ? "its string carried " + percent_words(conditions.load_fraction)
                                               : std::string();
}

std::vector<std::string> notes_on_readings(const ScoreInput& input, const SurveyState& state) {
    std::vector<int> contradicting;
    std::vector<int> off;
    for (int s = 0; s < static_cast<int>(input.strings.size()); ++s) {
        const StringState& string = state.strings[static_cast<std::size_t>(s)];
        if (!string.is_warm && carries_none(input, load_of(input, s))) {
            const bool compared = string.reference && other_strings(input, s).loaded > 0;
            (compared ? contradicting : off).push_back(s);
        }
    }
    std::vector<std::string> notes;
    for (const int idle : contradicting) {
        for (int warm = 0; warm < static_cast<int>(input.strings.size()); ++warm) {
            if (state.strings[static_cast<std::size_t>(warm)].is_warm && is_loaded(input, load_of(input, warm)) &&
                distance_m(input, idle, warm) <= input.profile.neighbour_radius_m.value) {
                notes.push_back("Strings " + input.layout.strings[static_cast<std::size_t>(idle)].id + " and " +
                                input.layout.strings[static_cast<std::size_t>(warm)].id +
                                " may be swapped in log or layout: the first was read as without current (" +
                                reading_words(load_of(input, idle)) + ") and is no warmer than its neighbours, the " +
                                "second beside it was read as loaded (" + reading_words(load_of(input, warm)) +
                                ") and is " + number_words(state.strings[static_cast<std::size_t>(warm)].rise_k(), 1) +
                                " K warmer, as a string without load is. Trace both before either is opened.");
            }
        }
    }
    if (!contradicting.empty()) {
        notes.push_back(string_list(input, contradicting) +
                        " carried no current while others were loaded, but is not seen warmer than they are: check "
                        "that log and layout name the same string. The modules are not assessed.");
    }
    if (!off.empty()) {
        notes.push_back(string_list(input, off) +
                        " carried no current and could not be compared with loaded strings: not under load, which is "
                        "no defect; cell faults do not show then, and the modules are not assessed.");
    }
    return notes;
}

}  // namespace heatrow
