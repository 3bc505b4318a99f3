#include "tarebook/book/salvage.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <set>
#include <unordered_map>

#include "book_file.hpp"
#include "impl.hpp"
#include "journal.hpp"
#include "sqlite_engine.hpp"
#include "tarebook/book/server_address.hpp"

namespace tarebook {
namespace {

// Reads what one connection can read of a damaged file.
class RowReader {
 public:
    explicit RowReader(Db& db) : db_(db) {
        // Precondition of salvage: the damaged file stays as it is.
        leave_log_on_close(db_, true);
    }

    void run() {
        attempt("the book's own words", [&] { read_info(); });
        attempt("the signing key", [&] {
            for (auto s = db_.ask("SELECT secret_key FROM secret"); s.next();) out_.secret_key = s.bytes(0);
        });
        attempt("the names of people", [&] {
            if (!db_.any("SELECT 1 FROM sqlite_schema WHERE name = 'person'")) return;  // of an older schema
            for (auto s = db_.ask("SELECT code, salt, name FROM person WHERE name IS NOT NULL ORDER BY code");
                 s.next();)
                if (PersonName one{s.text(0), s.text(1), s.text(2)}; person_code(one.salt, one.name) == one.code)
                    out_.people.push_back(std::move(one));
        });
        read_events();
        heads_whole_ = attempt("the signed heads", [&] {
            for (auto s = db_.ask("SELECT seq, digest, signature, origin FROM head"); s.next();)
                heads_.push_back({s.integer(0), digest_from(s.bytes(1)), std::string(s.bytes(2)), s.integer(3) >> 16});
        });
    }

    // Adds what another connection read. Of rows that neither could read, keeps the report of the one that read more.
    void add(RowReader&& other) {
        std::set<Digest> here;
        for (const auto& e : out_.events) here.insert(e.digest);
        for (auto& e : other.out_.events) {
            if (!other.doubtful_.contains(e.digest)) doubtful_.erase(e.digest);
            if (here.contains(e.digest)) continue;
            if (other.doubtful_.contains(e.digest)) doubtful_.insert(e.digest);
            out_.events.push_back(std::move(e));
        }
        for (auto& head : other.heads_)
            if (std::find(heads_.begin(), heads_.end(), head) == heads_.end()) heads_.push_back(std::move(head));
        heads_whole_ = heads_whole_ || other.heads_whole_;
        if (out_.book == BookId{}) out_.book = other.out_.book, out_.shop = other.out_.shop;
        if (out_.public_key.empty()) out_.public_key = other.out_.public_key;
        if (out_.people.size() < other.out_.people.size()) out_.people = std::move(other.out_.people);
        if (out_.secret_key.empty()) out_.secret_key = other.out_.secret_key;
        if (other.out_.unreadable < out_.unreadable || (out_.events.empty() && out_.unreadable == 0)) {
            out_.unreadable = other.out_.unreadable;
            out_.told = std::move(other.out_.told);
        }
    }

    SalvagedRows rows(const std::filesystem::path& file) {
        find_heads();
        leave_out_altered();
        if (!heads_whole_) heads_among_bytes(file);
        std::sort(out_.events.begin(), out_.events.end(), [](const SalvagedEvent& a, const SalvagedEvent& b) {
            return std::tie(a.book, a.seq, a.digest) < std::tie(b.book, b.seq, b.digest);
        });
        return std::move(out_);
    }

 private:
    struct HeadRow {
        std::int64_t seq = 0;
        Digest digest{};
        std::string signature;
        std::int64_t book = 0;  ///< the first bits of its id
        bool operator==(const HeadRow&) const = default;
    };
    template <class F>
    bool attempt(const std::string& what, F&& f) {
        try {
            f();
            return true;
        } catch (const DbError& e) {
            out_.told.push_back(fmt::format("{} cannot be read: {}", what, e.what()));
        } catch (const StorageError& e) {
            out_.told.push_back(fmt::format("{} cannot be read: {}", what, e.what()));
        }
        return false;
    }

