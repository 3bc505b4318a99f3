#include <sodium.h>

#include <limits>

#include "balances.hpp"
#include "check.hpp"
#include "scan.hpp"
#include "snapshot.hpp"
#include "touches.hpp"

namespace tarebook {
namespace {

// A sum of keyed 128-bit hashes, one a row: equal where the same rows are there, in whatever order they come.
class RowSum {
 public:
    void begin() { row_.clear(); }
    void add(std::int64_t value) { row_.append(reinterpret_cast<const char*>(&value), sizeof value); }
    void add(std::string_view bytes) {
        add(static_cast<std::int64_t>(bytes.size()));
        row_ += bytes;
    }
    void end() {
        static const auto key = [] {
            std::array<unsigned char, crypto_shorthash_siphashx24_KEYBYTES> k{};
            randombytes_buf(k.data(), k.size());
            return k;
        }();
        std::array<std::uint64_t, 2> hash{};
        static_assert(sizeof hash == crypto_shorthash_siphashx24_BYTES);
        crypto_shorthash_siphashx24(reinterpret_cast<unsigned char*>(hash.data()),
                                    reinterpret_cast<const unsigned char*>(row_.data()), row_.size(), key.data());
        low_ += hash[0];
        high_ += hash[1];
        ++rows_;
    }
    [[nodiscard]] std::int64_t rows() const { return rows_; }
    friend bool operator==(const RowSum& a, const RowSum& b) {
        return a.low_ == b.low_ && a.high_ == b.high_ && a.rows_ == b.rows_;
    }

 private:
    std::string row_;
    std::uint64_t low_ = 0;
    std::uint64_t high_ = 0;
    std::int64_t rows_ = 0;
};

bool same(const Entry& a, const Entry& b) {
    if (a.fields().size() != b.fields().size()) return false;
    for (const auto& [name, list] : a.fields()) {
        const auto it = b.fields().find(name);
        if (it == b.fields().end() || it->second.size() != list.size()) return false;
        for (std::size_t i = 0; i < list.size(); ++i)
            if (list[i].from != it->second[i].from || !(list[i].value == it->second[i].value)) return false;
    }
    return true;
}

}  // namespace

Foreknown foreknown(Book::Impl& book) {
    Foreknown known;
    std::map<std::int64_t, std::int64_t> counted_to;
    if (!book.one_book()) counted_to = counted_origins(book);
    const auto counts = [&](const Scan& s, int origin, int seq) {
        if (counted_to.empty()) return true;
        const auto it = counted_to.find(s.integer(origin));
        return it != counted_to.end() && s.integer(seq) <= it->second;
    };
    const auto branch_of = [&](std::int64_t origin) {
        const auto it = book.origins.find(origin);
        return it == book.origins.end() ? std::uint16_t{0} : it->second.branch;
    };
    std::multimap<std::string, std::int64_t> voids;       // digest in hex of what they void, and the void's row
    std::multimap<std::string, std::int64_t> statements;  // likewise of returns
    {
        Scan s(book.db,
               "SELECT rowid, at, CASE WHEN kind IN ('entry', 'requalify', 'convert', 'void', 'settle') THEN body END, "
               "origin, seq FROM event NOT INDEXED ORDER BY rowid");
        std::tuple<std::int64_t, std::int64_t, std::int64_t> last{INT64_MIN, 0, 0};
        while (s.next()) {
            const std::tuple place(s.integer(1), s.integer(3), s.integer(4));
            if (place < last) known.rows_in_order = false;
            last = place;
            if (!counts(s, 3, 4)) {
                known.out_of_count.insert(s.integer(0));
                continue;
            }
            if (s.is_null(2)) continue;
            auto e = event_from_body(s.bytes(2));
            if (!e) continue;
            e->branch = branch_of(s.integer(3));
            // in whatever order they come: the register sorts them by time
            if (const auto* v = std::get_if<kinds::Void>(&e->what))
                voids.emplace(v->target, s.integer(0));
            else if (const auto* k = std::get_if<kinds::Settle>(&e->what))
                statements.emplace(k->target, s.integer(0));
            else
                known.reg.apply(*e);
        }
    }
    if (!book.one_book()) each_snapshot_entry(book, [&](const Event& entry) { known.reg.apply(entry); });
    if (voids.empty() && statements.empty()) return known;
    Scan s(book.db, "SELECT rowid, digest, kind, body, origin, seq FROM event NOT INDEXED ORDER BY rowid");
    while (s.next()) {
        if (s.bytes(1).size() != std::tuple_size_v<Digest> || s.bytes(2) == kinds::Void::name) continue;
        if (!counts(s, 4, 5)) continue;
        Digest digest;
        std::copy_n(s.bytes(1).data(), digest.size(), reinterpret_cast<char*>(digest.data()));
        const auto name = hex(digest);
        if (s.bytes(2) == kinds::Return::name)
            for (auto [it, end] = statements.equal_range(name); it != end; ++it)
                known.returned.emplace(it->second, s.integer(0));
        if (!voids.contains(name)) continue;
        known.out_of_count.insert(s.integer(0));
        if (auto e = event_from_body(s.bytes(3))) {
            e->branch = branch_of(s.integer(4));
            known.reg.take_out(*e);
            if (const auto* entry = added_cylinder(*e))
                for (auto [it, end] = voids.equal_range(name); it != end; ++it)
                    known.voided_cylinders.emplace(it->second, *entry);
        }
    }
    return known;
}

// In sums of rows: what stands for no day.
constexpr auto no_day = std::numeric_limits<std::int64_t>::min();

struct FoldCheck::Sums {
    Sums(Book::Impl& b, const Evaluator& e, Problems p, std::vector<std::string>& r, Foreknown k)
        : book(b), evaluator(e), problems(p), remarks(r), known(std::move(k)) {
        Scan accounts(book.db, "SELECT id, kind, code FROM account");
        while (accounts.next())
            if (const auto kind = account_kind_from(accounts.bytes(1)))
                account_ids[static_cast<std::size_t>(*kind)].emplace(accounts.bytes(2), accounts.integer(0));
        Scan lots(book.db, "SELECT id, refrigerant, owner, condition FROM lot");
        while (lots.next())
            if (const auto condition = condition_from(lots.bytes(3)))
                lot_ids.emplace(LotKey{std::string(lots.bytes(1)), std::string(lots.bytes(2)), *condition},
                                lots.integer(0));
    }

