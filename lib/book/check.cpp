// `tarebook check`: believes nothing but the bodies. I1 (zero sums), I3 and I4 (digests, chain, signed heads) and I5
// (the fold again, against every projection) are verified here.
#include <fmt/format.h>
#include <sqlite3.h>

#include <set>

#include "impl.hpp"

namespace tarebook {
namespace {

// One row of `event` as it lies there, before anything in it is believed.
struct Row {
    std::int64_t id = 0, origin = 0, seq = 0, at = 0, day = 0;
    std::string kind, digest, body, wrong_type;
    std::optional<std::string> job, own_id;
};

constexpr const char* row_columns = "rowid, origin, seq, at, day, kind, job, own_id, digest, body";

std::string bytes_text(const SQLite::Column& c) {
    return {static_cast<const char*>(c.getBlob()), static_cast<std::size_t>(c.getBytes())};
}

Row row_from(SQLite::Statement& s) {
    Row r;
    r.id = s.getColumn(0).getInt64();
    r.origin = s.getColumn(1).getInt64();
    r.seq = s.getColumn(2).getInt64();
    r.at = s.getColumn(3).getInt64();
    r.day = s.getColumn(4).getInt64();
    // a flipped type can leave the bytes as they were
    const auto typed = [&](int n, bool good) {
        if (!good && r.wrong_type.empty()) r.wrong_type = s.getColumnName(n);
    };
    for (int n = 1; n <= 4; ++n) typed(n, s.getColumn(n).isInteger());
    for (const int n : {5, 9}) typed(n, s.getColumn(n).isText());
    for (const int n : {6, 7}) typed(n, s.getColumn(n).isText() || s.getColumn(n).isNull());
    typed(8, s.getColumn(8).isBlob());
    r.kind = bytes_text(s.getColumn(5));
    if (!s.getColumn(6).isNull()) r.job = bytes_text(s.getColumn(6));
    if (!s.getColumn(7).isNull()) r.own_id = bytes_text(s.getColumn(7));
    r.digest = bytes_text(s.getColumn(8));
    r.body = bytes_text(s.getColumn(9));
    return r;
}

// A damaged file can put any bytes into a message; a page can show only some.
std::string printable(const std::string& text) {
    std::string out;
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if (byte >= 0x20 && byte < 0x7f)
            out += c;
        else
            out += fmt::format("\\x{:02x}", byte);
    }
    return out;
}

class Checker {
 public:
    Checker(Book::Impl& book, const Evaluator& evaluator) : book_(book), evaluator_(evaluator) {}

    BookCheck run() {
        read_rows();
        check_heads();
        if (out_.problems.empty()) check_fold();  // projections of damaged bodies would only repeat the same news
        integrity();
        return std::move(out_);
    }

 private:
    template <class... A>
    void problem(fmt::format_string<A...> format, A&&... args) {
        if (out_.problems.size() < 1000)
            out_.problems.push_back(printable(fmt::format(format, std::forward<A>(args)...)));
    }

    void read_rows() {
        std::int64_t next = 1;
        try {
            SQLite::Statement s(book_.db.raw(),
                                fmt::format("SELECT {} FROM event NOT INDEXED ORDER BY rowid", row_columns));
            while (s.executeStep()) {
                const auto row = row_from(s);
                if (row.id != next) problem("event E{}: its row has number {}, expected {}", next, row.id, next);
                check_row(row, next);
                next = std::max(next, row.id) + 1;
            }
        } catch (const std::exception& e) {
            problem("event E{}: its row cannot be read ({})", next, e.what());
            read_rest_one_by_one(next + 1);
        }
        std::int64_t recorded = 0;
        try {
            recorded = book_.db.raw().execAndGet("SELECT coalesce(max(seq), 0) FROM head").getInt64();
        } catch (const SQLite::Exception& e) {
            problem("the heads cannot be read ({})", e.what());
        }
        if (last_seq_ < recorded)
            problem("event E{}: missing at the end, the last signed head covers it", last_seq_ + 1);
    }
    void read_rest_one_by_one(std::int64_t from) {
        for (std::int64_t id = from, misses = 0; misses < 100; ++id) {
            try {
                SQLite::Statement s(book_.db.raw(), fmt::format("SELECT {} FROM event WHERE rowid = ?", row_columns));
                s.bind(1, id);
                if (s.executeStep()) {
                    check_row(row_from(s), id);
                    misses = 0;
                } else {
                    ++misses;
                }
            } catch (const std::exception& e) {
                problem("event E{}: its row cannot be read ({})", id, e.what());
                ++misses;
            }
        }
    }

