// Exceptions that no event has resolved.
#include <fmt/format.h>

#include <array>

#include "impl.hpp"
#include "voided_entries.hpp"

namespace tarebook {
namespace {

constexpr std::string_view open_rows =
    "f.severity > 0 AND NOT EXISTS (SELECT 1 FROM resolved r WHERE r.finding = f.name || '/' || f.subject AND r.about "
    "= f.event)";

Finding finding_from(const Answer& s, int first) {
    Finding f;
    f.severity = static_cast<Severity>(s.integer(first));
    f.check = s.text(first + 1);
    f.subject = s.text(first + 2);
    f.text = s.text(first + 3);
    f.seen = s.text(first + 4);
    f.expected = s.text(first + 5);
    f.next = s.text(first + 6);
    f.accepted = s.text(first + 7);
    return f;
}

// Columns: event, origin, seq, digest, those of finding_from, at, n.
std::string open_findings_where(std::string_view condition) {
    return fmt::format(
        "SELECT f.event, e.origin, e.seq, e.digest, f.severity, f.name, f.subject, f.text, f.seen, f.expected, f.next, "
        "f.accepted, e.at, f.n FROM finding f JOIN event e ON e.id = f.event WHERE {} AND {} ORDER BY e.at, e.origin, "
        "e.seq, f.n",
        condition, open_rows);
}
OpenFinding open_finding_from(const Book::Impl& book, const Answer& s) {
    OpenFinding f;
    f.event_id = s.integer(0);
    f.event = book.name_of(s.integer(1), s.integer(2), s.digest(3));
    f.finding = finding_from(s, 4);
    f.id = f.finding.check + "/" + f.finding.subject + "/" + f.event;
    return f;
}
// Columns: event, name, subject, n. From the index of exceptions, without their events.
Answer keys_of_open_rows(Db& db) {
    static const std::string sql =
        fmt::format("SELECT f.event, f.name, f.subject, f.n FROM finding f WHERE {}", open_rows);
    return db.ask(sql.c_str());
}

std::vector<OpenFinding> open_findings_from(const Book::Impl& book, Answer s) {
    std::vector<OpenFinding> out;
    while (s.next()) out.push_back(open_finding_from(book, s));
    return out;
}

OpenFinding entry_holds_gas(const VoidOfLastEntry& entry, const std::string& holds) {
    OpenFinding out;
    out.event_id = entry.by.id;
    out.event = entry.by.name;
    auto& f = out.finding;
    f.check = "entry-holds-gas";
    f.subject = entry.code;
    f.text = fmt::format("{} holds {}, and its entry was voided: without it the book has no tare and no limit of it",
                         entry.code, holds);
    f.seen = holds + " by the book";
    f.expected = "an entry for a cylinder that holds gas";
    f.next = fmt::format(
        "look at the cylinder; then tarebook cylinder add {0}, or where it is another one, correct what "
        "was recorded of {0} (tarebook report cylinder {0} lists it)",
        entry.code);
    out.id = f.check + "/" + f.subject + "/" + out.event;
    return out;
}

// Another book may void the entry of a cylinder without knowing of its gas. Such an exception has no row: the next
// event may put gas into the cylinder, take it out, or add the entry again.
std::vector<OpenFinding> entries_that_hold_gas(const Book& book, Book::Impl& impl, std::string_view subject) {
    std::vector<OpenFinding> out;
    for (const auto& entry : unexplained_voids_of_entries(impl)) {
        if (!subject.empty() && subject != entry.code) continue;
        const auto now = book.state(entry.code);
        if (now.gone || now.lost) continue;
        const Mass holds = now.gross && entry.tare ? *now.gross - *entry.tare : now.contents();
        if (holds > Mass()) out.push_back(entry_holds_gas(entry, mass_text(holds, book.info().units)));
    }
    return out;
}

}  // namespace

std::vector<OpenFinding> Book::open_findings(std::string_view subject) const {
    return guarded(*impl_, [&] {
        static const std::string sql = open_findings_where("(?1 = '' OR f.subject = ?1)");
        auto out = open_findings_from(*impl_, impl_->db.ask(sql.c_str(), subject));
        for (auto& f : entries_that_hold_gas(*this, *impl_, subject)) out.push_back(std::move(f));
        return out;
    });
}

std::vector<OpenFinding> Book::open_findings_on(std::string_view cylinder) const {
    return guarded(*impl_, [&] {
        // Starts at the few findings and goes to the step, because a history is long.
        static const std::string sql = open_findings_where(
            "EXISTS (SELECT 1 FROM step s WHERE s.cylinder = (SELECT id FROM account WHERE kind = 'cylinder' AND code "
            "= ?1) AND s.at = e.at AND s.origin = e.origin AND s.seq = e.seq)");
        return open_findings_from(*impl_, impl_->db.ask(sql.c_str(), cylinder));
    });
}

std::int64_t Book::number_of_open_findings() const {
    return guarded(*impl_, [&] {
        static const std::string sql = fmt::format("SELECT count(*) FROM finding f WHERE {}", open_rows);
        return impl_->db.integer(sql.c_str()).value_or(0) +
               static_cast<std::int64_t>(entries_that_hold_gas(*this, *impl_, {}).size());
    });
}

OpenFindingKeys Book::open_finding_keys() const {
    return guarded(*impl_, [&] {
        OpenFindingKeys out;
        for (auto s = keys_of_open_rows(impl_->db); s.next();) ++out[{s.integer(0), s.text(1), s.text(2)}];
        for (auto& f : entries_that_hold_gas(*this, *impl_, {}))
            ++out[{f.event_id, std::move(f.finding.check), std::move(f.finding.subject)}];
        return out;
    });
}

std::vector<OpenFinding> Book::open_findings_beyond(OpenFindingKeys known) const {
    return guarded(*impl_, [&] {
        const auto is_known = [&](std::int64_t event, std::string check, std::string subject) {
            const auto at = known.find({event, std::move(check), std::move(subject)});
            return at != known.end() && at->second-- > 0;
        };
        std::vector<std::pair<std::int64_t, std::int64_t>> rows;
        for (auto s = keys_of_open_rows(impl_->db); s.next();)
            if (!is_known(s.integer(0), s.text(1), s.text(2))) rows.emplace_back(s.integer(0), s.integer(3));
        static const std::string sql = open_findings_where("f.event = ?1 AND f.n = ?2");
        std::map<std::array<std::int64_t, 4>, OpenFinding> in_order;  // by at, origin, seq, n
        for (const auto& [event, n] : rows)
            for (auto s = impl_->db.ask(sql.c_str(), event, n); s.next();)
                in_order.emplace(std::array{s.integer(12), s.integer(1), s.integer(2), s.integer(13)},
                                 open_finding_from(*impl_, s));
        std::vector<OpenFinding> out;
        for (auto& [place, f] : in_order) out.push_back(std::move(f));
        for (auto& f : entries_that_hold_gas(*this, *impl_, {}))
            if (!is_known(f.event_id, f.finding.check, f.finding.subject)) out.push_back(std::move(f));
        return out;
    });
}

std::vector<Finding> Book::findings(const EventHandle& event) const {
    return guarded(*impl_, [&] {
        auto s = impl_->db.ask(
            "SELECT severity, name, subject, text, seen, expected, next, accepted FROM finding "
            "WHERE event = ? ORDER BY n",
            impl_->row_of(event));
        std::vector<Finding> out;
        while (s.next()) out.push_back(finding_from(s, 0));
        return out;
    });
}

}  // namespace tarebook
