#include "support/xml_check.hpp"

#include <array>
#include <vector>

namespace heatrow::testing {
namespace {

class Checker {
  public:
    explicit Checker(std::string_view text) : text_(text) {}

    std::string run() {
        if (text_.starts_with("<?xml")) {
            at_ = text_.find("?>") + 2;
        }
        bool had_root = false;
        while (at_ < text_.size() && problem_.empty()) {
            if (text_[at_] != '<') {
                character(!open_.empty());
            } else if (text_.substr(at_).starts_with("</")) {
                end_tag();
            } else {
                had_root = had_root || fail_if(had_root && open_.empty(), "a second root");
                had_root = true;
                start_tag();
            }
        }
        fail_if(problem_.empty() && (!open_.empty() || !had_root), "the text ends too early");
        return problem_;
    }

  private:
    bool fail_if(bool wrong, std::string_view why) {
        if (wrong && problem_.empty()) {
            problem_ = std::string(why) + " at " + std::to_string(at_);
        }
        return wrong;
    }
    static bool is_name(char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_' ||
               c == ':';
    }
    std::string_view name() {
        const std::size_t begin = at_;
        while (at_ < text_.size() && is_name(text_[at_])) {
            ++at_;
        }
        fail_if(at_ == begin, "a name is missing");
        return text_.substr(begin, at_ - begin);
    }
    void blanks() {
        while (at_ < text_.size() && (text_[at_] == ' ' || text_[at_] == '\n')) {
            ++at_;
        }
    }
    void character(bool inside) {
        const char c = text_[at_];
        if (c == '&') {
            constexpr std::array<std::string_view, 5> kKnown = {"&amp;", "&lt;", "&gt;", "&quot;", "&#39;"};
            bool known = false;
            for (const std::string_view reference : kKnown) {
                known = known || text_.substr(at_).starts_with(reference);
            }
            fail_if(!known, "an unknown reference");
        }
        fail_if(c == '<' || c == '>' || (static_cast<unsigned char>(c) < 0x20 && c != '\n' && c != '\t'),
                "a bare character");
        fail_if(!inside && c != '\n', "text outside the root");
        ++at_;
    }
    void start_tag() {
        ++at_;
        const std::string_view element = name();
        std::vector<std::string_view> seen;
        for (blanks(); at_ < text_.size() && text_[at_] != '>' && text_[at_] != '/' && problem_.empty(); blanks()) {
            const std::string_view attribute = name();
            for (const std::string_view earlier : seen) {
                fail_if(earlier == attribute, "an attribute twice");
            }
            seen.push_back(attribute);
            if (fail_if(!text_.substr(at_).starts_with("=\""), "an attribute without a quoted value")) {
                return;
            }
            at_ += 2;
            while (at_ < text_.size() && text_[at_] != '"' && problem_.empty()) {
                character(true);
            }
            ++at_;
        }
        const bool is_empty = text_.substr(at_).starts_with("/>");
        fail_if(!is_empty && !text_.substr(at_).starts_with(">"), "a tag without an end");
        at_ += is_empty ? 2 : 1;
        if (!is_empty) {
            open_.push_back(element);
        }
    }
    void end_tag() {
        at_ += 2;
        const std::string_view element = name();
        if (fail_if(open_.empty() || open_.back() != element, "a tag closes what is not open")) {
            return;
        }
        open_.pop_back();
        fail_if(at_ >= text_.size() || text_[at_] != '>', "a tag without an end");
        ++at_;
    }

    std::string_view text_;
    std::size_t at_ = 0;
    std::vector<std::string_view> open_;
    std::string problem_;
};

}  // namespace

std::string xml_problem(std::string_view text) {
    return Checker(text).run();
}

}  // namespace heatrow::testing