    // -1: the projection does not have it, so that the sums cannot be equal.
    [[nodiscard]] std::int64_t account(AccountKind kind, std::string_view code) const {
        const auto& codes = account_ids[static_cast<std::size_t>(kind)];
        const auto it = codes.find(code);
        return it == codes.end() ? -1 : it->second;
    }
    [[nodiscard]] std::int64_t lot(const LotKey& key) const {
        const auto it = lot_ids.find(key);
        return it == lot_ids.end() ? -1 : it->second;
    }

    CylinderState& state(const std::string& code) {
        auto& kept = states[code];
        if (!kept) kept = std::make_unique<CylinderState>();
        return *kept;
    }

    Outcome evaluate(std::int64_t id, const Event& e, const std::string& name) {
        States before;
        const bool statement = std::holds_alternative<kinds::Settle>(e.what);
        if (const auto it = statement ? known.returned.find(id) : known.returned.end(); it != known.returned.end())
            if (const auto there = sent.find(it->second); there != sent.end()) {
                before.sent = there->second;
                there->second.settled = true;
            }
        for (const auto& code : cylinders_of(e)) {
            if (!book.one_book()) add_touches(before, code, touches[code], e.order(), {});
            before.emplace(code, std::move(state(code)));
        }
        if (!book.one_book()) before.fork = fork_at(book, e);
        if (const auto it = known.voided_cylinders.find(id); it != known.voided_cylinders.end()) {
            const auto kept = states.find(it->second.code);
            before.without_entry = {it->second.code, facts_said_by(it->second),
                                    kept == states.end() ? CylinderState{} : *kept->second};
        }
        auto outcome = evaluator.evaluate(e, before, known.reg);
        for (auto& [code, was] : before) state(code) = std::move(was);
        if (!book.one_book())
            for (const auto& effect : outcome.effects)
                keep_touch(touches[effect.cylinder],
                           {touch_of(e, effect.cylinder, effect.moved, effect.gap, effect.after.contents(), name), 0});
        if (const auto* k = std::get_if<kinds::Return>(&e.what); k && !known.returned.empty())
            keep_sent(id, e, *k, outcome);
        return outcome;
    }
    void keep_sent(std::int64_t id, const Event& e, const kinds::Return& k, const Outcome& outcome) {
        std::map<LotKey, MassTotal> sums;
        for (const auto& p : outcome.postings)
            if (p.account.kind == AccountKind::reclaimer) sums[p.lot] += p.mass;
        Sent kept{e.order(), k.cylinder, k.to, {}, false};
        for (const auto& [key, sum] : sums)
            if (!sum.is_zero()) kept.lots.push_back({key, sum.value()});
        sent.insert_or_assign(id, std::move(kept));
    }