    void check_row(const Row& row, std::int64_t position) {
        ++out_.events;
        const auto name = event_name(position);
        if (!row.wrong_type.empty()) problem("event {}: the column {} is of another type", name, row.wrong_type);
        const auto digest = digest_of(row.body);
        const std::string_view digest_bytes(reinterpret_cast<const char*>(digest.data()), digest.size());
        if (row.digest != digest_bytes) problem("event {}: the digest is not that of its body", name);
        auto decoded = event_from_body(row.body);
        if (!decoded) {
            problem("event {}: its body cannot be read ({})", name, decoded.error().seen);
            last_seq_ = std::max(last_seq_, position);
            previous_ = digest;
            return;
        }
        const auto& e = *decoded;
        auto column = [&](const char* what, bool same) {
            if (!same) problem("event {}: the column {} is not what its body says", name, what);
        };
        column("seq", row.seq == e.seq);
        column("at", row.at == seconds_of(e.when.at));
        column("day", row.day == e.when.date().time_since_epoch().count());
        column("kind", row.kind == e.kind());
        column("job", row.job == e.job);
        column("own_id", row.own_id == e.own_id);
        const auto origin = book_.origins.find(row.origin);
        column("origin", origin != book_.origins.end() && origin->second == e.book);
        if (canonical_body(e) != row.body) problem("event {}: its body is not in canonical form", name);
        if (e.seq != last_seq_ + 1) problem("event {}: sequence {} follows {} in the chain", name, e.seq, last_seq_);
        if (e.previous != previous_) problem("event {}: it does not follow the event before it (chain)", name);
        if (const auto* unknown = std::get_if<kinds::Unknown>(&e.what))
            out_.remarks.push_back(fmt::format("event {}: kind \"{}\" is not known to this program: kept, not counted",
                                               name, unknown->kind));
        if (const auto* v = std::get_if<kinds::Void>(&e.what)) voids_.push_back({v->target, row.id});
        ids_[hex(digest)] = {row.id, std::holds_alternative<kinds::Void>(e.what)};
        last_seq_ = e.seq;
        previous_ = digest;
        digests_[e.seq] = digest;
    }

    void check_heads() {
        try {
            SQLite::Statement s(book_.db.raw(),
                                "SELECT seq, digest, signature FROM head WHERE origin = ? ORDER BY seq");
            s.bind(1, book_.own_origin);
            std::int64_t last = 0;
            while (s.executeStep()) {
                last = s.getColumn(0).getInt64();
                const auto digest = digests_.find(last);
                if (digest == digests_.end()) {
                    problem("head {}: there is no such event", last);
                    continue;
                }
                if (bytes_text(s.getColumn(1)) !=
                    std::string_view(reinterpret_cast<const char*>(digest->second.data()), digest->second.size()))
                    problem("event E{}: the head signed for it has another digest", last);
                else if (!head_signature_holds(book_.info, last, digest->second, bytes_text(s.getColumn(2))))
                    problem("event E{}: the signature of its head does not hold", last);
            }
            if (last != last_seq_) problem("event E{}: no signed head covers it", last_seq_);
        } catch (const std::exception& e) {
            problem("the heads cannot be read ({})", e.what());
        }
    }

