#include "heatrow/io/comparison_profile_reader.hpp"

#include "heatrow/core/error.hpp"
#include "toml_section.hpp"

namespace heatrow {
namespace {

using detail::TomlDocument;
using detail::TomlSection;

constexpr std::string_view kFailed = "cannot read the profile of season changes";

}  // namespace

ComparisonProfile parse_comparison_profile(std::string_view text, const std::filesystem::path& file) {
    const TomlDocument document(text, file, std::string(kFailed));
    const TomlSection root = document.root({"id", "version", "title", "identity", "scaling", "uncertainty", "change"});
    ComparisonProfile profile;
    profile.id = root.text("id");
    profile.version = root.text("version");
    profile.title = root.text("title");
    for (const std::string_view table : {"identity", "scaling", "uncertainty", "change"}) {
        std::vector<std::string_view> names;
        for (const ComparisonProfileKey& key : kComparisonProfileKeys) {
            if (key.table == table) {
                names.push_back(key.name);
            }
        }
        const TomlSection section = root.section(table, names);
        for (const ComparisonProfileKey& key : kComparisonProfileKeys) {
            if (key.table == table) {
                const TomlSection entry = section.section(key.name, {"value", "source"});
                profile.*key.member = {entry.number("value"), entry.text("source")};
            }
        }
    }
    if (const std::string problem = first_problem(profile); !problem.empty()) {
        throw Error(ErrorKind::usage, kFailed, file.string(), problem, "Correct the profile");
    }
    return profile;
}

ComparisonProfile read_comparison_profile(const std::filesystem::path& file) {
    return parse_comparison_profile(detail::read_text_file(file, kFailed, "Check --profile"), file);
}

}  // namespace heatrow
