// A small book and drafts for it, recorded as a program does it: through `record` alone.
#pragma once

#include <doctest/doctest.h>
#include <filesystem>

#include "support/book_room.hpp"
#include "tarebook/record/record.hpp"

namespace tarebook::test {

inline Moment at_hour(int hour) {
    Moment m;
    m.at = std::chrono::sys_days(std::chrono::year(2026) / 1 / 2) + std::chrono::hours(hour);
    m.zone = "UTC";
    return m;
}
inline Event draft(int hour, What what, std::optional<std::string> own_id = {}) {
    Event e;
    e.when = at_hour(hour);
    e.recorded = e.when.at;
    e.own_id = std::move(own_id);
    e.what = std::move(what);
    return e;
}
inline Weight lb(const std::string& typed) {
    return parse_weight(typed, ScaleReads::lb).value();
}
inline Event weighed(int hour, const std::string& cylinder, const std::string& typed,
                     std::optional<std::string> own_id = {}) {
    kinds::Weigh k;
    k.cylinder = cylinder;
    k.gross = lb(typed);
    return draft(hour, k, std::move(own_id));
}
inline Event cylinder(const std::string& code) {
    FieldValues fields{{"tare", {"17lb", lb("17lb").mass}}, {"refrigerant", {"R-22", {}}}};
    return draft(0, kinds::Entry{EntryKind::cylinder, code, true, std::move(fields)});
}

/// A book with one cylinder that was weighed, in a room of its own.
class ShopBook {
 public:
    ShopBook() {
        Book::create(path(), "Pelican Refrigeration", DisplayUnits::lb, "UTC", at_hour(0));
        auto book = open();
        REQUIRE(record(book, {cylinder("RC-1"), weighed(1, "RC-1", "17lb")}, {}));
    }
    [[nodiscard]] std::filesystem::path path() const { return room.book("book"); }
    [[nodiscard]] Book open(Access access = Access::write) const { return Book::open(path(), access); }

    BookRoom room;
};

/// The names of what speaks against drafts, in their order: "1 own-id-other-content".
inline std::vector<std::string> problems(const Recorded& done) {
    std::vector<std::string> out;
    for (const auto& p : done.problems) out.push_back(std::to_string(p.draft) + " " + p.error.name);
    return out;
}

}  // namespace tarebook::test
