#include "pdf_page.hpp"

#include "class_mark.hpp"

#include <algorithm>
#include <utility>

namespace heatrow {
namespace {

constexpr std::string_view kRule = "#c9c5b9";
constexpr double kCellAir = 6.0;  // between columns
constexpr double kMarkRoom = 17.0;

double text_top_shift(const TextLook& look) {
    return 0.5 * look.size * (look.leading - 1.0);
}

std::vector<double> edges_of(const std::vector<TableColumn>& columns) {
    double sum = 0.0;
    for (const TableColumn& column : columns) {
        sum += column.share;
    }
    std::vector<double> edges{kPageLeft};
    for (const TableColumn& column : columns) {
        edges.push_back(edges.back() + kTextWidth * column.share / sum);
    }
    return edges;
}

void draw_table_head(PdfPages& pages, const std::vector<TableColumn>& columns, const std::vector<double>& edges) {
    double tallest = 0.0;
    const auto look_of = [](const TableColumn& column) {
        TextLook look = kLabel;
        look.anchor = column.anchor;
        look.leading = 1.2;
        return look;
    };
    for (std::size_t i = 0; i < columns.size(); ++i) {
        tallest = std::max(
            tallest, pages.text().height(edges[i + 1] - edges[i] - kCellAir, columns[i].title, look_of(columns[i])));
    }
    for (std::size_t i = 0; i < columns.size(); ++i) {
        const double width = edges[i + 1] - edges[i] - kCellAir;
        const double own = pages.text().height(width, columns[i].title, look_of(columns[i]));
        pages.text().paragraph(edges[i], pages.y + tallest - own, width, columns[i].title, look_of(columns[i]));
    }
    pages.y += tallest + 3.0;
    pages.canvas().stroke({{{kPageLeft, pages.y}, {kPageRight, pages.y}}}, {.colour = kInk, .width = 0.9});
}

using Pair = std::pair<std::string, std::string>;

constexpr double kAfterPair = 2.2;
const TextLook kNameLook{.size = 8.0, .colour = kQuietInk, .leading = 1.25};

TextLook value_look(const Pair& pair) {
    const bool known = !pair.second.empty();
    return {.size = 8.0,
            .colour = known ? kInk : std::string_view("#a33b00"),
            .weight = known ? Weight::medium : Weight::normal,
            .leading = 1.3};
}

std::string_view value_of(const Pair& pair) {
    return pair.second.empty() ? std::string_view("not stated") : std::string_view(pair.second);
}

double pair_height(PdfPages& pages, const Pair& pair, double width, double name_width) {
    return std::max(pages.text().height(name_width - 6.0, pair.first, kNameLook),
                    pages.text().height(width - name_width, value_of(pair), value_look(pair)));
}

}  // namespace

void PdfPages::turn(std::string_view part) {
    if (open_) {
        document_.end_page();
    }
    open_ = true;
    part_ = part;
    y = kPageTop;
    text_.line(kPageLeft, 40.0, facts_.title, {.size = 8.0, .colour = kQuietInk}, 0.66 * kTextWidth);
    text_.line(kPageRight, 40.0, part_, {.size = 8.0, .weight = Weight::bold, .anchor = Anchor::end});
    canvas().stroke({{{kPageLeft, 47.0}, {kPageRight, 47.0}}}, {.colour = kRule, .width = 0.6});
    canvas().stroke({{{kPageLeft, 800.0}, {kPageRight, 800.0}}}, {.colour = kRule, .width = 0.6});
    text_.line(kPageLeft, 813.0, facts_.foot, {.size = 7.2, .colour = kQuietInk}, 0.8 * kTextWidth);
    std::string number = "Page " + std::to_string(document_.page());
    if (facts_.pages > 0) {
        number += " of " + std::to_string(facts_.pages);
    }
    text_.line(kPageRight, 813.0, number, {.size = 7.2, .weight = Weight::medium, .anchor = Anchor::end});
}

void PdfPages::close() {
    if (open_) {
        document_.end_last_page();
        open_ = false;
    }
}

void PdfPages::need(double height) {
    if (height > left()) {
        turn(std::string(part_));
    }
}

int PdfPages::chapter(int parent, std::string_view name) {
    const TextLook look{.size = 20.0, .weight = Weight::bold, .leading = 1.15};
    const int own = document_.bookmark(parent, name, y - 8.0);
    y += text_.paragraph(kPageLeft, y, kTextWidth, name, look) + 10.0;
    return own;
}

void PdfPages::heading(std::string_view name) {
    constexpr double kKeepWithNext = 70.0;
    need(kKeepWithNext);
    y += y > kPageTop + 4.0 ? 12.0 : 0.0;
    y += text_.paragraph(kPageLeft, y, kTextWidth, name, {.size = 11.5, .weight = Weight::bold, .leading = 1.2}) + 5.0;
}

void PdfPages::paragraph(std::string_view words, const TextLook& look, double after) {
    need(text_.height(kTextWidth, words, look));
    y += text_.paragraph(kPageLeft, y, kTextWidth, words, look) + after;
}

void PdfPages::bullets(const std::vector<std::string>& items, const TextLook& look) {
    constexpr double kIndent = 11.0;
    for (const std::string& item : items) {
        need(text_.height(kTextWidth - kIndent, item, look));
        const double middle = y + text_top_shift(look) + 0.55 * look.size;
        canvas().fill(rectangle(kPageLeft + 1.5, middle - 1.4, 2.8, 2.8), kThisString);
        y += text_.paragraph(kPageLeft + kIndent, y, kTextWidth - kIndent, item, look) + 3.0;
    }
    y += 4.0;
}

void draw_table(PdfPages& pages,
                const std::vector<TableColumn>& columns,
                const std::vector<TableRow>& rows,
                const TableLook& look) {
    const std::vector<double> edges = edges_of(columns);
    constexpr double kHeadRoom = 26.0;
    pages.need(kHeadRoom + 2.0 * look.size);
    draw_table_head(pages, columns, edges);
    for (const TableRow& row : rows) {
        const auto style = [&](std::size_t i) {
            return TextLook{.size = look.size,
                            .weight = row[i].strong ? Weight::bold : Weight::normal,
                            .leading = 1.25,
                            .anchor = columns[i].anchor,
                            .even_digits = columns[i].anchor == Anchor::end};
        };
        double tallest = 0.0;
        for (std::size_t i = 0; i < row.size(); ++i) {
            const double room = edges[i + 1] - edges[i] - kCellAir - (row[i].mark ? kMarkRoom : 0.0);
            tallest = std::max(tallest, pages.text().height(room, row[i].text, style(i)));
        }
        const double height = tallest + 2.0 * look.row_air;
        if (height > pages.left()) {
            pages.need(height);
            pages.need(kPageBottom - kPageTop);  // a page of its own
            draw_table_head(pages, columns, edges);
        }
        for (std::size_t i = 0; i < row.size(); ++i) {
            double x = edges[i];
            double width = edges[i + 1] - edges[i] - kCellAir;
            if (row[i].mark) {
                draw_class_mark(pages.canvas(), *row[i].mark, x + 8.0, pages.y + look.row_air + 0.6 * look.size, 0.85);
                x += kMarkRoom;
                width -= kMarkRoom;
            }
            pages.text().paragraph(x, pages.y + look.row_air, width, row[i].text, style(i));
            if (!row[i].link.empty()) {
                pages.document().link(row[i].link, edges[i], pages.y, edges[i + 1] - edges[i], height);
            }
        }
        pages.y += height;
        pages.canvas().stroke({{{kPageLeft, pages.y}, {kPageRight, pages.y}}}, {.colour = kRule, .width = 0.4});
    }
    pages.y += 8.0;
}

double pairs_height(PdfPages& pages, const std::vector<Pair>& pairs, double width, double name_width) {
    double height = 0.0;
    for (const Pair& pair : pairs) {
        height += pair_height(pages, pair, width, name_width) + kAfterPair;
    }
    return height;
}

void draw_pairs(PdfPages& pages, const std::vector<Pair>& pairs, double x, double width, double name_width) {
    for (const Pair& pair : pairs) {
        const double height = pair_height(pages, pair, width, name_width);
        pages.need(height);
        pages.text().paragraph(x, pages.y, name_width - 6.0, pair.first, kNameLook);
        pages.text().paragraph(x + name_width, pages.y, width - name_width, value_of(pair), value_look(pair));
        pages.y += height + kAfterPair;
    }
}

}  // namespace heatrow
