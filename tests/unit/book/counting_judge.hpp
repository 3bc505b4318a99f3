// An evaluator that counts how many events it was asked about, and the small books that it is asked in.
#pragma once

#include "book/transaction.hpp"
#include "ledger/fold_alone.hpp"
#include "support/book_room.hpp"

namespace tarebook::test {

class CountingJudge : public FoldAlone {
 public:
    Outcome evaluate(const Event& event, const States& before, const Register& reg) const override {
        ++asked;
        return fold_one(event, before, reg);
    }
    mutable int asked = 0;
};

inline Moment at_hour(int hour) {
    Moment m;
    m.at = std::chrono::sys_days(std::chrono::year(2026) / 1 / 2) + std::chrono::hours(hour);
    m.zone = "UTC";
    return m;
}
inline Event event_of(int hour, What what) {
    Event e;
    e.when = at_hour(hour);
    e.recorded = e.when.at;
    e.what = std::move(what);
    return e;
}
inline Weight lb(const std::string& typed) {
    return parse_weight(typed, ScaleReads::lb).value();
}
inline Event weighed(int hour, const std::string& cylinder, const std::string& typed) {
    kinds::Weigh k;
    k.cylinder = cylinder;
    k.gross = lb(typed);
    return event_of(hour, k);
}
inline Event entry(EntryKind kind, const std::string& code, FieldValues values, bool adds = true) {
    return event_of(0, kinds::Entry{kind, code, adds, std::move(values)});
}
inline Event cylinder_entry(const std::string& code) {
    return entry(EntryKind::cylinder, code, {{"tare", {"17lb", lb("17lb").mass}}, {"refrigerant", {"R-22", {}}}});
}
/// How many events were judged for it.
inline int record(Book& book, std::vector<Event> drafts) {
    const CountingJudge judge;
    auto transaction = Book::Transaction::begin(book);
    const auto outcomes = transaction.judge(drafts, judge);
    transaction.commit(drafts, outcomes, judge);
    return judge.asked;
}
inline std::vector<std::string> problems_of(const Book& book) {
    return book.check(CountingJudge()).problems;
}

}  // namespace tarebook::test
