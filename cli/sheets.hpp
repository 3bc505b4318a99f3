// Reports that a spreadsheet can open: --format xlsx, to a file or into a pipe, never onto a terminal.
#pragma once

#include "session.hpp"

namespace tarebook::cli {

struct SheetFile {
    Text path;  ///< --file
    void add_option(CLI::App& command);
    /// As Session::report_options, and xlsx too.
    [[nodiscard]] PageOptions options(const Session& s, const Book& book) const;
    /// Writes the page to the file, where one was named, else where pages go.
    [[nodiscard]] int tell(const Session& s, const Page& page) const;
};

}  // namespace tarebook::cli
