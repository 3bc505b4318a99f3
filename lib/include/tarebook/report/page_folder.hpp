// The book as one folder of pages that link to each other: to put on a share and read in a browser. No server, no
// script. What is not changed is not written again, and a run that was interrupted is mended by the next one.
//
//     const auto made = make_pages(book, {}, "pages", options);
//     ... made->written of made->pages
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "tarebook/report/day_page.hpp"
#include "tarebook/report/report.hpp"

namespace tarebook {

/// Whose pages: all, those of one site, or those of one owner, where nothing of another owner stands.
struct PagesQuestion {
    std::optional<std::string> site, owner;
    DayQuestion day = {};      ///< for the index
    std::string program = {};  ///< its version: pages that another version made are made anew
};

/// What was done.
struct PagesMade {
    std::int64_t pages = 0, written = 0, removed = 0;
    std::filesystem::path index;
};

/// Makes or renews the pages in a folder. Its own files are listed in the file `.tarebook-pages` there; others are not
/// touched. Errors (refused): unknown-site, unknown-owner, flags-together, pages-folder (no folder can be made or
/// written), pages-other (the pages there are of another book or question), pages-file (a file that is none of its own
/// has the name of a page).
Result<PagesMade> make_pages(const Book& book, const PagesQuestion& question, const std::filesystem::path& to,
                             const PageOptions& options);

/// What was done, as a page.
Page pages_made_page(const PagesMade& made, const PageOptions& options);

}  // namespace tarebook
