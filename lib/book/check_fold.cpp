#include <sodium.h>

#include <algorithm>
#include <limits>

#include "balances.hpp"
#include "check.hpp"
#include "replay.hpp"
#include "snapshot.hpp"
#include "tarebook/units/word_list.hpp"
#include "to_judge.hpp"

namespace tarebook {
namespace {

// A sum of keyed 128-bit hashes, one a row: equal for the same rows, in any order.
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

void KnownTies::add(const Tied& statement, std::int64_t returned) {
    returned_.emplace(statement.row, returned);
    statements_.emplace(returned, statement);
}
void KnownTies::remove(std::int64_t statement) {
    const auto known = returned_.find(statement);
    if (known == returned_.end()) return;
    for (auto [it, end] = statements_.equal_range(known->second); it != end; ++it)
        if (it->second.row == statement) {
            statements_.erase(it);
            break;
        }
    returned_.erase(known);
}
std::optional<std::int64_t> KnownTies::returned_by(std::int64_t statement) const {
    const auto it = returned_.find(statement);
    return it == returned_.end() ? std::nullopt : std::optional(it->second);
}
std::vector<Tied> KnownTies::statements_on(std::int64_t returned) const {
    std::vector<Tied> out;
    for (auto [it, end] = statements_.equal_range(returned); it != end; ++it) out.push_back(it->second);
    return out;
}
std::set<std::array<std::int64_t, 5>> KnownTies::rows() const {
    std::set<std::array<std::int64_t, 5>> out;
    for (const auto& [returned, tied] : statements_)
        out.insert({tied.row, returned, tied.place.at, tied.place.origin, tied.place.seq});
    return out;
}

Foreknown foreknown(Book::Impl& book) {
    Foreknown known;
    known.reg.units = book.info.units;
    std::map<std::int64_t, std::int64_t> effective_to;
    if (!book.one_book()) effective_to = effective_origins(book);
    const auto is_effective = [&](const Answer& s, int origin, int seq) {
        if (effective_to.empty()) return true;
        const auto it = effective_to.find(s.integer(origin));
        return it != effective_to.end() && s.integer(seq) <= it->second;
    };
    const auto branch_of = [&](std::int64_t origin) {
        const auto it = book.origins.find(origin);
        return it == book.origins.end() ? std::uint16_t{0} : it->second.branch;
    };
    std::multimap<std::string, std::int64_t> voids;  // digest in hex of the event that they void, and the void's row
    std::multimap<std::string, Tied> statements;     // likewise for statements about returns
    {
        auto s = book.db.walk(
            "SELECT id, at, CASE WHEN kind IN ('entry', 'requalify', 'convert', 'filter-drier', 'void', 'settle', "
            "'resolve') THEN body END, "
            "origin, seq FROM event NOT INDEXED ORDER BY id");
        Place last{INT64_MIN, 0, 0};
        while (s.next()) {
            const Place place{s.integer(1), s.integer(3), s.integer(4)};
            if (place < last) known.rows_in_order = false;
            last = place;
            if (!is_effective(s, 3, 4)) {
                known.out_of_count.insert(s.integer(0));
                continue;
            }
            if (s.is_null(2)) continue;
            auto e = event_from_body(s.bytes(2));
            if (!e) continue;
            e->branch = branch_of(s.integer(3));
            const auto names = [&](std::string_view target) {
                if (const auto digest = digest_from_hex(target)) known.namings.emplace(*digest, s.integer(0));
            };
            if (const auto* v = std::get_if<kinds::Void>(&e->what))
                names(v->target), voids.emplace(v->target, s.integer(0));
            else if (const auto* k = std::get_if<kinds::Settle>(&e->what))
                names(k->target), statements.emplace(k->target, Tied{place, s.integer(0)});
            else if (const auto* r = std::get_if<kinds::Resolve>(&e->what))
                known.resolves[s.integer(0)] = {r->finding, s.integer(3)};
            else  // in any order: the register sorts them by time
                known.reg.apply(*e);
        }
    }
    if (!book.one_book()) each_snapshot_entry(book, [&](const Event& entry) { known.reg.apply(entry); });
    if (voids.empty() && statements.empty()) return known;
    auto s = book.db.walk("SELECT id, digest, kind, body, origin, seq FROM event NOT INDEXED ORDER BY id");
    while (s.next()) {
        if (s.bytes(1).size() != std::tuple_size_v<Digest> || s.bytes(2) == kinds::Void::name) continue;
        if (!is_effective(s, 4, 5)) continue;
        Digest digest;
        std::copy_n(s.bytes(1).data(), digest.size(), reinterpret_cast<char*>(digest.data()));
        const auto name = hex(digest);
        if (s.bytes(2) == kinds::Return::name)
            for (auto [it, end] = statements.equal_range(name); it != end; ++it)
                known.ties.add(it->second, s.integer(0));
        if (!voids.contains(name)) continue;
        known.out_of_count.insert(s.integer(0));
        for (auto [it, end] = voids.equal_range(name); it != end; ++it) known.voided.emplace(s.integer(0), it->second);
        if (auto e = event_from_body(s.bytes(3))) {
            e->branch = branch_of(s.integer(4));
            known.reg.retract(*e);
        }
    }
    for (const auto row : known.out_of_count) known.ties.remove(row);
    return known;
}

// In sums of rows: stands for "no day".
constexpr auto no_day = std::numeric_limits<std::int64_t>::min();

namespace {

// Accounts and lots by the numbers that the projection gave them. -1: the projection does not have it, so that no row
// that names it can be equal.
class Numbers {
 public:
    explicit Numbers(Book::Impl& book) {
        auto accounts = book.db.ask("SELECT id, kind, code FROM account");
        while (accounts.next())
            if (const auto kind = account_kind_from(accounts.bytes(1)))
                accounts_[static_cast<std::size_t>(*kind)].emplace(accounts.bytes(2), accounts.integer(0));
        auto lots = book.db.ask("SELECT id, refrigerant, owner, condition FROM lot");
        while (lots.next())
            if (const auto condition = condition_from(lots.bytes(3)))
                lots_.emplace(LotKey{std::string(lots.bytes(1)), std::string(lots.bytes(2)), *condition},
                              lots.integer(0));
    }
    [[nodiscard]] std::int64_t of(const Account& account) const {
        const auto& codes = accounts_[static_cast<std::size_t>(account.kind)];
        const auto it = codes.find(account.code);
        return it == codes.end() ? -1 : it->second;
    }
    [[nodiscard]] std::int64_t of(const LotKey& lot) const {
        const auto it = lots_.find(lot);
        return it == lots_.end() ? -1 : it->second;
    }

