#include "xlsx_sheet.hpp"

#include "heatrow/core/error.hpp"
#include "heatrow/report/markup.hpp"
#include "heatrow/report/number_text.hpp"

#include <algorithm>
#include <cassert>
#include <charconv>
#include <cmath>

namespace heatrow::detail {
namespace {

constexpr std::uint32_t kHeadFill = 0xE9F0EF;
constexpr std::uint32_t kEntryHeadFill = 0xFFE08A;
constexpr std::uint32_t kEntryFill = 0xFFF9E3;

[[noreturn]] void fail(const std::filesystem::path& file, const std::string& why) {
    throw Error(ErrorKind::output,
                "cannot write the spreadsheet",
                file.string(),
                why,
                "Check the path, its permissions and its disk");
}

}  // namespace

XlsxBook::XlsxBook(const std::filesystem::path& file) : file_(file), book_(workbook_new(file.c_str())) {
    if (book_ == nullptr) {
        fail(file_, "no memory");
    }
    text_ = add_format(false, false, 0);
    wrapped_ = add_format(false, true, 0);
    head_ = add_format(true, true, kHeadFill);
    entry_head_ = add_format(true, true, kEntryHeadFill);
    entry_ = add_format(false, true, kEntryFill);
    title_ = add_format(true, false, 0);
    format_set_font_size(title_, 16.0);
    bold_ = add_format(true, true, 0);
    link_ = add_format(false, false, 0);
    format_set_font_color(link_, 0x1A5FB4);
    format_set_underline(link_, LXW_UNDERLINE_SINGLE);
    class_2_ = workbook_add_format(book_);
    format_set_bg_color(class_2_, 0xFFE3AD);
    class_3_ = workbook_add_format(book_);
    format_set_bg_color(class_3_, 0xF7C3A6);
    format_set_bold(class_3_);
}

XlsxBook::~XlsxBook() {
    if (book_ != nullptr) {
        lxw_workbook_free(book_);
    }
}

lxw_format* XlsxBook::add_format(bool bold, bool wrap, std::uint32_t fill) {
    lxw_format* format = workbook_add_format(book_);
    format_set_align(format, LXW_ALIGN_VERTICAL_TOP);
    if (bold) {
        format_set_bold(format);
    }
    if (wrap) {
        format_set_text_wrap(format);
    }
    if (fill != 0) {
        format_set_bg_color(format, fill);
        format_set_border(format, LXW_BORDER_THIN);
        format_set_border_color(format, 0xC9C5B9);
    }
    return format;
}

void XlsxBook::describe(const std::string& title, std::int64_t seconds_since_1970) {
    std::string clean = clean_utf8(title);
    std::string maker = "heatrow";
    lxw_doc_properties properties{};
    properties.title = clean.data();
    properties.author = maker.data();
    properties.created = static_cast<time_t>(seconds_since_1970);
    workbook_set_properties(book_, &properties);
}

lxw_worksheet* XlsxBook::add_sheet(const std::string& name) {
    return workbook_add_worksheet(book_, name.c_str());
}

lxw_format* XlsxBook::number_format(int decimals) {
    lxw_format*& format = numbers_[decimals];
    if (format == nullptr) {
        format = add_format(false, false, 0);
        const std::string picture = decimals == 0 ? "0" : "0." + std::string(static_cast<std::size_t>(decimals), '0');
        format_set_num_format(format, picture.c_str());
    }
    return format;
}

void XlsxBook::close() {
    const lxw_error error = workbook_close(book_);
    book_ = nullptr;
    if (error != LXW_NO_ERROR) {
        fail(file_, lxw_strerror(error));
    }
}

void put_text(lxw_worksheet* sheet, lxw_row_t row, lxw_col_t column, std::string_view text, lxw_format* format) {
    constexpr std::size_t kMost = 32'000;  // bytes; a cell holds 32,767 characters
    std::string clean = clean_utf8(text);
    if (clean.size() > kMost) {
        std::size_t end = kMost;
        while ((static_cast<unsigned char>(clean[end]) & 0xC0U) == 0x80U) {
            --end;
        }
        clean = clean.substr(0, end) + "…";
    }
    worksheet_write_string(sheet, row, column, clean.c_str(), format);
}

XlsxTable::XlsxTable(XlsxBook& book,
                     lxw_worksheet* sheet,
                     const std::vector<XlsxColumn>& columns,
                     const std::vector<std::string_view>& order)
    : book_(book), sheet_(sheet), columns_(columns) {
    for (std::size_t i = 0; i < columns_.size(); ++i) {
        const auto place = static_cast<lxw_col_t>(i);
        worksheet_set_column(sheet_, place, place, columns_[i].width, columns_[i].entry ? book_.entry() : book_.text());
        put_text(sheet_, 0, place, columns_[i].name, columns_[i].entry ? book_.entry_head() : book_.head());
    }
    for (const std::string_view name : order) {
        places_.push_back(column(name));
    }
}

lxw_col_t XlsxTable::column(std::string_view name) const {
    const auto found =
        std::find_if(columns_.begin(), columns_.end(), [name](const XlsxColumn& own) { return own.name == name; });
    assert(found != columns_.end());
    return static_cast<lxw_col_t>(found - columns_.begin());
}

lxw_col_t XlsxTable::next() {
    assert(field_ < places_.size());
    return places_[field_++];
}

XlsxTable& XlsxTable::text(std::string_view value) {
    const lxw_col_t place = next();
    lxw_format* format = columns_[place].entry ? book_.entry() : book_.text();
    if (value.empty()) {
        worksheet_write_blank(sheet_, row_, place, format);
    } else {
        put_text(sheet_, row_, place, value, format);
    }
    return *this;
}

XlsxTable& XlsxTable::number(double value, int decimals) {
    const lxw_col_t place = next();
    const std::string digits = fixed_text(value, decimals);
    if (!digits.empty()) {
        double rounded = 0.0;  // the very number that the csv file holds
        std::from_chars(digits.data(), digits.data() + digits.size(), rounded);
        worksheet_write_number(sheet_, row_, place, rounded, book_.number_format(decimals));
    }
    return *this;
}

XlsxTable& XlsxTable::integer(long long value) {
    worksheet_write_number(sheet_, row_, next(), static_cast<double>(value), book_.number_format(0));
    return *this;
}

XlsxTable& XlsxTable::empty() {
    static_cast<void>(next());
    return *this;
}

void XlsxTable::end_row() {
    assert(field_ == places_.size());
    field_ = 0;
    ++row_;
}

void XlsxTable::finish() {
    worksheet_freeze_panes(sheet_, 1, 1);
    worksheet_set_row(sheet_, 0, 30.0, nullptr);
    worksheet_autofilter(sheet_, 0, 0, std::max<lxw_row_t>(row_ - 1, 1), static_cast<lxw_col_t>(columns_.size() - 1));
    worksheet_set_landscape(sheet_);
    worksheet_repeat_rows(sheet_, 0, 0);
    worksheet_fit_to_pages(sheet_, 1, 0);
}

}  // namespace heatrow::detail
