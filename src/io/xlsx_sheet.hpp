// Sheets of a spreadsheet file, written row by row.
#pragma once

#include "heatrow/io/table_writer.hpp"

#include <xlsxwriter.h>

#include <cstdint>
#include <filesystem>
#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace heatrow::detail {

// The file; formats belong to it. Ids and names are always text, so that no spreadsheet takes them for a number, a date
// or a formula.
class XlsxBook {
  public:
    explicit XlsxBook(const std::filesystem::path& file);
    ~XlsxBook();
    XlsxBook(const XlsxBook&) = delete;
    XlsxBook& operator=(const XlsxBook&) = delete;

    // Title and date of the file's properties.
    void describe(const std::string& title, std::int64_t seconds_since_1970);
    [[nodiscard]] lxw_worksheet* add_sheet(const std::string& name);
    lxw_format* number_format(int decimals);
    [[nodiscard]] lxw_format* text() { return text_; }
    [[nodiscard]] lxw_format* wrapped() { return wrapped_; }
    [[nodiscard]] lxw_format* head() { return head_; }
    [[nodiscard]] lxw_format* entry_head() { return entry_head_; }
    [[nodiscard]] lxw_format* entry() { return entry_; }
    [[nodiscard]] lxw_format* title() { return title_; }
    [[nodiscard]] lxw_format* bold() { return bold_; }
    [[nodiscard]] lxw_format* link() { return link_; }
    // Fill for rows of class 2 and 3.
    [[nodiscard]] lxw_format* class_fill(int abnormality_class) { return abnormality_class == 3 ? class_3_ : class_2_; }
    // Writes the file. Throws Error(output).
    void close();

  private:
    lxw_format* add_format(bool bold, bool wrap, std::uint32_t fill);

    std::filesystem::path file_;
    lxw_workbook* book_;
    lxw_format* text_;
    lxw_format* wrapped_;
    lxw_format* head_;
    lxw_format* entry_head_;
    lxw_format* entry_;
    lxw_format* title_;
    lxw_format* bold_;
    lxw_format* link_;
    lxw_format* class_2_;
    lxw_format* class_3_;
    std::map<int, lxw_format*> numbers_;
};

// Text in a cell; longer than a cell can hold: cut, with an ellipsis.
void put_text(lxw_worksheet* sheet, lxw_row_t row, lxw_col_t column, std::string_view text, lxw_format* format);

struct XlsxColumn {
    std::string_view name;
    double width = 14.0;  // in characters
    bool entry = false;   // for the reviewer to fill in
};

// A table with a frozen head and a filter. Fields come in the order of `order`, which names columns; the sheet may have
// its columns in another order and further ones.
class XlsxTable : public TableWriter {
  public:
    XlsxTable(XlsxBook& book,
              lxw_worksheet* sheet,
              const std::vector<XlsxColumn>& columns,
              const std::vector<std::string_view>& order);

    XlsxTable& text(std::string_view value) override;
    XlsxTable& number(double value, int decimals) override;
    XlsxTable& integer(long long value) override;
    XlsxTable& empty() override;
    void end_row() override;

    [[nodiscard]] lxw_row_t row() const { return row_; }  // that is being written; the head is row 0
    [[nodiscard]] lxw_col_t column(std::string_view name) const;
    // Freezes, filters: after the last row.
    void finish();

  private:
    [[nodiscard]] lxw_col_t next();

    XlsxBook& book_;
    lxw_worksheet* sheet_;
    std::vector<XlsxColumn> columns_;
    std::vector<lxw_col_t> places_;
    std::size_t field_ = 0;
    lxw_row_t row_ = 1;
};

}  // namespace heatrow::detail