    void take(std::int64_t id, const Event& e, const std::string& name) {
        if (known.out_of_count.contains(id)) return;
        auto outcome = evaluate(id, e, name);
        if (const auto it = known.returned.find(id); it != known.returned.end())
            statements.insert({id, it->second, seconds_of(e.when.at), origin_of(e.order()), e.seq});
        std::int64_t n = 0;
        for (const auto& p : outcome.postings) {
            const auto a = account(p.account.kind, p.account.code);
            const auto l = lot(p.lot);
            postings.begin();
            for (const auto v : {id, n++, a, l, p.mass.count(), circuit_day(p, e).value_or(no_day)}) postings.add(v);
            postings.end();
            balances.at(a, l) += p.mass;
            refrigerants[p.lot.refrigerant] += p.mass;
        }
        const auto origin = origin_of(e.order());
        for (auto& effect : outcome.effects) {
            steps.begin();
            for (const auto v : {account(AccountKind::cylinder, effect.cylinder), seconds_of(e.when.at), origin, e.seq,
                                 id, effect.moved.count(), effect.gap.count()})
                steps.add(v);
            steps.add(packed(effect.after));
            steps.end();
            state(effect.cylinder) = std::move(effect.after);
        }
        n = 0;
        for (const auto& f : outcome.findings) {
            if (f.severity == Severity::note) continue;
            findings.begin();
            findings.add(id), findings.add(n), findings.add(static_cast<std::int64_t>(f.severity));
            for (const std::string_view text : {f.check, f.subject, f.accepted}) findings.add(text);
            findings.end();
            // what a check says may be worded anew by a later program; what it found may not
            words.begin();
            words.add(id), words.add(n++);
            for (const std::string_view text : {f.text, f.seen, f.expected, f.next}) words.add(text);
            words.end();
        }
    }

    void compare() {
        bool same_rows = true;
        auto rows = [&](const char* table, const RowSum& stored, const RowSum& wanted) {
            if (stored.rows() != wanted.rows())
                problems.add("the table {} has {} rows, the fold gives {}", table, stored.rows(), wanted.rows());
            same_rows = same_rows && stored == wanted;
        };
        RowSum stored;
        for (Scan s(book.db, "SELECT event, n, account, lot, mass, circuit_day FROM posting"); s.next();) {
            stored.begin();
            for (int c = 0; c < 5; ++c) stored.add(s.integer(c));
            stored.add(s.is_null(5) ? no_day : s.integer(5));
            stored.end();
        }
        rows("posting", stored, postings);
        stored = {};
        for (Scan s(book.db, "SELECT cylinder, at, origin, seq, event, moved, gap, state FROM step"); s.next();) {
            stored.begin();
            for (int c = 0; c < 7; ++c) stored.add(s.integer(c));
            stored.add(s.bytes(7));
            stored.end();
        }
        rows("step", stored, steps);
        stored = {};
        RowSum stored_words;
        for (Scan s(book.db,
                    "SELECT event, n, severity, name, subject, accepted, text, seen, expected, next FROM finding");
             s.next();) {
            stored.begin();
            for (int c = 0; c < 3; ++c) stored.add(s.integer(c));
            for (int c = 3; c < 6; ++c) stored.add(s.bytes(c));
            stored.end();
            stored_words.begin();
            for (int c = 0; c < 2; ++c) stored_words.add(s.integer(c));
            for (int c = 6; c < 10; ++c) stored_words.add(s.bytes(c));
            stored_words.end();
        }
        const bool same_edition = book.info.checks_edition == checks_edition;
        if (same_edition)
            rows("finding", stored, findings);
        else if (!(stored == findings))
            remarks.push_back(
                fmt::format("exceptions were found by edition {} of the checks, this program has edition {}, and finds "
                            "others: tarebook check --rebuild judges all events anew",
                            book.info.checks_edition, checks_edition));
        if (same_rows && same_edition && !(stored_words == words))
            remarks.emplace_back(
                "exceptions are kept in other words than this program's, as one of another edition wrote them: "
                "tarebook "
                "check --rebuild words them anew");
        compare_standings();
        if (!same_rows) name_the_events();
        compare_balances();
        compare_uncounted();
        compare_statements();
        compare_register();
    }