 private:
    std::array<ByCode<std::int64_t>, account_kinds> accounts_;
    std::unordered_map<LotKey, std::int64_t, LotHash> lots_;
};

// A state as the checks before edition 15 left it, which knew nothing of identifiers.
std::string without_identifier(std::string_view state) try {
    auto known = unpacked(state);
    known.identified.reset();
    return packed(known);
} catch (const BrokenPromise&) {
    return std::string(state);  // damaged: it is equal to no state
}
void add_step(RowSum& sum, const std::array<std::int64_t, 7>& numbers, std::string_view state) {
    sum.begin();
    for (const auto v : numbers) sum.add(v);
    sum.add(state);
    sum.end();
}

// Sums up what the fold gives.
class CompareSink : public Sink {
 public:
    /// `identifiers`: the book's states say what an identifier showed.
    CompareSink(const Numbers& numbers, bool identifiers) : numbers_(numbers), identifiers_(identifiers) {}
    std::int64_t account_id(const Account& account) override { return numbers_.of(account); }
    std::int64_t lot_id(const LotKey& lot) override { return numbers_.of(lot); }

    bool postings(std::int64_t event, std::span<const Posting> what, std::span<const PostingRow> rows, Rows) override {
        std::int64_t n = 0;
        for (const auto& row : rows) {
            refrigerants[what[static_cast<std::size_t>(n)].lot.refrigerant] += Mass::from_count(row.mass);
            balances.add(row.account, row.lot, Mass::from_count(row.mass));
            postings_.begin();
            for (const auto v : {event, n++, row.account, row.lot, row.mass, row.circuit_day.value_or(no_day)})
                postings_.add(v);
            postings_.end();
        }
        return true;
    }
    void step(const StepRow& row, std::string_view, Rows) override {
        add_step(steps, {row.account, row.place.at, row.place.origin, row.place.seq, row.event, row.moved, row.gap},
                 identifiers_ ? row.state : without_identifier(row.state));
    }
    void no_step(std::int64_t, const Place&) override {}
    void findings(std::int64_t event, const std::vector<Finding>& found, Rows) override {
        std::int64_t n = 0;
        for (const auto& f : found) {
            if (f.severity == Severity::note) continue;
            findings_.begin();
            findings_.add(event), findings_.add(n), findings_.add(static_cast<std::int64_t>(f.severity));
            for (const std::string_view text : {f.check, f.subject, f.accepted}) findings_.add(text);
            findings_.end();
            // A later program may word a finding in another way; what the check found may not differ.
            words.begin();
            words.add(event), words.add(n++);
            for (const std::string_view text : {f.text, f.seen, f.expected, f.next}) words.add(text);
            words.end();
        }
    }
    void current_state(std::int64_t account, std::string_view cylinder, const CylinderState* state) override {
        if (!state) return;
        auto bytes = packed(*state);
        current_states.emplace(account, std::pair(cylinder, identifiers_ ? bytes : without_identifier(bytes)));
    }
    void finish() override {}

