#include "xlsx_library.hpp"

#include <dlfcn.h>
#include <fmt/format.h>

#include "tarebook/units/error.hpp"

namespace tarebook::report {
namespace {

class Opened {
 public:
    Opened() : handle_(dlopen(TAREBOOK_XLSXWRITER, RTLD_NOW | RTLD_LOCAL)) { refuse_unless(handle_); }
    template <class Function>
    void find(Function*& function, const char* name) const {
        auto* found = dlsym(handle_, name);
        refuse_unless(found);
        function = reinterpret_cast<Function*>(found);
    }

 private:
    static void refuse_unless(const void* found) {
        if (!found)
            throw StorageError(fmt::format("this machine lacks the library that writes spreadsheets: {}", dlerror()),
                               "install the package that has " TAREBOOK_XLSXWRITER ", or ask for --format csv or html");
    }
    void* handle_;  // stays open until the process ends
};

XlsxLibrary open_library() {
    const Opened opened;
    XlsxLibrary out{};
    opened.find(out.workbook_new, "workbook_new");
    opened.find(out.workbook_add_format, "workbook_add_format");
    opened.find(out.workbook_add_worksheet, "workbook_add_worksheet");
    opened.find(out.workbook_set_properties, "workbook_set_properties");
    opened.find(out.workbook_close, "workbook_close");
    opened.find(out.lxw_workbook_free, "lxw_workbook_free");
    opened.find(out.lxw_strerror, "lxw_strerror");
    opened.find(out.format_set_align, "format_set_align");
    opened.find(out.format_set_bold, "format_set_bold");
    opened.find(out.format_set_bottom, "format_set_bottom");
    opened.find(out.format_set_num_format, "format_set_num_format");
    opened.find(out.worksheet_write_number, "worksheet_write_number");
    opened.find(out.worksheet_write_string, "worksheet_write_string");
    opened.find(out.worksheet_set_column, "worksheet_set_column");
    opened.find(out.worksheet_freeze_panes, "worksheet_freeze_panes");
    opened.find(out.worksheet_autofilter, "worksheet_autofilter");
    opened.find(out.worksheet_repeat_rows, "worksheet_repeat_rows");
    opened.find(out.worksheet_set_landscape, "worksheet_set_landscape");
    opened.find(out.worksheet_fit_to_pages, "worksheet_fit_to_pages");
    return out;
}

}  // namespace

const XlsxLibrary& xlsx_library() {
    static const XlsxLibrary library = open_library();
    return library;
}

}  // namespace tarebook::report
