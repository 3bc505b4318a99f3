// A page for people, as parts in reading order: one list behind the text of a terminal and the HTML of a browser, so
// that a view is written once.
//
//     Document page("RC-02", "7.75 lb of R-404A");
//     page.fact("should weigh", "35.55 lb").gap().table(events, "Events");
//     page.text(80);                   // columns for a terminal
//     page.html({"Fernhollow", now});  // one file: no script, nothing from outside
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "picture.hpp"
#include "table.hpp"
#include "tarebook/report/report.hpp"
#include "tarebook/units/fitted_text.hpp"

namespace tarebook::report {

class PageLinks;

/// The foot of an HTML page.
struct Imprint {
    std::string company;
    std::optional<Moment> printed;  ///< empty if the same events shall give the same bytes
    std::optional<Head> head;       ///< to compare a printed page with the book
    bool practice = false;
    const PageLinks* links = nullptr;  ///< within a folder of pages
    bool of_a_book = true;             ///< its figures are those of a book
    std::string judged_anew = {};      ///< where events of the book are being judged anew: how far that is
};

/// Each row is one thing with its fields: a card with a line for each field that has words; in a spreadsheet a sheet.
struct Cards {
    Table table;
    std::string caption;
    std::size_t of_name = 1;  ///< so many columns name the thing, and stand above the others

    [[nodiscard]] std::string name(std::size_t row, std::string_view between) const;
    /// What has words behind the name: heading and words.
    [[nodiscard]] std::vector<std::pair<std::string_view, std::string_view>> fields(std::size_t row) const;
    [[nodiscard]] std::string text() const;
};

class Document {
 public:
    /// A part of a page, to be added to one.
    Document() = default;
    /// The title, and what follows it on the same line of text.
    Document(std::string title, std::string lead, std::string_view between = "  ");

    /// With a title that only HTML shows.
    static Document named(std::string title);

    Document& heading(std::string words);
    Document& chapter(std::string words);                            ///< a heading over those of the rest of the page
    Document& line(std::string words, std::size_t indent = 0);       ///< kept on one line of text
    Document& paragraph(std::string words, std::size_t indent = 0);  ///< broken where a line of text ends
    Document& bullet(std::string words);                             ///< one of a list, after a dash
    Document& step(std::string words);                               ///< one of a list in its order, after a number
    Document& box(std::string words);                                ///< what is read first, between two rules
    Document& warning(std::string words);                            ///< a paragraph that HTML highlights
    Document& fact(std::string name, std::string value, std::size_t width = 14);
    /// Of HTML `caption` is the heading, unless one stands right above; text has none, because the columns replace it.
    Document& table(Table table, std::string caption, std::size_t indent = 0);
    Document& cards(Cards cards);
    Document& picture(Picture picture);  ///< not in text: the words beside it give the same facts
    /// Lines of text: the first one names the item, the others, wrapped anywhere, describe it.
    Document& item(std::string lines);
    Document& add(Document part);
    Document& gap();                       ///< an empty line of text
    Document& signature(std::string who);  ///< an empty line to write on, and one for the day
    /// HTML is set small enough that a usual page is one sheet of paper.
    Document& on_one_sheet();

    /// Lines of at most `width` letters, but for longer words.
    [[nodiscard]] std::string text(std::size_t width = usual_text) const;
    /// As text(), for a part of another text that laid_out() makes lines of.
    [[nodiscard]] std::string loose_text() const;
    [[nodiscard]] std::string html(const Imprint& imprint) const;
    /// An .xlsx file: each table is a sheet, and the last sheet has all other text.
    [[nodiscard]] std::string xlsx(const Imprint& imprint, DisplayUnits units) const;

 private:
    struct Words {
        enum class Kind { heading, chapter, signature, line, paragraph, warning, bullet, step, box, item } kind;
        std::string words;
        std::size_t indent = 0;
    };
    struct Fact {
        std::string name, value;
        std::size_t width;
    };
    struct Rows {
        Table table;
        std::string caption;
        std::size_t indent;
    };
    struct Gap {};
    std::string title_, lead_, between_;
    bool title_in_text_ = true, one_sheet_ = false;
    std::vector<std::variant<Words, Fact, Rows, Cards, Picture, Gap>> parts_;
};

/// The page for people that the options ask for: text, HTML or sheets, these two with the book's imprint.
std::string page_body(const Document& document, const Book& book, const PageOptions& options);
/// The same of a page that needs no book, as text or HTML.
std::string page_body(const Document& document, const PageOptions& options);

/// Whether words begin with one of those that stand out by themselves: LATE, OVER, UNDER, DO NOT FILL, NOT ...
bool stands_out(std::string_view words);

/// Text escaped for HTML: no part of it can become markup, and control characters are shown as escapes.
std::string escaped(std::string_view text);

}  // namespace tarebook::report
