#include "sheets.hpp"

#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <iostream>

#include "exit_code.hpp"
#include "tarebook/units/new_file.hpp"

namespace tarebook::cli {

void PageFile::add_option(CLI::App& command) {
    command.add_option("--file", path,
                       "a new file to write the page to; its ending says the format: due.html, due.xlsx");
}

// --format, else what the ending of --file says.
Text PageFile::format_of(const Session& s) const {
    if (s.format || !path) return s.format;
    constexpr std::array<std::string_view, 4> endings{"json", "csv", "html", "xlsx"};
    const auto ending = std::filesystem::path(*path).extension().string();
    for (const auto format : endings)
        if (ending == "." + std::string(format)) return std::string(format);
    return {};
}

PageOptions PageFile::options(const Session& s, const Book* book, Has has) const {
    const auto format = format_of(s);
    auto options = book ? s.options_in(format, book, has) : s.options_without_book_in(format, has);
    if (options.format == Format::xlsx && !path && isatty(STDOUT_FILENO) != 0)
        throw slip("xlsx-to-terminal", "a terminal cannot show a spreadsheet", *format,
                   "--file report.xlsx, or > report.xlsx");
    if (path) options.width = usual_text;
    return options;
}

int PageFile::tell(const Session& s, const Page& page) const {
    if (!path) return s.tell(page);
    const auto format = format_of(s).value_or("text");
    auto body = page.body;
    if (s.is_headed && (format == "text" || format == "json" || format == "csv"))
        body = PracticeHeading(format == "json" ? Format::json : format == "csv" ? Format::csv : Format::text)(body);
    NewFile file(*path, Readers::by_umask);
    file.write(body);
    if (file.take_name() != Named::yes)
        throw Stop{{ErrorKind::refused,
                    "file-not-written",
                    std::string("the file was not written: ") + std::strerror(errno),
                    *path,
                    "a name that is free, in a folder that can be written to",
                    {}}};
    auto& remark = s.format == "json" || s.format == "csv" ? std::cerr : std::cout;
    remark << *path << ": written, " << body.size() << " bytes\n";
    return page.has_exceptions ? exit_exceptions : exit_done;
}

}  // namespace tarebook::cli
