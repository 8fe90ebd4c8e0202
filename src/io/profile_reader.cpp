#include "heatrow/io/profile_reader.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/core/nearest_word.hpp"
#include "toml_section.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace heatrow {
namespace {

using detail::Range;
using detail::TomlDocument;
using detail::TomlSection;

ProfileValue read_value(const TomlSection& section, std::string_view key) {
    const TomlSection entry = section.section(key, {"value", "source"});
    return {entry.number("value"), entry.text("source")};
}

// The tables of values: their keys are the members of Profile.
std::vector<std::string_view> value_tables() {
    std::vector<std::string_view> tables;
    for (const ProfileKey& key : profile_keys()) {
        if (std::find(tables.begin(), tables.end(), key.table) == tables.end()) {
            tables.push_back(key.table);
        }
    }
    return tables;
}

void read_values(const TomlSection& root, Profile& profile) {
    for (const std::string_view table : value_tables()) {
        std::vector<std::string_view> names;
        for (const ProfileKey& key : profile_keys()) {
            if (key.table == table) {
                names.push_back(key.name);
            }
        }
        const TomlSection section = root.section(table, names);
        for (const ProfileKey& key : profile_keys()) {
            if (key.table == table) {
                profile.*key.member = read_value(section, key.name);
            }
        }
    }
}

Pattern read_pattern(const TomlSection& section) {
    const std::string name = section.text("pattern");
    if (const auto pattern = parse_pattern(name)) {
        return *pattern;
    }
    std::vector<std::string> names;
    for (int i = 0; i < kPatternCount; ++i) {
        names.emplace_back(to_string(static_cast<Pattern>(i)));
    }
    const auto nearest = nearest_word(name, names);
    section.fail("pattern",
                 fmt::format("\"{}\" is no pattern", name),
                 nearest ? fmt::format("Did you mean \"{}\"?", *nearest) : "docs/patterns.md lists them");
}

PatternRule read_rule(const TomlSection& section) {
    constexpr Range kExponent{0.0, 10.0};
    PatternRule rule;
    const auto limit = [&](std::string_view key) {
        return KelvinDelta(section.optional_number(key, {0.0, HUGE_VAL}).value_or(kNaN));
    };
    rule.class_2_from = limit("class_2_from");
    rule.class_3_from = limit("class_3_from");
    rule.exponent = section.optional_number("exponent", kExponent).value_or(rule.exponent);
    rule.exponent_low = section.optional_number("exponent_low", kExponent).value_or(rule.exponent);
    rule.exponent_high = section.optional_number("exponent_high", kExponent).value_or(rule.exponent);
    rule.source = section.text("source");
    return rule;
}

void read_rules(const TomlSection& root, Profile& profile) {
    const auto sections = root.sections(
        "rule", {"pattern", "class_2_from", "class_3_from", "exponent", "exponent_low", "exponent_high", "source"});
    if (sections.empty()) {
        root.fail("rule", "no rule is given", "Add [[rule]] tables (docs/formats/profile.md)");
    }
    for (const TomlSection& section : sections) {
        const Pattern pattern = read_pattern(section);
        auto& slot = profile.rules[static_cast<std::size_t>(pattern)];
        if (slot) {
            section.fail("pattern", fmt::format("\"{}\" has two rules", to_string(pattern)), "Keep one of them");
        }
        slot = read_rule(section);
    }
}

}  // namespace

Profile parse_profile(std::string_view text, const std::filesystem::path& file) {
    const TomlDocument document(text, file, "cannot read the profile");
    std::vector<std::string_view> known{"id", "version", "title"};
    const auto tables = value_tables();
    known.insert(known.end(), tables.begin(), tables.end());
    known.push_back("rule");
    const TomlSection root = document.root(known);
    Profile profile;
    profile.id = root.text("id");
    profile.version = root.text("version");
    profile.title = root.text("title");
    read_values(root, profile);
    read_rules(root, profile);
    if (const std::string problem = first_problem(profile); !problem.empty()) {
        throw Error(ErrorKind::usage, document.what_failed(), file.string(), problem, "Correct the profile");
    }
    return profile;
}

Profile read_profile(const std::filesystem::path& file) {
    return parse_profile(
        detail::read_text_file(file, "cannot read the profile", "Check the profile's id in survey.toml"), file);
}

}  // namespace heatrow
