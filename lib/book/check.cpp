// `tarebook check`: trusts only the bodies. I1 (zero sums), I3 and I4 (digests, chain, signed heads) and I5 (the fold
// again, against every projection) are verified here and in check_fold.cpp.
#include "check.hpp"

#include "check_schema.hpp"
#include "people.hpp"

#include <algorithm>
#include <set>
#include <utility>

#include "quarantine.hpp"

namespace tarebook {

std::string printable(std::string_view text) {
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

void only_damage(const DbError& e) {
    switch (e.fault()) {
        // A file that is shorter than its pages say is damaged; a disk that did not answer is not.
        case DbFault::disk:
        case DbFault::no_index:
        case DbFault::held:
        case DbFault::no_memory:
        case DbFault::cannot_open:
        case DbFault::full:
        case DbFault::interrupted:
        case DbFault::read_only:
        case DbFault::no_permission:
        case DbFault::collided:
        case DbFault::lost:
            throw e;
        default:
            return;
    }
}

namespace {

constexpr std::size_t batch_size = 512;
constexpr std::string_view row_columns = "id, origin, seq, at, day, kind, job, own_id, digest, body";
constexpr std::array column_names = {"id", "origin", "seq", "at", "day", "kind", "job", "own_id", "digest", "body"};

std::string_view bytes_of_digest(const Digest& digest) {
    return {reinterpret_cast<const char*>(digest.data()), digest.size()};
}

class Checker {
 public:
    Checker(Book::Impl& book, const Evaluator& evaluator)
        : book_(book), evaluator_(evaluator), problems_(out_.problems), fold_problems_(fold_out_) {}

    BookCheck run() {
        IntegrityCheck integrity(book_);
        for (const auto& problem : book_.origin_problems) problems_.add("{}", problem);
        prepare_fold();
        read_rows();
        no_head_left();
        others_.finish();
        if (out_.problems.empty()) finish_fold();  // projections of damaged bodies would only repeat the same problems
        check_quarantine();
        names_of_people();
        check_signing_key(book_, problems_, out_.remarks);
        check_info(book_, problems_, out_.remarks);
        check_schema(book_, problems_, out_.remarks);
        integrity.finish(problems_);
        return std::move(out_);
    }

 private:
    // Runs `f`. What the fold throws at a damaged book is a problem of the book; a disk that does not answer is none.
    template <class F>
    bool recomputed(F&& part, const std::string& where = {}) {
        const auto cannot = [&](const std::exception& e) {
            fold_problems_.add("{}the balances cannot be recomputed ({})", where, e.what());
            return false;
        };
        try {
            part();
            return true;
        } catch (const DbError& e) {
            only_damage(e);  // damage: the rows are read one by one, and the bad one is named
            return cannot(e);
        } catch (const StorageError& e) {
            if (e.disk()) throw;
            return cannot(e);
        } catch (const std::exception& e) {
            return cannot(e);
        }
    }

    // Quarantine counts for nothing, but what `trust` would take in must be what came.
    void check_quarantine() {
        try {
            std::set<BookId> books;
            for (const auto& one : waiting(book_)) books.insert(one.book);
            for (const auto& id : books)
                for (const auto& one : waiting(book_, id))
                    if (!holds(one))
                        problems_.add("quarantine, row {}: its lines or its head are not those that came", one.id);
            for (auto room = book_.db.walk("SELECT id, bytes, lines FROM quarantine"); room.next();)
                if (room.integer(1) != quarantine_row_bytes + static_cast<std::int64_t>(room.bytes(2).size()))
                    problems_.add("quarantine, row {}: it does not take the room that it says", room.integer(0));
        } catch (const DbError& e) {
            only_damage(e);
            problems_.add("quarantine cannot be read ({})", e.what());
        } catch (const StorageError& e) {
            if (e.disk()) throw;
            problems_.add("quarantine cannot be read ({})", e.what());
        }
    }

    void names_of_people() {
        try {
            check_people(book_, problems_);
        } catch (const DbError& e) {
            only_damage(e);
            problems_.add("the names of people cannot be read ({})", e.what());
        } catch (const StorageError& e) {
            if (e.disk()) throw;
            problems_.add("the names of people cannot be read ({})", e.what());
        }
    }

    void prepare_fold() {
        recomputed([&] {
            fold_.emplace(book_, evaluator_, fold_problems_, out_.remarks, foreknown(book_));
            in_order_ = fold_->rows_in_order();
        });
    }

    void finish_fold() {
        fold_batch();
        if (still_folding())
            recomputed([&] {
                if (!fold_->rows_in_order()) fold_->take_all();
                fold_->finish();
            });
        out_.problems = std::move(fold_out_);
    }

    void read_rows() {
        open_heads();
        std::int64_t next = 1;
        try {
            const auto all = fmt::format("SELECT {} FROM event NOT INDEXED ORDER BY id", row_columns);
            auto s = book_.db.on_server() ? book_.db.walk(all.c_str()) : book_.db.ask_once(all);
            while (s.next()) {
                const auto id = s.integer(0);
                // A desk's events have numbers of their own (schema/office/0002).
                if (id / event_ids_of_a_desk != (next - 1) / event_ids_of_a_desk) next = id;
                if (id != next) problems_.add("event E{}: its row has number {}, expected {}", next, id, next);
                check_row(s, next);
                next = std::max(next, id) + 1;
            }
        } catch (const DbError& e) {
            only_damage(e);
            problems_.add("event E{}: its row cannot be read ({})", next, e.what());
            unreadable(next);
            read_rest_one_by_one(next + 1);
        }
    }
    void read_rest_one_by_one(std::int64_t from) {
        for (std::int64_t id = from, misses = 0; misses < 100; ++id) {
            try {
                auto s = book_.db.ask_once(fmt::format("SELECT {} FROM event WHERE id = ?", row_columns));
                s.with(id);
                if (s.next()) {
                    check_row(s, id);
                    misses = 0;
                } else {
                    ++misses;
                }
            } catch (const DbError& e) {
                only_damage(e);
                problems_.add("event E{}: its row cannot be read ({})", id, e.what());
                unreadable(id);
                ++misses;
            }
        }
    }

    // Checks one row of `event`, before it relies on any column.
    void check_row(const Answer& row, std::int64_t position) {
        ++out_.events;
        const auto name = book_.one_book() ? event_name(position)
                                           : book_.name_of(row.integer(1), row.integer(2), digest_from(row.bytes(8)));
        const auto typed = [&](int n, bool good) {  // a changed type can leave the bytes as they were
            if (!good)
                problems_.add("event {}: the column {} is of another type", name,
                              column_names[static_cast<std::size_t>(n)]);
        };
        for (const int n : {1, 2, 3, 4}) typed(n, row.type(n) == ColumnType::integer);
        for (const int n : {5, 9}) typed(n, row.type(n) == ColumnType::text);
        for (const int n : {6, 7}) typed(n, row.type(n) == ColumnType::text || row.is_null(n));
        typed(8, row.type(8) == ColumnType::bytes);
        const auto body = row.bytes(9);
        const auto digest = digest_of(body);
        if (row.bytes(8) != bytes_of_digest(digest))
            problems_.add("event {}: the digest is not that of its body", name);
        auto decoded = event_from_body(body);
        if (!decoded) {
            problems_.add("event {}: its body cannot be read ({})", name, decoded.error().seen);
            unreadable(position);
            previous_ = digest;
            return;
        }
        const auto& e = *decoded;
        auto column = [&](const char* what, bool same) {
            if (!same) problems_.add("event {}: the column {} is not what its body says", name, what);
        };
        const auto text = [&](int n, const std::optional<std::string>& said) {
            return row.is_null(n) ? !said : said && *said == row.bytes(n);
        };
        column("seq", row.integer(2) == e.seq);
        column("at", row.integer(3) == seconds_of(e.when.at));
        column("day", row.integer(4) == e.when.date().time_since_epoch().count());
        column("kind", row.bytes(5) == e.kind());
        column("job", text(6, e.job));
        column("own_id", text(7, e.own_id));
        const auto origin = book_.origins.find(row.integer(1));
        column("origin", origin != book_.origins.end() && origin->second.book == e.book);
        if (origin != book_.origins.end()) decoded->branch = origin->second.branch;
        const bool own = book_.is_own(row.integer(1), e.seq);
        if (!own) {
            others_.take(row.integer(1), e.seq, book_.name_of(row.integer(1), e.seq, digest), digest, e.previous);
            unknown_kind(e, name);
            if (in_order_ && out_.problems.empty()) to_fold(row.integer(0), std::move(*decoded), name);
            return;
        }
        if (e.seq != last_seq_ + 1)
            problems_.add("event {}: sequence {} follows {} in the chain", name, e.seq, last_seq_);
        if (e.previous != previous_) problems_.add("event {}: it does not follow the event before it (chain)", name);
        unknown_kind(e, name);
        last_seq_ = e.seq;
        previous_ = digest;
        heads_up_to(e.seq, digest);
        if (in_order_ && out_.problems.empty()) to_fold(row.integer(0), std::move(*decoded), name);
    }
    struct ReadRow {
        std::int64_t id = 0;
        Event event;
        std::string name;  // only where there are several books
    };
    void to_fold(std::int64_t id, Event&& event, const std::string& name) {
        batch_.push_back({id, std::move(event), book_.one_book() ? std::string() : name});
        if (batch_.size() == batch_size) fold_batch();
    }
    void unknown_kind(const Event& e, const std::string& name) {
        if (const auto* unknown = std::get_if<kinds::Unknown>(&e.what); unknown && out_.remarks.size() < 1000)
            out_.remarks.push_back(fmt::format("event {}: kind \"{}\" is not known to this program: kept, not counted",
                                               name, unknown->kind));
    }

    // In a large book the fold of one batch runs while the next is read, hashed and decoded. Precondition: until
    // still_folding() has waited, only that fold uses `fold_` and what it refers to.
    void fold_batch() {
        if (batch_.empty() || !still_folding()) return batch_.clear();
        folding_ = std::async(
            large_ ? std::launch::async : std::launch::deferred, [this, batch = std::exchange(batch_, {})]() mutable {
                return std::all_of(batch.begin(), batch.end(), [&](auto& row) {
                    return recomputed([&] { fold_->take(row.id, row.event, row.name); },
                                      "event " + (row.name.empty() ? event_name(row.event.seq) : row.name) + ": ");
                });
            });
    }
    bool still_folding() {
        if (folding_.valid() && !folding_.get()) fold_.reset();
        return fold_.has_value();
    }

    // Reads the heads in the order of the chain, beside the events.
    void open_heads() {
        try {
            auto counted = book_.db.ask_once("SELECT count(*) FROM head WHERE " + book_.own_path_sql());
            const auto count = counted.next() ? counted.integer(0) : 0;
            // Each head covers all events up to it: the signatures of the last ten thousand are verified, the digests
            // of all.
            constexpr std::int64_t most_signatures = 10'000;
            unverified_ = std::max<std::int64_t>(0, count - most_signatures);
            if (unverified_ > 0)
                out_.remarks.push_back(
                    fmt::format("{} heads: the signatures of the last {} were verified, of the others the digests",
                                count, most_signatures));
            heads_.emplace(book_.db.ask_once(
                fmt::format("SELECT seq, digest, signature FROM head WHERE {} ORDER BY seq", book_.own_path_sql())));
            head_there_ = heads_->next();
        } catch (const DbError& e) {
            no_heads(e);
        }
    }
    void no_heads(const DbError& e) {
        only_damage(e);
        problems_.add("the heads cannot be read ({})", e.what());
        heads_.reset();
        head_there_ = false;
    }
    void heads_up_to(std::int64_t seq, const Digest& digest) {
        while (head_there_ && heads_->integer(0) <= seq) {
            const auto at = heads_->integer(0);
            if (at < seq)
                problems_.add("head {}: there is no such event", at);
            else if (heads_->bytes(1) != bytes_of_digest(digest))
                problems_.add("event E{}: the head signed for it has another digest", at);
            else if (unverified_ <= 0 &&
                     !head_signature_holds(book_.info.public_key, book_.info.id, at, digest, heads_->bytes(2)))
                problems_.add("event E{}: the signature of its head does not hold", at);
            --unverified_;
            last_head_ = at;
            next_head();
        }
    }
    // An unreadable event that a head covers is there: it is reported once, and neither its head nor the number of the
    // event after it is a second problem.
    void unreadable(std::int64_t seq) {
        if (!head_there_) return;
        last_seq_ = std::max(last_seq_, seq);
        while (head_there_ && heads_->integer(0) <= seq) {
            last_head_ = heads_->integer(0);
            --unverified_;
            next_head();
        }
    }
    void next_head() {
        try {
            head_there_ = heads_->next();
        } catch (const DbError& e) {
            no_heads(e);
        }
    }
    void no_head_left() {
        if (head_there_) {
            problems_.add("event E{}: missing at the end, the last signed head covers it", last_seq_ + 1);
            while (head_there_) {
                last_head_ = heads_->integer(0);
                problems_.add("head {}: there is no such event", last_head_);
                next_head();
            }
        } else if (heads_ && last_head_ != last_seq_) {
            problems_.add("event E{}: no signed head covers it", last_seq_);
        }
    }

    Book::Impl& book_;
    const Evaluator& evaluator_;
    BookCheck out_;
    std::vector<std::string> fold_out_;
    Problems problems_, fold_problems_;
    std::optional<FoldCheck> fold_;
    const bool large_ = large_book(book_);
    bool in_order_ = false;
    std::vector<ReadRow> batch_;
    OthersCheck others_{book_, problems_, out_.remarks};
    std::optional<Answer> heads_;
    bool head_there_ = false;
    std::int64_t unverified_ = 0;
    std::int64_t last_head_ = 0;
    std::int64_t last_seq_ = 0;
    Digest previous_{};
    std::future<bool> folding_;  // last member: destroyed first, which ends the thread
};

}  // namespace

BookCheck Book::check(const Evaluator& evaluator) const {
    return guarded(*impl_, [&] { return Checker(*impl_, evaluator).run(); });
}

}  // namespace tarebook
