// Where a page goes: to stdout, or with --file to a new file, whose ending may say the format. A format that the page
// does not have is refused before anything is written, so that no empty file is left behind.
#pragma once

#include "session.hpp"

namespace tarebook::cli {

struct PageFile {
    Text path;  ///< --file
    void add_option(CLI::App& command);
    /// The options of a page of the book, or of one that needs none (null). Throws Stop where the page does not have
    /// the format.
    [[nodiscard]] PageOptions options(const Session& s, const Book* book, Has has) const;
    [[nodiscard]] PageOptions options(const Session& s, const Book& book, Has has = Has::sheets) const {
        return options(s, &book, has);
    }
    /// Writes the page to the file if one is named, else to stdout.
    [[nodiscard]] int tell(const Session& s, const Page& page) const;

 private:
    [[nodiscard]] Text format_of(const Session& s) const;
};

}  // namespace tarebook::cli