    RowSum postings_, steps, findings_, words;
    Balances balances;
    ByCode<MassTotal> refrigerants;
    std::map<std::int64_t, std::pair<std::string, std::string>> current_states;

 private:
    const Numbers& numbers_;
    const bool identifiers_;
};

// The slow way: compares each event with its rows.
class NamingSink : public Sink {
 public:
    NamingSink(Book::Impl& book, const Numbers& numbers, Problems problems, bool identifiers)
        : book_(book), numbers_(numbers), problems_(problems), identifiers_(identifiers) {}
    std::int64_t account_id(const Account& account) override { return numbers_.of(account); }
    std::int64_t lot_id(const LotKey& lot) override { return numbers_.of(lot); }

    bool postings(std::int64_t event, std::span<const Posting>, std::span<const PostingRow> rows, Rows) override {
        bool same = true;
        std::size_t n = 0;
        for (auto p = book_.db.ask("SELECT account, lot, mass, n, circuit_day FROM posting WHERE event = ? ORDER BY n",
                                   event);
             same && p.next(); ++n)
            same = n < rows.size() && p.integer(0) == rows[n].account && p.integer(1) == rows[n].lot &&
                   p.integer(2) == rows[n].mass && p.integer(3) == static_cast<std::int64_t>(n) &&
                   (p.is_null(4) ? no_day : p.integer(4)) == rows[n].circuit_day.value_or(no_day);
        if (!same || n != rows.size())
            problems_.add("event {}: its postings are not what the fold gives", book_.name_of_row(event));
        return true;
    }
    void step(const StepRow& row, std::string_view cylinder, Rows) override {
        auto s = book_.db.ask(
            "SELECT state, moved, gap, event FROM step WHERE cylinder = ? AND at = ? AND origin = ? AND seq = ?",
            row.account, row.place.at, row.place.origin, row.place.seq);
        const bool there = s.next();
        const bool same = there && (identifiers_ ? s.bytes(0) == row.state
                                                 : without_identifier(s.bytes(0)) == without_identifier(row.state));
        if (!same || s.integer(1) != row.moved || s.integer(2) != row.gap || s.integer(3) != row.event)
            problems_.add("event {}: the state kept for {} is not what the fold gives", book_.name_of_row(row.event),
                          cylinder);
    }
    void no_step(std::int64_t, const Place&) override {}
    void findings(std::int64_t event, const std::vector<Finding>& found, Rows) override {
        std::vector<std::array<std::string, 3>> want, got;
        for (const auto& f : found)
            if (f.severity != Severity::note) want.push_back({f.check, f.subject, f.accepted});
        for (auto f = book_.db.ask("SELECT name, subject, accepted FROM finding WHERE event = ? ORDER BY n", event);
             f.next();)
            got.push_back({f.text(0), f.text(1), f.text(2)});
        if (got != want && book_.info.checks_edition == checks_edition)
            problems_.add("event {}: its exceptions are not what the checks give (kept {}, found {})",
                          book_.name_of_row(event), listed(got), listed(want));
    }
    void current_state(std::int64_t, std::string_view, const CylinderState*) override {}
    void finish() override {}

 private:
    static std::string listed(const std::vector<std::array<std::string, 3>>& findings) {
        std::string out;
        for (const auto& f : findings) add_word(out, f[0] + "/" + f[1]);
        return out.empty() ? "none" : out;
    }
    Book::Impl& book_;
    const Numbers& numbers_;
    Problems problems_;
    const bool identifiers_;
};

// By the edition of the checks that wrote a book's states.
bool states_know_identifiers(const Book::Impl& book) {
    return book.info.checks_edition >= 15;
}

}  // namespace

struct FoldCheck::Work {
    Work(Book::Impl& b, const Evaluator& e, Problems p, std::vector<std::string>& r, Foreknown k)
        : book(b),
          evaluator(e),
          problems(p),
          remarks(r),
          known(std::move(k)),
          numbers(b),
          sums(numbers, states_know_identifiers(b)),
          replay(b, e, known.reg, known.ties, sums, Replay::From::nothing) {}

