// A page for people, as parts in reading order: one list behind the text of a terminal and the HTML of a browser, so
// that a view is written once.
//
//     Document page("RC-02", "7.75 lb of R-404A");
//     page.fact("should weigh", "35.55 lb").gap().table(events, "Events");
//     page.text();                     // columns for a terminal
//     page.html({"Fernhollow", now});  // one file: no script, nothing from outside
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "picture.hpp"
#include "table.hpp"
#include "tarebook/report/report.hpp"

namespace tarebook::report {

/// What stands at the foot of an HTML page.
struct Imprint {
    std::string company;
    std::optional<Moment> printed;  ///< nothing where the same events shall give the same bytes
    std::optional<Head> head;       ///< so that a printed page can be held against the book
    bool practice = false;
};

class Document {
 public:
    /// A part of a page, to be added to one.
    Document() = default;
    /// The title, and what follows it on the same line of text.
    Document(std::string title, std::string lead, std::string_view between = "  ");

    /// With a title that only a browser shows.
    static Document named(std::string title);

    Document& heading(std::string words);
    Document& line(std::string words, std::size_t indent = 0);       ///< kept on one line of text
    Document& paragraph(std::string words, std::size_t indent = 0);  ///< broken where a line of text ends
    Document& bullet(std::string words);                             ///< one of a list, after a dash
    Document& warning(std::string words);                            ///< a paragraph that stands out in a browser
    Document& fact(std::string name, std::string value, std::size_t width = 14);
    /// `caption` is spoken and shown in a browser only: in text a heading or the columns say it.
    Document& table(Table table, std::string caption, std::size_t indent = 0);
    Document& picture(Picture picture);  ///< nothing in text: what it shows is told in words beside it
    /// Lines of text as they are: the first names the thing, the others, broken anywhere, tell about it.
    Document& item(std::string lines);
    Document& add(Document part);
    Document& gap();  ///< an empty line of text

    [[nodiscard]] std::string text() const;
    [[nodiscard]] std::string html(const Imprint& imprint) const;
    /// An .xlsx file: each table a sheet, and a last one with all that is said beside them.
    [[nodiscard]] std::string xlsx(const Imprint& imprint, DisplayUnits units) const;

 private:
    struct Words {
        enum class Kind { heading, line, paragraph, warning, bullet, item } kind;
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
    bool title_in_text_ = true;
    std::vector<std::variant<Words, Fact, Rows, Picture, Gap>> parts_;
};

/// The page for people that the options ask for: text, HTML or sheets, these two with the book's imprint.
std::string page_body(const Document& document, const Book& book, const PageOptions& options);

/// Text as HTML has it: none of it can become markup, and control characters are shown, not sent.
std::string escaped(std::string_view text);

}  // namespace tarebook::report