    void read_info() {
        for (auto s = db_.ask("SELECT name, value FROM book"); s.next();) {
            const auto name = s.bytes(0);
            if (name == "id") out_.book = book_id_from_hex(s.bytes(1)).value_or(BookId{});
            if (name == "shop") out_.shop = book_id_from_hex(s.bytes(1)).value_or(BookId{});
            if (name == "public_key") out_.public_key = s.bytes(1);
        }
        if (out_.shop == BookId{}) out_.shop = out_.book;
    }

    // The last row that should be there, by the table itself or by a head that the book signed. The book's own events
    // are numbered without a gap, so that there are at least as many rows; the number of another book's event tells
    // nothing of rows.
    std::int64_t last_row() {
        std::int64_t last = 0;
        attempt("the number of events", [&] {
            for (auto s = db_.ask("SELECT max(rowid) FROM event"); s.next();) last = s.integer(0);
        });
        attempt("the number of events that heads name", [&] {
            auto s = db_.ask("SELECT seq, digest, signature FROM head WHERE origin >> 16 = ? ORDER BY seq DESC");
            for (s.with(origin_id(out_.book) >> 16); s.next();)
                if (head_signature_holds(out_.public_key, out_.book, s.integer(0), digest_from(s.bytes(1)),
                                         s.bytes(2))) {
                    last = std::max(last, s.integer(0));
                    break;
                }
        });
        // A bound for a damaged row number: each event takes more bytes than this.
        constexpr std::int64_t fewest_bytes = 100;
        attempt("the size of the file", [&] {
            std::int64_t bytes = 1;
            for (const char* factor : {"PRAGMA page_count", "PRAGMA page_size"})
                for (auto s = db_.ask(factor); s.next();) bytes *= s.integer(0);
            last = std::min(last, bytes / fewest_bytes);
        });
        return last;
    }

    void read_events() {
        const auto last = last_row();
        std::int64_t row = 1;
        // Reads in one walk up to damage, and behind it row by row.
        while (row <= last) {
            try {
                auto s =
                    db_.ask("SELECT rowid, body, digest FROM event NOT INDEXED WHERE rowid >= ? ORDER BY rowid", row);
                while (s.next()) {
                    const auto here = s.integer(0);
                    if (here < row) continue;  // damaged pages lead back: this row was read before
                    for (; row < here && row <= last; ++row) find(row);
                    if (!take(s.bytes(1), digest_from(s.bytes(2)))) find(here);
                    row = here == INT64_MAX ? here : here + 1;
                }
                for (; row <= last; ++row) find(row);
                return;
            } catch (const DbError&) {
                find(row);
                ++row;
            }
        }
    }
    // Looks up a row by its number: a damaged number sent the walk past it.
    void find(std::int64_t row) try {
        auto s = db_.ask("SELECT body, digest FROM event NOT INDEXED WHERE rowid = ?", row);
        if (!s.next() || !take(s.bytes(0), digest_from(s.bytes(1)))) lost(row);
    } catch (const DbError&) {
        lost(row);
    }
    void lost(std::int64_t row) {
        ++out_.unreadable;
        if (out_.unreadable <= 20) out_.told.push_back(fmt::format("event row {} cannot be read", row));
    }
    bool take(std::string_view body, const Digest& kept) {
        const auto event = event_from_body(body);
        if (!event) return false;
        const auto digest = digest_of(body);
        if (kept != digest) doubtful_.insert(digest);
        out_.events.push_back({event->book, event->seq, digest, event->previous, std::string(body)});
        return true;
    }

    void find_heads() {
        // A head names its book by a number of a table that may be lost: its digest identifies the event.
        std::map<Digest, const SalvagedEvent*> by_digest;
        for (const auto& e : out_.events) by_digest[e.digest] = &e;
        for (auto& head : heads_) {
            const auto it = by_digest.find(head.digest);
            if (it != by_digest.end() && it->second->seq == head.seq) {
                out_.heads.push_back({it->second->book, head.seq, head.digest, std::move(head.signature)});
                continue;
            }
            other_heads_.emplace(head.book, head.seq);
            if (head.book == origin_id(out_.book) >> 16)
                out_.lost_heads.push_back({out_.book, head.seq, head.digest, std::move(head.signature)});
        }
        heads_whole_ = heads_whole_ && !out_.heads.empty();
    }