    // The fold from the bodies alone, against every projection.
    void check_fold() {
        try {
            std::set<std::int64_t> out_of_count;
            for (const auto& [target, by] : voids_) {
                const auto it = ids_.find(target);
                if (it != ids_.end() && !it->second.second) out_of_count.insert(it->second.first);
            }
            SQLite::Statement u(book_.db.raw(), "SELECT event FROM uncounted");
            std::set<std::int64_t> stored_out;
            while (u.executeStep()) stored_out.insert(u.getColumn(0).getInt64());
            if (stored_out != out_of_count) problem("the list of voided events is not what the voids say");

            RegisterInMemory reg;
            each(out_of_count, [&](std::int64_t, const Event& e) { reg.apply(e); });
            std::map<std::string, CylinderState> states;
            std::map<std::pair<Account, LotKey>, MassTotal> balances;
            std::int64_t postings = 0;
            std::int64_t steps = 0;
            std::int64_t findings = 0;
            each(out_of_count, [&](std::int64_t id, const Event& e) {
                States before;
                for (const auto& code : cylinders_of(e)) before[code] = states[code];
                const auto outcome = evaluator_.evaluate(e, before, reg);
                compare(id, e, outcome, steps, findings);
                for (const auto& p : outcome.postings) {
                    balances[{p.account, p.lot}] += p.mass;
                    ++postings;
                }
                for (const auto& effect : outcome.effects) states[effect.cylinder] = effect.after;
            });
            counted_rows("posting", postings);
            counted_rows("step", steps);
            counted_rows("finding", findings);
            check_balances(balances);
            check_register(reg);
        } catch (const std::exception& e) {
            problem("the balances cannot be recomputed ({})", e.what());
        }
    }

    template <class F>
    void each(const std::set<std::int64_t>& left_out, F&& visit) {
        SQLite::Statement s(book_.db.raw(), "SELECT rowid, body FROM event ORDER BY at, origin, seq");
        while (s.executeStep()) {
            const auto id = s.getColumn(0).getInt64();
            if (left_out.contains(id)) continue;
            const auto e = event_from_body(bytes_text(s.getColumn(1)));
            if (e) visit(id, *e);
        }
    }

    void compare(std::int64_t id, const Event& e, const Outcome& outcome, std::int64_t& steps, std::int64_t& findings) {
        const auto name = event_name(e.seq);
        auto& p = bound(
            book_.db.statement("SELECT a.kind, a.code, l.refrigerant, l.owner, l.condition, p.mass FROM posting p "
                               "JOIN account a ON a.id = p.account JOIN lot l ON l.id = p.lot WHERE p.event = ? "
                               "ORDER BY p.n"),
            id);
        std::size_t n = 0;
        bool same = true;
        while (p.executeStep() && same) {
            same = n < outcome.postings.size();
            if (!same) break;
            const auto& want = outcome.postings[n++];
            same = p.getColumn(0).getString() == text_of(want.account.kind) &&
                   p.getColumn(1).getString() == want.account.code &&
                   p.getColumn(2).getString() == want.lot.refrigerant && p.getColumn(3).getString() == want.lot.owner &&
                   p.getColumn(4).getString() == text_of(want.lot.condition) &&
                   p.getColumn(5).getInt64() == want.mass.count();
        }
        p.reset();
        if (!same || n != outcome.postings.size()) problem("event {}: its postings are not what the fold gives", name);
        for (const auto& effect : outcome.effects) {
            ++steps;
            auto& s = bound(
                book_.db.statement("SELECT state, moved, gap FROM step WHERE event = ?1 AND cylinder = (SELECT id "
                                   "FROM account WHERE kind = 'cylinder' AND code = ?2) AND at = ?3"),
                id, effect.cylinder, seconds_of(e.when.at));
            const bool holds = s.executeStep() && bytes_text(s.getColumn(0)) == packed(effect.after) &&
                               s.getColumn(1).getInt64() == effect.moved.count() &&
                               s.getColumn(2).getInt64() == effect.gap.count();
            s.reset();
            if (!holds) problem("event {}: the state kept for {} is not what the fold gives", name, effect.cylinder);
        }
        std::vector<std::string> want;
        for (const auto& f : outcome.findings)
            if (f.severity != Severity::note)
                want.push_back(f.check + "\n" + f.subject + "\n" + f.text + "\n" + f.accepted);
        findings += static_cast<std::int64_t>(want.size());
        auto& f = bound(
            book_.db.statement("SELECT name, subject, text, accepted FROM finding WHERE event = ? ORDER BY n"), id);
        std::vector<std::string> got;
        while (f.executeStep())
            got.push_back(f.getColumn(0).getString() + "\n" + f.getColumn(1).getString() + "\n" +
                          f.getColumn(2).getString() + "\n" + f.getColumn(3).getString());
        f.reset();
        if (got != want) problem("event {}: its exceptions are not what the checks give", name);
    }

