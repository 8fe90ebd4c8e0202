#include "svg.hpp"

#include "heatrow/report/markup.hpp"
#include "heatrow/report/number_text.hpp"

namespace heatrow {
namespace {

bool is_continuation(char c) {
    return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
}

// Advance of one character in units of the font size; `lead` is its first byte.
double advance(char lead) {
    const auto byte = static_cast<unsigned char>(lead);
    if (byte >= 0xE3) {
        return 1.05;  // ideographs and beyond
    }
    if (lead == 'i' || lead == 'l' || lead == '.' || lead == ',' || lead == '\'' || lead == '|') {
        return 0.33;
    }
    if (lead == 'm' || lead == 'w' || lead == 'W' || lead == 'M' || lead == '%' || lead == '@') {
        return 0.95;
    }
    return lead >= 'A' && lead <= 'Z' ? 0.70 : 0.60;
}

}  // namespace

std::string px(double value) {
    return short_text(value, 2);
}

Svg& Svg::raw(std::string_view markup) {
    out_ += markup;
    return *this;
}

Svg& Svg::rect(double x, double y, double width, double height, std::string_view attributes) {
    out_ += "<rect x=\"" + px(x) + "\" y=\"" + px(y) + "\" width=\"" + px(width) + "\" height=\"" + px(height) + "\" ";
    out_ += attributes;
    out_ += "/>\n";
    return *this;
}

Svg& Svg::line(double x1, double y1, double x2, double y2, std::string_view attributes) {
    out_ += "<line x1=\"" + px(x1) + "\" y1=\"" + px(y1) + "\" x2=\"" + px(x2) + "\" y2=\"" + px(y2) + "\" ";
    out_ += attributes;
    out_ += "/>\n";
    return *this;
}

Svg& Svg::path(std::string_view d, std::string_view attributes) {
    out_ += "<path d=\"";
    out_ += d;
    out_ += "\" ";
    out_ += attributes;
    out_ += "/>\n";
    return *this;
}

Svg& Svg::text(double x, double y, std::string_view content, const TextStyle& style) {
    out_ += "<text x=\"" + px(x) + "\" y=\"" + px(y) + "\" font-size=\"" + px(style.size) + "\"";
    if (style.fill != kInk) {
        out_ += " fill=\"" + std::string(style.fill) + "\"";
    }
    if (style.anchor != Anchor::start) {
        out_ += style.anchor == Anchor::middle ? " text-anchor=\"middle\"" : " text-anchor=\"end\"";
    }
    if (style.bold) {
        out_ += " font-weight=\"bold\"";
    }
    out_ += ">" + escape_xml(content) + "</text>\n";
    return *this;
}

Svg& Svg::open_group(std::string_view attributes) {
    out_ += "<g ";
    out_ += attributes;
    out_ += ">\n";
    return *this;
}

Svg& Svg::close_group() {
    out_ += "</g>\n";
    return *this;
}

Svg& Svg::title(std::string_view content) {
    out_ += "<title>" + escape_xml(content) + "</title>\n";
    return *this;
}

std::string open_drawing(double width, double height, std::string_view attributes) {
    std::string out = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"" + px(width) + "\" height=\"" + px(height) +
                      "\" viewBox=\"0 0 " + px(width) + " " + px(height) +
                      "\" font-family=\"'DejaVu Sans', Verdana, 'Segoe UI', sans-serif\" fill=\"" + std::string(kInk) +
                      "\"";
    if (!attributes.empty()) {
        out += " " + std::string(attributes);
    }
    return out + ">\n";
}

std::string rect_path(double x, double y, double width, double height) {
    return "M" + px(x) + " " + px(y) + "h" + px(width) + "v" + px(height) + "h" + px(-width) + "z";
}

std::string polygon_path(const std::vector<Eigen::Vector2d>& points) {
    std::string d;
    for (const Eigen::Vector2d& point : points) {
        d += (d.empty() ? "M" : "L") + px(point.x()) + " " + px(point.y());
    }
    return d.empty() ? d : d + "z";
}

double text_width(std::string_view text, double size) {
    double width = 0.0;
    for (const char c : text) {
        width += is_continuation(c) ? 0.0 : advance(c);
    }
    return width * size;
}

std::string fit_text(std::string_view text, double width, double size) {
    if (text_width(text, size) <= width) {
        return std::string(text);
    }
    const double room = width - size;  // for the ellipsis
    std::size_t begin = 0;
    while (begin < text.size() && (is_continuation(text[begin]) || text_width(text.substr(begin), size) > room)) {
        ++begin;
    }
    return "…" + std::string(text.substr(begin));
}

std::vector<std::string> wrap_text(std::string_view text, double width, double size) {
    std::vector<std::string> lines;
    std::string line;
    while (!text.empty()) {
        const std::size_t blank = text.find(' ');
        const std::string word(text.substr(0, blank));
        text = blank == std::string_view::npos ? std::string_view{} : text.substr(blank + 1);
        const std::string longer = line.empty() ? word : line + " " + word;
        if (!line.empty() && text_width(longer, size) > width) {
            lines.push_back(line);
            line = word;
        } else {
            line = longer;
        }
    }
    if (!line.empty()) {
        lines.push_back(line);
    }
    return lines;
}

}  // namespace heatrow
