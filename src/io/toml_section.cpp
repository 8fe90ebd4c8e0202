#include "toml_section.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/core/nearest_word.hpp"
#include "heatrow/io/decode_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <sstream>

namespace heatrow::detail {
namespace {

std::string value_in_words(const toml::node& node) {
    std::ostringstream text;
    node.visit([&text](const auto& value) { text << value; });
    constexpr std::size_t kLongest = 60;
    std::string words = text.str();
    std::replace(words.begin(), words.end(), '\n', ' ');
    return words.size() > kLongest ? words.substr(0, kLongest) + "..." : words;
}

std::string kind_in_words(const toml::node& node) {
    switch (node.type()) {
        case toml::node_type::string:
            return "a text";
        case toml::node_type::integer:
        case toml::node_type::floating_point:
            return "a number";
        case toml::node_type::boolean:
            return "true or false";
        case toml::node_type::table:
            return "a table";
        case toml::node_type::array:
            return "an array";
        default:
            return "a date or time";
    }
}

std::string range_in_words(Range range) {
    const char* above = range.low_open ? "above" : "from";
    if (std::isinf(range.high)) {
        return fmt::format("{} {:g}", above, range.low);
    }
    return std::isinf(range.low) ? fmt::format("up to {:g}", range.high)
                                 : fmt::format("{} {:g} to {:g}", above, range.low, range.high);
}

}  // namespace

TomlDocument::TomlDocument(std::string_view text, std::filesystem::path file, std::string what_failed)
    : file_(std::move(file)), what_failed_(std::move(what_failed)) {
    try {
        table_ = toml::parse(text);
    } catch (const toml::parse_error& problem) {
        throw Error(ErrorKind::usage,
                    what_failed_,
                    fmt::format("{}, line {}", file_.string(), problem.source().begin.line),
                    problem.description(),
                    "Correct the TOML syntax there");
    }
}

TomlSection TomlDocument::root(const KnownKeys& known) const {
    return {*this, table_, "", known};
}

TomlSection::TomlSection(const TomlDocument& document,
                         const toml::table& table,
                         std::string name,
                         const KnownKeys& known)
    : document_(&document), table_(&table), name_(std::move(name)) {
    refuse_unknown_keys(known);
}

void TomlSection::refuse_unknown_keys(const KnownKeys& known) const {
    for (const auto& [key, value] : *table_) {
        if (std::find(known.list().begin(), known.list().end(), key.str()) != known.list().end()) {
            continue;
        }
        const std::vector<std::string> words(known.list().begin(), known.list().end());
        const auto nearest = nearest_word(key.str(), words);
        fail(key.str(),
             "unknown key",
             nearest ? fmt::format("Did you mean '{}'?", *nearest)
                     : fmt::format("Known here: {}", fmt::join(words, ", ")));
    }
}

std::string TomlSection::path_of(std::string_view key) const {
    if (name_.empty()) {
        return std::string(key);
    }
    return key.empty() ? name_ : fmt::format("{}.{}", name_, key);
}

std::string TomlSection::where(std::string_view key) const {
    const toml::node* node = table_->get(key);
    const auto line = node != nullptr ? node->source().begin.line : table_->source().begin.line;
    return fmt::format("{}, line {}, {}", document_->file().string(), std::max<unsigned>(line, 1U), path_of(key));
}

void TomlSection::fail(std::string_view key, std::string_view why, std::string_view remedy) const {
    throw Error(ErrorKind::usage, document_->what_failed(), where(key), why, remedy);
}

void TomlSection::fail_choice(std::string_view key,
                              const std::string& chosen,
                              const std::vector<std::string>& names) const {
    fail(key,
         fmt::format("\"{}\" is no choice here", chosen),
         fmt::format("Choose one of \"{}\"", fmt::join(names, "\", \"")));
}

const toml::node& TomlSection::require(std::string_view key) const {
    const toml::node* node = table_->get(key);
    if (node == nullptr) {
        fail(key, "missing, and it has no default", fmt::format("Add '{}'", key));
    }
    return *node;
}

std::string TomlSection::text(std::string_view key) const {
    const toml::node& node = require(key);
    const auto value = node.value_exact<std::string>();
    if (!value) {
        fail(key, fmt::format("{} is {}, not a text", value_in_words(node), kind_in_words(node)), "Put it in quotes");
    }
    if (value->empty()) {
        fail(key, "empty text", "Give a value or leave the key out");
    }
    return *value;
}

std::map<std::string, std::string> TomlSection::text_map(std::string_view key) const {
    std::map<std::string, std::string> texts;
    if (!has(key)) {
        return texts;
    }
    const toml::table* table = require(key).as_table();
    if (table == nullptr) {
        fail(key,
             fmt::format("{} is {}, not a table", value_in_words(require(key)), kind_in_words(require(key))),
             fmt::format("Write {} = {{ \"name\" = \"text\" }}", key));
    }
    for (const auto& [name, value] : *table) {
        const auto text = value.value_exact<std::string>();
        if (!text || text->empty()) {
            fail(key, fmt::format("'{}' is not given a text", name.str()), "Put its text in quotes");
        }
        texts.emplace(name.str(), *text);
    }
    return texts;
}

std::optional<std::string> TomlSection::optional_text(std::string_view key) const {
    return has(key) ? std::optional(text(key)) : std::nullopt;
}

double TomlSection::as_number(const toml::node& node, std::string_view key, Range range) const {
    if (!node.is_number()) {
        fail(key,
             fmt::format("{} is {}, not a number", value_in_words(node), kind_in_words(node)),
             "Give a number without quotes");
    }
    const double value = node.value<double>().value_or(std::nan(""));
    const bool below = range.low_open ? value <= range.low : value < range.low;
    if (!std::isfinite(value) || below || value > range.high) {
        fail(key,
             fmt::format("{} is out of range", value_in_words(node)),
             std::isinf(range.low) && std::isinf(range.high) ? "Give a finite number"
                                                             : fmt::format("Give a number {}", range_in_words(range)));
    }
    return value;
}

double TomlSection::number(std::string_view key, Range range) const {
    return as_number(require(key), key, range);
}

std::optional<double> TomlSection::optional_number(std::string_view key, Range range) const {
    return has(key) ? std::optional(number(key, range)) : std::nullopt;
}

int TomlSection::integer(std::string_view key, int low, int high) const {
    const toml::node& node = require(key);
    const auto value = node.value_exact<std::int64_t>();
    if (!value) {
        fail(key,
             fmt::format("{} is {}, not a whole number", value_in_words(node), kind_in_words(node)),
             "Give a whole number without quotes");
    }
    if (*value < low || *value > high) {
        fail(key,
             fmt::format("{} is out of range", *value),
             fmt::format("Give a whole number from {} to {}", low, high));
    }
    return static_cast<int>(*value);
}

std::optional<bool> TomlSection::optional_boolean(std::string_view key) const {
    if (!has(key)) {
        return std::nullopt;
    }
    const auto value = require(key).value_exact<bool>();
    if (!value) {
        fail(key, fmt::format("{} is not true or false", value_in_words(require(key))), "Write true or false");
    }
    return value;
}

std::optional<std::vector<double>> TomlSection::optional_numbers(std::string_view key, std::size_t count) const {
    if (!has(key)) {
        return std::nullopt;
    }
    const toml::array* array = require(key).as_array();
    if (array == nullptr || array->size() != count) {
        fail(key,
             fmt::format("{} is not an array of {} numbers", value_in_words(require(key)), count),
             fmt::format("Give {} numbers in brackets", count));
    }
    std::vector<double> values;
    for (const toml::node& node : *array) {
        values.push_back(as_number(node, key, {}));
    }
    return values;
}

std::vector<std::string> TomlSection::texts(std::string_view key) const {
    const toml::array* array = require(key).as_array();
    if (array == nullptr || array->empty()) {
        fail(key, "not an array of texts", "Give one or more texts in brackets");
    }
    std::vector<std::string> values;
    for (const toml::node& node : *array) {
        const auto value = node.value_exact<std::string>();
        if (!value) {
            fail(key, fmt::format("{} is not a text", value_in_words(node)), "Put it in quotes");
        }
        values.push_back(*value);
    }
    return values;
}

TomlSection TomlSection::section(std::string_view key, const KnownKeys& known) const {
    const toml::node& node = require(key);
    const toml::table* table = node.as_table();
    if (table == nullptr) {
        fail(key, fmt::format("it is {}, not a table", kind_in_words(node)), fmt::format("Write [{}]", path_of(key)));
    }
    return {*document_, *table, path_of(key), known};
}

std::optional<TomlSection> TomlSection::optional_section(std::string_view key, const KnownKeys& known) const {
    return has(key) ? std::optional(section(key, known)) : std::nullopt;
}

std::vector<TomlSection> TomlSection::sections(std::string_view key, const KnownKeys& known) const {
    std::vector<TomlSection> result;
    const toml::node* node = table_->get(key);
    if (node == nullptr) {
        return result;
    }
    const toml::array* array = node->as_array();
    const std::string remedy = fmt::format("Write [[{}]] above each", path_of(key));
    if (array == nullptr) {
        fail(key, fmt::format("it is {}, not a list of tables", kind_in_words(*node)), remedy);
    }
    for (const toml::node& item : *array) {
        const toml::table* table = item.as_table();
        if (table == nullptr) {
            fail(key, fmt::format("{} is not a table", value_in_words(item)), remedy);
        }
        result.emplace_back(*document_, *table, path_of(key), known);
    }
    return result;
}

std::string read_text_file(const std::filesystem::path& file, std::string_view what_failed, std::string_view remedy) {
    if (!std::filesystem::is_regular_file(file)) {
        throw Error(ErrorKind::usage, what_failed, file.string(), "no such file", remedy);
    }
    return read_text_bytes(file);
}

}  // namespace heatrow::detail