    void compare_standings() {
        std::map<std::int64_t, std::string_view> codes;
        for (const auto& [code, state] : states) codes.emplace(account(AccountKind::cylinder, code), code);
        for (Scan s(book.db, "SELECT cylinder, state FROM standing"); s.next();) {
            const auto it = codes.find(s.integer(0));
            if (it == codes.end()) {
                problems.add("account {} stands as a cylinder, and no event touched it", s.integer(0));
                continue;
            }
            if (s.bytes(1) != packed(state(std::string(it->second))))
                problems.add("the state in which {} stands is not what the fold gives", it->second);
            codes.erase(it);
        }
        for (const auto& [id, code] : codes) problems.add("the state in which {} stands is missing", code);
    }

    void compare_balances() {
        for (const auto& [refrigerant, sum] : refrigerants)
            if (!sum.is_zero()) problems.add("the accounts of {} do not sum to zero", refrigerant);
        Scan s(
            book.db,
            "SELECT b.account, b.lot, b.mass, a.kind, a.code FROM balance b JOIN account a ON a.id = b.account WHERE "
            "b.mass <> 0");
        while (s.next()) {
            auto& sum = balances.at(s.integer(0), s.integer(1));
            sum -= Mass::from_count(s.integer(2));
            if (!sum.is_zero()) problems.add("the balance of {} {} is not what the fold gives", s.bytes(3), s.bytes(4));
            sum = {};
        }
        balances.each([&](std::int64_t account, std::int64_t, const MassTotal& sum) {
            if (!sum.is_zero()) problems.add("a balance of account {} is missing", account);
        });
    }

    void compare_uncounted() {
        std::set<std::int64_t> stored;
        for (Scan s(book.db, "SELECT event FROM uncounted"); s.next();) stored.insert(s.integer(0));
        if (stored != known.out_of_count) problems.add("the list of voided events is not what the voids say");
    }

    void compare_statements() {
        std::set<std::array<std::int64_t, 5>> stored;
        for (Scan s(book.db, "SELECT event, returned, at, origin, seq FROM settlement"); s.next();)
            stored.insert({s.integer(0), s.integer(1), s.integer(2), s.integer(3), s.integer(4)});
        if (stored != statements) problems.add("the list of statements is not what the events say");
    }

    void compare_register() {
        std::int64_t entries = 0;
        for (Scan s(book.db, "SELECT kind, code FROM entry"); s.next(); ++entries) {
            const auto kind = entry_kind_from(s.bytes(0));
            const auto* expected = kind ? known.reg.find(*kind, s.bytes(1)) : nullptr;
            const auto* stored = kind ? book.reg.find(*kind, s.bytes(1)) : nullptr;
            if (!expected || !stored || !same(*expected, *stored))
                problems.add("the register entry {} is not what the events say", s.bytes(1));
            if (entries % 256 == 0) book.reg.forget();  // a register need not be in memory twice
        }
        if (entries != static_cast<std::int64_t>(known.reg.size()))
            problems.add("the register has {} entries, the events give {}", entries, known.reg.size());
    }

