#include "sheets.hpp"

#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <iostream>

#include "exit_code.hpp"
#include "tarebook/units/new_file.hpp"

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
        throw slip("xlsx-to-terminal", "a terminal cannot show a spreadsheet", *s.format,
                   "--file report.xlsx, or > report.xlsx");
    PageOptions o{Format::xlsx, book.info().units, s.now};
    if (s.units) o.units = *s.units == "kg" ? DisplayUnits::kg : DisplayUnits::lb;
    return o;
}

int SheetFile::tell(const Session& s, const Page& page) const {
    if (!path) return s.tell(page);
    NewFile file(*path, Readers::by_umask);
    file.write(page.body);
    if (file.take_name() != Named::yes)
        throw Stop{{ErrorKind::refused,
                    "file-not-written",
                    std::string("the file was not written: ") + std::strerror(errno),
                    *path,
                    "a name that is free, in a folder that can be written to",
                    {}}};
    std::cout << *path << ": written, " << page.body.size() << " bytes\n";
    return page.has_exceptions ? exit_exceptions : exit_done;
}

}  // namespace tarebook::cli
