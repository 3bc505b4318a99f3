// Reports for a spreadsheet: --format xlsx, to a file or into a pipe, never to a terminal.
#pragma once

#include "session.hpp"

namespace tarebook::cli {

struct SheetFile {
    Text path;  ///< --file
    void add_option(CLI::App& command);
    /// As Session::report_options, with xlsx.
    [[nodiscard]] PageOptions options(const Session& s, const Book& book) const;
    /// Writes the page to the file if one is named, else to stdout.
    [[nodiscard]] int tell(const Session& s, const Page& page) const;
};

}  // namespace tarebook::cli