    void counted_rows(const char* table, std::int64_t expected) {
        const auto n = book_.db.raw().execAndGet(fmt::format("SELECT count(*) FROM {}", table)).getInt64();
        if (n != expected) problem("the table {} has {} rows, the fold gives {}", table, n, expected);
    }

    void check_balances(const std::map<std::pair<Account, LotKey>, MassTotal>& want) {
        std::map<std::string, MassTotal> sums;
        for (const auto& [key, sum] : want) sums[key.second.refrigerant] += sum.value();
        for (const auto& [refrigerant, sum] : sums)
            if (!sum.is_zero()) problem("the accounts of {} do not sum to zero", refrigerant);
        std::map<std::pair<Account, LotKey>, Mass> left;
        for (const auto& [key, sum] : want)
            if (!sum.is_zero()) left[key] = sum.value();
        SQLite::Statement s(
            book_.db.raw(),
            "SELECT a.kind, a.code, l.refrigerant, l.owner, l.condition, b.mass FROM balance b JOIN account a "
            "ON a.id = b.account JOIN lot l ON l.id = b.lot WHERE b.mass <> 0");
        while (s.executeStep()) {
            const auto kind = account_kind_from(s.getColumn(0).getString());
            const auto condition = condition_from(s.getColumn(4).getString());
            const auto code = s.getColumn(1).getString();
            if (!kind || !condition) {
                problem("a balance of {} has a word this program does not know", code);
                continue;
            }
            const auto it =
                left.find({{*kind, code}, {s.getColumn(2).getString(), s.getColumn(3).getString(), *condition}});
            if (it == left.end() || it->second.count() != s.getColumn(5).getInt64())
                problem("the balance of {} {} is not what the fold gives", text_of(*kind), code);
            if (it != left.end()) left.erase(it);
        }
        for (const auto& [key, mass] : left)
            problem("the balance of {} {} is missing", text_of(key.first.kind), key.first.code);
    }

    void check_register(const RegisterInMemory& want) {
        SQLite::Statement s(book_.db.raw(), "SELECT kind, code FROM entry");
        std::int64_t entries = 0;
        while (s.executeStep()) {
            ++entries;
            const auto kind = entry_kind_from(s.getColumn(0).getString());
            const auto code = s.getColumn(1).getString();
            const auto* expected = kind ? want.find(*kind, code) : nullptr;
            const auto* stored = kind ? book_.reg.find(*kind, code) : nullptr;
            if (!expected || !stored || !same(*expected, *stored))
                problem("the register entry {} is not what the events say", code);
        }
        const auto expected = want.size();
        if (entries != static_cast<std::int64_t>(expected))
            problem("the register has {} entries, the events give {}", entries, expected);
    }
    static bool same(const Entry& a, const Entry& b) {
        if (a.fields().size() != b.fields().size()) return false;
        for (const auto& [name, list] : a.fields()) {
            const auto it = b.fields().find(name);
            if (it == b.fields().end() || it->second.size() != list.size()) return false;
            for (std::size_t i = 0; i < list.size(); ++i)
                if (list[i].from != it->second[i].from || !(list[i].value == it->second[i].value)) return false;
        }
        return true;
    }

    void integrity() {
        try {
            SQLite::Statement s(book_.db.raw(), "PRAGMA integrity_check");
            while (s.executeStep()) {
                const auto text = s.getColumn(0).getString();
                if (text != "ok") problem("SQLite: {}", text);
            }
        } catch (const SQLite::Exception& e) {
            problem("SQLite: {}", e.what());
        }
    }

    Book::Impl& book_;
    const Evaluator& evaluator_;
    BookCheck out_;
    std::int64_t last_seq_ = 0;
    Digest previous_{};
    std::map<std::int64_t, Digest> digests_;
    std::vector<std::pair<std::string, std::int64_t>> voids_;
    std::map<std::string, std::pair<std::int64_t, bool>> ids_;
};

}  // namespace

BookCheck Book::check(const Evaluator& evaluator) const {
    return Checker(*impl_, evaluator).run();
}

}  // namespace tarebook
