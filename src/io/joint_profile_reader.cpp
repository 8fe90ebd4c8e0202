#include "heatrow/io/joint_profile_reader.hpp"

#include "heatrow/core/error.hpp"
#include "toml_section.hpp"

#include <array>
#include <utility>

namespace heatrow {
namespace {

using detail::kPositive;
using detail::TomlDocument;
using detail::TomlSection;

constexpr std::string_view kFailed = "cannot read the profile of joints";

void read_figures(const TomlSection& root, JointProfile& profile) {
    for (const std::string_view table : {"limits", "scaling", "uncertainty", "surfaces"}) {
        std::vector<std::string_view> names;
        for (const JointProfileKey& key : kJointProfileKeys) {
            if (key.table == table) {
                names.push_back(key.name);
            }
        }
        const TomlSection section = root.section(table, names);
        for (const JointProfileKey& key : kJointProfileKeys) {
            if (key.table == table) {
                const TomlSection entry = section.section(key.name, {"value", "source"});
                profile.*key.member = {entry.number("value"), entry.text("source")};
            }
        }
    }
}

JointStep read_step(const TomlSection& section) {
    constexpr std::array<std::pair<std::string_view, JointComparison>, 2> kComparisons{
        {{"siblings", JointComparison::siblings}, {"air", JointComparison::air}}};
    JointStep step;
    (void)section.text("compare");  // required: no comparison is the default
    step.comparison = section.choice("compare", kComparisons);
    step.from = KelvinDelta(section.number("from_k", kPositive));
    step.abnormality = static_cast<AbnormalityClass>(section.integer("class", 2, 3));
    step.action = section.text("action");
    step.source = section.text("source");
    return step;
}

}  // namespace

JointProfile parse_joint_profile(std::string_view text, const std::filesystem::path& file) {
    const TomlDocument document(text, file, std::string(kFailed));
    const TomlSection root =
        document.root({"id", "version", "title", "load", "limits", "scaling", "uncertainty", "surfaces", "step"});
    constexpr std::array<std::pair<std::string_view, JointLoad>, 2> kLoads{
        {{"rated", JointLoad::rated}, {"own", JointLoad::own}}};
    JointProfile profile;
    profile.id = root.text("id");
    profile.version = root.text("version");
    profile.title = root.text("title");
    profile.load = root.choice("load", kLoads);
    read_figures(root, profile);
    for (const TomlSection& section : root.sections("step", {"compare", "from_k", "class", "action", "source"})) {
        profile.steps.push_back(read_step(section));
    }
    if (const std::string problem = first_problem(profile); !problem.empty()) {
        throw Error(ErrorKind::usage, kFailed, file.string(), problem, "Correct the profile");
    }
    return profile;
}

JointProfile read_joint_profile(const std::filesystem::path& file) {
    return parse_joint_profile(detail::read_text_file(file, kFailed, "Check --profile"), file);
}

}  // namespace heatrow
