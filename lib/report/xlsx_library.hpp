// libxlsxwriter, opened when the first sheet is written: a linked library, and libcrypto with it, would cost every
// command 1.4 ms at its start.
#pragma once

#include <xlsxwriter.h>

namespace tarebook::report {

/// The functions that are used, by their own names.
struct XlsxLibrary {
    decltype(::workbook_new)* workbook_new;
    decltype(::workbook_add_format)* workbook_add_format;
    decltype(::workbook_add_worksheet)* workbook_add_worksheet;
    decltype(::workbook_set_properties)* workbook_set_properties;
    decltype(::workbook_close)* workbook_close;
    decltype(::lxw_workbook_free)* lxw_workbook_free;
    decltype(::lxw_strerror)* lxw_strerror;
    decltype(::format_set_align)* format_set_align;
    decltype(::format_set_bold)* format_set_bold;
    decltype(::format_set_bottom)* format_set_bottom;
    decltype(::format_set_num_format)* format_set_num_format;
    decltype(::worksheet_write_number)* worksheet_write_number;
    decltype(::worksheet_write_string)* worksheet_write_string;
    decltype(::worksheet_set_column)* worksheet_set_column;
    decltype(::worksheet_freeze_panes)* worksheet_freeze_panes;
    decltype(::worksheet_autofilter)* worksheet_autofilter;
    decltype(::worksheet_repeat_rows)* worksheet_repeat_rows;
    decltype(::worksheet_set_landscape)* worksheet_set_landscape;
    decltype(::worksheet_fit_to_pages)* worksheet_fit_to_pages;
};

/// Throws StorageError if the machine does not have it.
const XlsxLibrary& xlsx_library();

}  // namespace tarebook::report