    // Finds heads in the bytes of the file, where their table cannot be read: a row has an event's digest beside its
    // signature. The key shows whether the signature holds.
    void heads_among_bytes(const std::filesystem::path& file) {
        constexpr std::size_t piece = 1 << 20, signature = 64, digest = std::tuple_size_v<Digest>;
        // The signature is before the digest in one layout, behind it in the other.
        constexpr std::size_t row = signature + digest + signature;
        std::unordered_map<std::string_view, const SalvagedEvent*> begins;
        for (const auto& e : out_.events) begins[{reinterpret_cast<const char*>(e.digest.data()), 8}] = &e;
        std::ifstream in(file, std::ios::binary);
        std::string bytes(signature, '\0');
        for (std::string next(piece, '\0'); in;) {
            in.read(next.data(), static_cast<std::streamsize>(next.size()));
            bytes.append(next, 0, static_cast<std::size_t>(in.gcount()));
            if (!in) bytes.append(row, '\0');
            std::size_t at = signature;
            for (; at + digest + signature <= bytes.size(); ++at) {
                const auto it = begins.find(std::string_view(bytes).substr(at, 8));
                if (it == begins.end() || digest_from(std::string_view(bytes).substr(at, digest)) != it->second->digest)
                    continue;
                for (const auto from : {at - signature, at + digest})
                    out_.heads.push_back(
                        {it->second->book, it->second->seq, it->second->digest, bytes.substr(from, signature)});
            }
            bytes.erase(0, at - signature);
        }
    }

    // An event is as it was recorded if a head or the event after it has its digest. Leaves out any other event that
    // its own digest, the next event or a head contradicts: signed again, it would count as recorded.
    void leave_out_altered() {
        std::set<Digest> vouched;
        std::set<std::pair<BookId, std::int64_t>> followed;
        for (const auto& head : out_.heads) vouched.insert(head.digest);
        for (const auto& e : out_.events) {
            vouched.insert(e.previous);
            followed.emplace(e.book, e.seq - 1);
        }
        std::erase_if(out_.events, [&](const SalvagedEvent& e) {
            const bool contradicted = doubtful_.contains(e.digest) || followed.contains({e.book, e.seq}) ||
                                      other_heads_.contains({origin_id(e.book) >> 16, e.seq});
            if (vouched.contains(e.digest) || !contradicted) return false;
            ++out_.altered;
            if (out_.altered <= 20)
                out_.told.push_back(fmt::format("event {} of book {} is not as it was recorded, and is left out", e.seq,
                                                hex(e.book).substr(0, 12)));
            return true;
        });
    }

    Db& db_;
    SalvagedRows out_;
    std::vector<HeadRow> heads_;
    bool heads_whole_ = false;
    std::set<Digest> doubtful_;  ///< of rows that have another digest than their body
    /// Heads of events that cannot be read: book and number.
    std::set<std::pair<std::int64_t, std::int64_t>> other_heads_;
};

}  // namespace

SalvagedRows salvage_rows(const std::filesystem::path& file) {
    refuse_on_server(file, "salvage",
                     "restore the database from the server's backup, then: tarebook check. What desks sent since is "
                     "merged again");
    std::error_code ignored;
    if (!std::filesystem::exists(file, ignored))
        throw StorageError(fmt::format("there is no file {}.", file.string()),
                           "give the damaged book with --book FILE");
    refuse_other_than_file(file);
    // A log that is not the book's own hides pages of the file, and the file lacks the pages of its own log: so both
    // are read, and what either has is saved.
    std::optional<RowReader> found;
    std::exception_ptr failed;
    const auto read_through = [&](auto connection) {
        try {
            const auto db = connection(file);
            RowReader one(*db);
            one.run();
            if (found)
                found->add(std::move(one));
            else
                found.emplace(std::move(one));
        } catch (const DbError&) {
            failed = std::current_exception();
        } catch (const StorageError&) {
            failed = std::current_exception();
        }
    };
    try {
        if (log_has_pages(file)) read_through([](const auto& book) { return connection_alone(book); });
        read_through([](const auto& book) { return connection_that_leaves_nothing(book); });
        if (!found) std::rethrow_exception(failed);
        return found->rows(file);
    } catch (const DbError& e) {
        rethrow_as_storage_error(e, file, false);
    }
}

}  // namespace tarebook
