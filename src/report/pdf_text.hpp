// Text on pages: measured and set by Pango.
#pragma once

#include "pdf_document.hpp"
#include "svg.hpp"

#include <compare>
#include <map>
#include <set>
#include <string>
#include <string_view>
#include <utility>

namespace heatrow {

enum class Weight { normal, medium, bold };

struct TextLook {
    double size = 9.0;
    std::string_view colour = kInk;
    Weight weight = Weight::normal;
    double leading = 1.38;  // distance of lines, of the size
    Anchor anchor = Anchor::start;
    bool even_digits = false;  // of one width, for columns of numbers
};

inline constexpr TextLook kBody{};
inline constexpr TextLook kQuiet{.size = 8.0, .colour = kQuietInk};
inline constexpr TextLook kLabel{.size = 7.2, .colour = kQuietInk, .weight = Weight::medium};
inline constexpr TextLook kStrong{.weight = Weight::bold};

// What texts take: the file is drawn with what was measured when its pages were counted.
struct TextMeasures {
    // Colour, leading and anchor do not change it.
    struct Key {
        bool is_line = false;
        double width = 0.0;  // most of a line
        double size = 0.0;
        Weight weight = Weight::normal;
        bool even_digits = false;
        std::string text{};
        auto operator<=>(const Key&) const = default;
    };
    struct Measure {
        int lines = 0;
        double width = 0.0;
        std::set<std::string> lacking{};  // as PdfText::lacking
    };
    std::map<Key, Measure> known{};
};

class PdfText {
  public:
    // measures: taken over and added to.
    PdfText(PdfDocument& document, TextMeasures measures) : document_(document), measures_(std::move(measures)) {}

    // Broken into lines of that width, the first line's top at y; returns the height.
    double paragraph(double x, double y, double width, std::string_view text, const TextLook& look = kBody);
    [[nodiscard]] double height(double width, std::string_view text, const TextLook& look = kBody);
    // One line by its baseline, its end or middle at x where the look says so; cut with an ellipsis in its middle where
    // it is wider than `most`. Returns its width.
    double line(double x, double baseline, std::string_view text, const TextLook& look = kBody, double most = 1e4);

    // Characters that no installed font has, as "U+4E2D". Noted while pages are counted.
    [[nodiscard]] const std::set<std::string>& lacking() const { return lacking_; }
    [[nodiscard]] const TextMeasures& measures() const { return measures_; }

  private:
    template <typename Look>
    TextMeasures::Measure measured(const TextMeasures::Key& key, const Look& look);
    TextMeasures::Measure measured_paragraph(const std::string& clean, const TextLook& look, double width);

    PdfDocument& document_;
    TextMeasures measures_;
    std::set<std::string> lacking_;
};

}  // namespace heatrow
