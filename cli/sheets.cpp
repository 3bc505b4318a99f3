#include "sheets.hpp"

#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <iostream>

#include "exit_code.hpp"

namespace tarebook::cli {

void SheetFile::add_option(CLI::App& command) {
    command.add_option("--file", path, "with --format xlsx: the new file to write");
}

PageOptions SheetFile::options(const Session& s, const Book& book) const {
    if (!s.format || *s.format != "xlsx") {
        if (path)
            throw slip("file-without-sheets", "--file is where a spreadsheet is written", s.format.value_or("text"),
                       "--format xlsx", "other pages go where the shell sends them: > FILE");
        return s.report_options(book);
    }
    if (!path && isatty(STDOUT_FILENO) != 0)
        throw slip("xlsx-to-terminal", "a spreadsheet is nothing that a terminal can show", *s.format,
                   "--file report.xlsx, or > report.xlsx");
    PageOptions o{Format::xlsx, book.info().units, s.now};
    if (s.units) o.units = *s.units == "kg" ? DisplayUnits::kg : DisplayUnits::lb;
    return o;
}

int SheetFile::tell(const Session& s, const Page& page) const {
    if (!path) return s.tell(page);
    const auto not_written = [&](int error) {
        return Stop{{ErrorKind::refused,
                     "file-not-written",
                     std::string("the file was not written: ") + std::strerror(error),
                     *path,
                     "a name that is free, in a folder that can be written to",
                     {}}};
    };
    auto* file = std::fopen(path->c_str(), "wbx");
    if (!file) throw not_written(errno);
    const bool is_written = std::fwrite(page.body.data(), 1, page.body.size(), file) == page.body.size();
    int error = is_written ? 0 : errno;
    if (std::fclose(file) != 0 && error == 0) error = errno;
    if (error != 0) {
        std::remove(path->c_str());  // it did not exist before
        throw not_written(error);
    }
    std::cout << *path << ": written, " << page.body.size() << " bytes\n";
    return page.has_exceptions ? exit_exceptions : exit_done;
}

}  // namespace tarebook::cli