    // The slow way: each event against its rows.
    void name_the_events() {
        states.clear();
        touches.clear();
        sent.clear();
        Scan s(book.db, "SELECT rowid, body, origin FROM event ORDER BY at, origin, seq");
        while (s.next()) {
            const auto id = s.integer(0);
            if (known.out_of_count.contains(id)) continue;
            auto e = event_from_body(s.bytes(1));
            if (!e) continue;
            if (const auto it = book.origins.find(s.integer(2)); it != book.origins.end())
                e->branch = it->second.branch;
            auto outcome = evaluate(id, *e, book.name_of_row(id));
            name_the_event(id, *e, outcome);
            for (auto& effect : outcome.effects) state(effect.cylinder) = std::move(effect.after);
        }
    }
    void name_the_event(std::int64_t id, const Event& e, const Outcome& outcome) {
        const auto name = book.name_of_row(id);
        bool same_postings = true;
        std::size_t n = 0;
        for (Scan p = rows_of("SELECT account, lot, mass, n, circuit_day FROM posting WHERE event = ? ORDER BY n", id);
             p.next();) {
            same_postings = same_postings && n < outcome.postings.size();
            if (!same_postings) break;
            const auto& want = outcome.postings[n];
            same_postings = p.integer(0) == account(want.account.kind, want.account.code) &&
                            p.integer(1) == lot(want.lot) && p.integer(2) == want.mass.count() &&
                            p.integer(3) == static_cast<std::int64_t>(n) &&
                            (p.is_null(4) ? no_day : p.integer(4)) == circuit_day(want, e).value_or(no_day);
            ++n;
        }
        if (!same_postings || n != outcome.postings.size())
            problems.add("event {}: its postings are not what the fold gives", name);
        for (const auto& effect : outcome.effects) {
            auto step = rows_of(
                "SELECT state, moved, gap, event FROM step WHERE cylinder = ? AND at = ? AND origin = ? "
                "AND seq = ?",
                account(AccountKind::cylinder, effect.cylinder));
            step.with(2, seconds_of(e.when.at)).with(3, origin_of(e.order())).with(4, e.seq);
            const bool holds = step.next() && step.bytes(0) == packed(effect.after) &&
                               step.integer(1) == effect.moved.count() && step.integer(2) == effect.gap.count() &&
                               step.integer(3) == id;
            if (!holds)
                problems.add("event {}: the state kept for {} is not what the fold gives", name, effect.cylinder);
        }
        std::vector<std::array<std::string, 3>> want, got;
        for (const auto& f : outcome.findings)
            if (f.severity != Severity::note) want.push_back({f.check, f.subject, f.accepted});
        for (Scan f = rows_of("SELECT name, subject, accepted FROM finding WHERE event = ? ORDER BY n", id); f.next();)
            got.push_back({std::string(f.bytes(0)), std::string(f.bytes(1)), std::string(f.bytes(2))});
        if (got != want && book.info.checks_edition == checks_edition)
            problems.add("event {}: its exceptions are not what the checks give (kept {}, found {})", name, listed(got),
                         listed(want));
    }
    static std::string listed(const std::vector<std::array<std::string, 3>>& findings) {
        std::string out;
        for (const auto& f : findings) out += (out.empty() ? "" : ", ") + f[0] + "/" + f[1];
        return out.empty() ? "none" : out;
    }
    Scan rows_of(std::string_view sql, std::int64_t first) const {
        Scan s(book.db, sql);
        s.with(1, first);
        return s;
    }

    Book::Impl& book;
    const Evaluator& evaluator;
    Problems problems;
    std::vector<std::string>& remarks;
    Foreknown known;
    std::array<ByCode<std::int64_t>, account_kinds> account_ids;
    std::unordered_map<LotKey, std::int64_t, LotHash> lot_ids;
    ByCode<std::unique_ptr<CylinderState>> states;  // apart, so that what is searched lies close together
    std::map<std::string, Touches, std::less<>> touches;
    std::map<std::int64_t, Sent> sent;  // by row of the return: those that came by so far
    std::set<std::array<std::int64_t, 5>> statements;
    RowSum postings, steps, findings, words;
    Balances balances;
    ByCode<MassTotal> refrigerants;
};

FoldCheck::FoldCheck(Book::Impl& book, const Evaluator& evaluator, Problems problems, std::vector<std::string>& remarks,
                     Foreknown known)
    : sums_(std::make_unique<Sums>(book, evaluator, problems, remarks, std::move(known))) {}
FoldCheck::~FoldCheck() = default;

bool FoldCheck::rows_in_order() const {
    return sums_->known.rows_in_order;
}
void FoldCheck::take(std::int64_t id, const Event& event, const std::string& name) {
    sums_->take(id, event, name);
}
void FoldCheck::take_all() {
    Scan s(sums_->book.db, "SELECT rowid, body, origin FROM event ORDER BY at, origin, seq");
    while (s.next())
        if (auto e = event_from_body(s.bytes(1))) {
            const auto it = sums_->book.origins.find(s.integer(2));
            if (it != sums_->book.origins.end()) e->branch = it->second.branch;
            take(s.integer(0), *e, sums_->book.one_book() ? std::string() : sums_->book.name_of_row(s.integer(0)));
        }
}
void FoldCheck::finish() {
    sums_->compare();
}

}  // namespace tarebook
