// A calendar as RFC 5545 wants it: CRLF, lines folded at 75 octets and never inside a letter, text escaped.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "tarebook/event/moment.hpp"

namespace tarebook::report {

class Calendar {
 public:
    /// `stamp`: the moment that every entry is made at.
    explicit Calendar(Instant stamp);
    struct Entry {
        std::string uid;  ///< the same for the same thing, always
        std::string summary, description;
        std::optional<Date> day;  ///< a whole day; a thing to do without a day where there is none
        bool done = false;        ///< of a thing to do
    };
    void add(const Entry& entry);
    [[nodiscard]] std::string page() const;

 private:
    void line(std::string_view name, std::string_view value);
    void text_line(std::string_view name, std::string_view text);
    std::string out_;
    std::string stamp_;
};

/// Section 3.1: a content line, folded, with its line end.
std::string folded(std::string_view content_line);
/// Section 3.3.11: backslash, semicolon, comma and line end are escaped; other control characters become blanks.
std::string escaped_text(std::string_view text);

}  // namespace tarebook::report