    void each_in_order(Replay& into) {
        auto s = book.db.walk("SELECT id, body, origin FROM event ORDER BY at, origin, seq");
        while (s.next()) {
            const auto id = s.integer(0);
            if (known.out_of_count.contains(id)) continue;
            auto e = event_from_body(s.bytes(1));
            if (!e) continue;
            if (const auto it = book.origins.find(s.integer(2)); it != book.origins.end())
                e->branch = it->second.branch;
            into.pass(id, *e);
        }
    }

    void compare() {
        if (const auto how_far = being_judged_anew(book))
            remarks.push_back(how_far->text() + "; what the events amount to was not compared. Next: tarebook refold");
        else
            compare_what_was_judged();
        compare_ineffective();
        compare_statements();
        compare_namings();
        compare_resolved();
        compare_register();
    }

    void compare_what_was_judged() {
        bool same_rows = true;
        auto rows = [&](const char* table, const RowSum& stored, const RowSum& wanted) {
            if (stored.rows() != wanted.rows())
                problems.add("the table {} has {} rows, the fold gives {}", table, stored.rows(), wanted.rows());
            same_rows = same_rows && stored == wanted;
        };
        RowSum stored;
        for (auto s = book.db.walk("SELECT event, n, account, lot, mass, circuit_day FROM posting"); s.next();) {
            stored.begin();
            for (int c = 0; c < 5; ++c) stored.add(s.integer(c));
            stored.add(s.is_null(5) ? no_day : s.integer(5));
            stored.end();
        }
        rows("posting", stored, sums.postings_);
        stored = {};
        for (auto s = book.db.walk("SELECT cylinder, at, origin, seq, event, moved, gap, state FROM step"); s.next();) {
            std::array<std::int64_t, 7> numbers_of_step{};
            for (int c = 0; c < 7; ++c) numbers_of_step[static_cast<std::size_t>(c)] = s.integer(c);
            if (states_know_identifiers(book))
                add_step(stored, numbers_of_step, s.bytes(7));
            else
                add_step(stored, numbers_of_step, without_identifier(s.bytes(7)));
        }
        rows("step", stored, sums.steps);
        stored = {};
        RowSum stored_words;
        for (auto s = book.db.ask(
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
            rows("finding", stored, sums.findings_);
        else if (!(stored == sums.findings_))
            remarks.push_back(
                fmt::format("exceptions were found by edition {} of the checks, this program has edition {}, and finds "
                            "others: tarebook check --rebuild judges all events anew",
                            book.info.checks_edition, checks_edition));
        if (same_rows && same_edition && !(stored_words == sums.words))
            remarks.emplace_back(
                "exceptions are kept in other words than this program's, as one of another edition wrote them: "
                "tarebook "
                "check --rebuild words them anew");
        compare_current_states();
        if (const auto before = problems.size(); !same_rows) {
            name_the_events();
            if (problems.size() == before)
                problems.add("the rows of posting, step or finding are not what the fold gives");
        }
        compare_balances();
    }

    void compare_current_states() {
        auto& codes = sums.current_states;
        for (auto s = book.db.ask("SELECT cylinder, state FROM current_state"); s.next();) {
            const auto it = codes.find(s.integer(0));
            if (it == codes.end()) {
                problems.add("account {} is listed as a cylinder, and no event touched it", s.integer(0));
                continue;
            }
            const auto kept = states_know_identifiers(book) ? std::string(s.bytes(1)) : without_identifier(s.bytes(1));
            if (kept != it->second.second)
                problems.add("the current state of {} is not what the fold gives", it->second.first);
            codes.erase(it);
        }
        for (const auto& [id, stands] : codes) problems.add("the current state of {} is missing", stands.first);
    }

    void compare_balances() {
        for (const auto& [refrigerant, sum] : sums.refrigerants)
            if (!sum.is_zero()) problems.add("the accounts of {} do not sum to zero", refrigerant);
        auto s = book.db.ask(
            "SELECT b.account, b.lot, b.mass, a.kind, a.code, b.postings FROM balance b JOIN account a ON a.id = "
            "b.account");
        while (s.next()) {
            auto& sum = sums.balances.at(s.integer(0), s.integer(1));
            sum.mass -= Mass::from_count(s.integer(2));
            sum.postings -= s.integer(5);
            if (!sum.is_nothing())
                problems.add("the balance of {} {} is not what the fold gives", s.bytes(3), s.bytes(4));
            sum = {};
        }
        sums.balances.each([&](std::int64_t account, std::int64_t, const Balances::Sum& sum) {
            if (!sum.is_nothing()) problems.add("a balance of account {} is missing", account);
        });
    }

    void compare_ineffective() {
        std::set<std::int64_t> stored;
        bool by_those = true;
        for (auto s = book.db.ask("SELECT event, by FROM ineffective"); s.next();) {
            stored.insert(s.integer(0));
            const auto [first, end] = known.voided.equal_range(s.integer(0));
            by_those = by_those && (first == end ? s.integer(1) == 0 : std::any_of(first, end, [&](const auto& v) {
                           return v.second == s.integer(1);
                       }));
        }
        if (stored != known.out_of_count || !by_those)
            problems.add("the list of voided events is not what the voids say");
    }

    void compare_statements() {
        std::set<std::array<std::int64_t, 5>> stored;
        for (auto s = book.db.ask("SELECT event, returned, at, origin, seq FROM settlement"); s.next();)
            stored.insert({s.integer(0), s.integer(1), s.integer(2), s.integer(3), s.integer(4)});
        if (stored != known.ties.rows()) problems.add("the list of statements is not what the events say");
    }

    void compare_namings() {
        std::set<std::pair<Digest, std::int64_t>> stored;
        for (auto s = book.db.ask("SELECT digest, event FROM naming"); s.next();)
            stored.emplace(digest_from(s.bytes(0)), s.integer(1));
        if (stored != known.namings) problems.add("the list of what voids and statements name is not what they say");
    }

    // A resolution may be kept under the words of its event, where the event of its finding came in later.
    void compare_resolved() {
        auto missing = known.resolves;
        for (const auto row : known.out_of_count) missing.erase(row);
        const auto counting = missing;
        bool same = true;
        for (auto s = book.db.ask("SELECT finding, about, event FROM resolved"); s.next();) {
            const auto it = counting.find(s.integer(2));
            if (it == counting.end()) {
                same = false;
                continue;
            }
            const auto& [said, origin] = it->second;
            const auto name = resolved_name(book, said, origin);
            same = same && ((s.bytes(0) == name.finding && s.integer(1) == name.about) ||
                            (s.bytes(0) == said && s.integer(1) == 0));
            missing.erase(s.integer(2));
        }
        if (!same || !missing.empty()) problems.add("the list of resolved exceptions is not what the events say");
    }

    void compare_register() {
        std::int64_t entries = 0;
        for (auto s = book.db.ask("SELECT kind, code FROM entry"); s.next(); ++entries) {
            const auto kind = entry_kind_from(s.bytes(0));
            const auto* expected = kind ? known.reg.find(*kind, s.bytes(1)) : nullptr;
            const auto* stored = kind ? book.reg.find(*kind, s.bytes(1)) : nullptr;
            if (!expected || !stored || !same(*expected, *stored))
                problems.add("the register entry {} is not what the events say", s.bytes(1));
            if (entries % 256 == 0) book.reg.forget();  // keeps one register in memory, not two
        }
        if (entries != static_cast<std::int64_t>(known.reg.size()))
            problems.add("the register has {} entries, the events give {}", entries, known.reg.size());
    }

    void name_the_events() {
        NamingSink sink(book, numbers, problems, states_know_identifiers(book));
        Replay slow(book, evaluator, known.reg, known.ties, sink, Replay::From::nothing);
        each_in_order(slow);
    }

    Book::Impl& book;
    const Evaluator& evaluator;
    Problems problems;
    std::vector<std::string>& remarks;
    Foreknown known;
    const Numbers numbers;
    CompareSink sums;
    Replay replay;
};

FoldCheck::FoldCheck(Book::Impl& book, const Evaluator& evaluator, Problems problems, std::vector<std::string>& remarks,
                     Foreknown known)
    : work_(std::make_unique<Work>(book, evaluator, problems, remarks, std::move(known))) {}
FoldCheck::~FoldCheck() = default;

bool FoldCheck::rows_in_order() const {
    return work_->known.rows_in_order;
}
void FoldCheck::take(std::int64_t id, Event& event, const std::string& name) {
    if (!work_->known.out_of_count.contains(id)) work_->replay.pass(id, event, name);
}
void FoldCheck::take_all() {
    work_->each_in_order(work_->replay);
}
void FoldCheck::finish() {
    work_->replay.finish();
    work_->compare();
}

}  // namespace tarebook
