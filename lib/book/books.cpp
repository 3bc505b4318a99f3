// What a book knows of other books: its own heads and key, the chains in its file, and which books it trusts.
#include <fmt/format.h>
#include <sodium.h>

#include <algorithm>
#include <set>

#include "desk.hpp"
#include "impl.hpp"
#include "key.hpp"
#include "quarantine.hpp"
#include "snapshot.hpp"

namespace tarebook {
namespace {

std::string key_of(Book::Impl& book, const std::map<BookId, Trusted>& trusted, const BookId& id) {
    if (id == book.info.id) return book.info.public_key;
    if (const auto it = trusted.find(id); it != trusted.end()) return it->second.key;
    // For a book that is not trusted here: what its first event says.
    auto s = book.db.ask("SELECT body FROM event WHERE origin = ? AND seq = 1", origin_id(id));
    std::string out;
    if (s.next())
        if (const auto event = event_from_body(s.text(0)))
            if (const auto* k = std::get_if<kinds::Start>(&event->what)) out = k->public_key;
    return out;
}

Digest digest_at(Book::Impl& book, std::int64_t origin, std::int64_t seq) {
    auto s = book.db.ask("SELECT digest FROM event WHERE origin = ? AND seq = ?", origin, seq);
    Digest out{};
    if (s.next()) out = s.digest(0);
    return out;
}

// The parts of a branch without a gap: from, to.
std::vector<std::pair<std::int64_t, std::int64_t>> runs_of(Book::Impl& book, std::int64_t origin) {
    std::vector<std::pair<std::int64_t, std::int64_t>> out;
    {
        auto all = book.db.ask("SELECT count(*), min(seq), max(seq) FROM event WHERE origin = ?", origin);
        // mostly one part: then not every row is read
        if (all.next() && all.integer(0) > 0 && all.integer(2) - all.integer(1) + 1 == all.integer(0))
            return {{all.integer(1), all.integer(2)}};
    }
    auto s = book.db.ask("SELECT seq FROM event WHERE origin = ? ORDER BY seq");
    s.with(origin);
    while (s.next()) {
        if (out.empty() || out.back().second + 1 != s.integer(0)) out.emplace_back(s.integer(0), s.integer(0));
        out.back().second = s.integer(0);
    }
    return out;
}

using Runs = std::vector<std::pair<std::int64_t, std::int64_t>>;

void add_run(Runs& runs, std::int64_t first, std::int64_t last) {
    // Precondition: they come in the order of their first numbers.
    if (runs.empty() || first > runs.back().second + 1)
        runs.emplace_back(first, last);
    else
        runs.back().second = std::max(runs.back().second, last);
}

// Lists once what came several times, or under several keys.
void tell_quarantine(Book::KnownBook& known, const std::vector<Waiting>& all) {
    Runs kept;
    for (const auto& one : all) {
        if (one.book != known.id) continue;
        if (one.is_register())
            (one.kept ? known.register_quarantined : known.register_not_kept) = true;
        else
            add_run(one.kept ? kept : known.not_kept, one.first, one.head.seq);
    }
    for (const auto& [first, last] : kept) known.quarantined += last - first + 1;
}

}  // namespace

Result<void> not_apart(const BookId& book, const BookId& other) {
    if (is_practice(book) == is_practice(other)) return {};
    const bool here = is_practice(book);
    return fail({ErrorKind::refused, "practice-apart",
                 here ? "this is a practice book, and the other one is real: the two stay apart"
                      : "that is a practice book, and this one is real: nothing of it may count here",
                 hex(other), here ? "another practice book" : "a real book",
                 here ? "do that in a real book" : "what really happened is recorded in a real book: tarebook start"});
}

std::string Book::sign(std::string_view message) const {
    return guarded(*impl_, [&] {
        if (impl_->db.on_server()) read_desk(*impl_);
        refuse_at_a_desk(*impl_, "signs for it");
        const auto signature = signature_of(*impl_, message);
        return std::string(signature.begin(), signature.end());
    });
}

namespace {
// Notes of their own: what is in a folder of `sync` is in no bundle that a person can carry.
std::string name_of(SentBy how) {
    return how == SentBy::bundle ? "sent" : "synced";
}
}  // namespace

std::int64_t Book::last_sent(SentBy how) const {
    return guarded(*impl_, [&] {
        auto s = impl_->db.ask("SELECT value FROM book WHERE name = ?", name_of(how));
        const std::int64_t out = s.next() ? std::atoll(s.text(0).c_str()) : 0;
        return out;
    });
}

void Book::note_sent(const std::filesystem::path& path, std::int64_t seq, SentBy how) {
    try {
        auto book = open(path, Access::write);
        book.impl_->db.run(
            "INSERT INTO book(name, value) VALUES (?, ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
            name_of(how), std::to_string(seq));
    } catch (const StorageError&) {  // NOLINT(bugprone-empty-catch): the bundle is whole without this note
    } catch (const DbError&) {       // NOLINT(bugprone-empty-catch)
    }
}

std::optional<std::string> Book::unseal(std::string_view sealed) const {
    return guarded(*impl_, [&]() -> std::optional<std::string> {
        refuse_at_a_desk(*impl_, "opens what is sealed to it");
        SecretKey key;
        read_secret_key(*impl_, key);
        std::array<unsigned char, crypto_box_SECRETKEYBYTES> secret{};
        std::array<unsigned char, crypto_box_PUBLICKEYBYTES> open{};
        std::array<unsigned char, crypto_sign_PUBLICKEYBYTES> signing{};
        crypto_sign_ed25519_sk_to_pk(signing.data(), key.bytes.data());
        const bool usable = crypto_sign_ed25519_sk_to_curve25519(secret.data(), key.bytes.data()) == 0 &&
                            crypto_sign_ed25519_pk_to_curve25519(open.data(), signing.data()) == 0;
        if (!usable || sealed.size() < crypto_box_SEALBYTES) return std::nullopt;
        std::string out(sealed.size() - crypto_box_SEALBYTES, '\0');
        const int failed = crypto_box_seal_open(reinterpret_cast<unsigned char*>(out.data()),
                                                reinterpret_cast<const unsigned char*>(sealed.data()), sealed.size(),
                                                open.data(), secret.data());
        sodium_memzero(secret.data(), secret.size());
        if (failed != 0) return std::nullopt;
        return out;
    });
}

std::optional<Book::SignedHead> Book::signed_head(std::optional<std::int64_t> seq) const {
    return guarded(*impl_, [&]() -> std::optional<SignedHead> {
        auto s = impl_->db.ask_once(
            fmt::format("SELECT seq, digest, signature FROM head WHERE {} AND (?1 = 0 OR seq = ?1) ORDER BY "
                        "seq DESC LIMIT 1",
                        impl_->own_path_sql()));
        s.with(seq.value_or(0));
        if (!s.next()) return std::nullopt;
        return SignedHead{
            impl_->info.id, {s.integer(0), digest_from(s.bytes(1))}, impl_->info.public_key, std::string(s.bytes(2))};
    });
}

std::optional<Book::SignedHead> Book::signed_head_of(const Digest& digest) const {
    return guarded(*impl_, [&]() -> std::optional<SignedHead> {
        auto s = impl_->db.ask("SELECT origin, seq, signature FROM head WHERE digest = ?", digest);
        std::optional<SignedHead> out;
        if (s.next())
            if (const auto known = impl_->origins.find(s.integer(0)); known != impl_->origins.end())
                out = {known->second.book, {s.integer(1), digest}, {}, s.text(2)};
        if (out) out->public_key = key_of(*impl_, trusted_books(*impl_), out->book);
        return out;
    });
}

std::vector<Digest> Book::digests_at(const BookId& book, std::int64_t seq) const {
    return guarded(*impl_, [&] {
        std::vector<Digest> out;
        for (const auto& [origin, known] : impl_->origins)
            if (known.book == book)
                if (const auto digest = digest_at(*impl_, origin, seq); digest != Digest{}) out.push_back(digest);
        return out;
    });
}

std::vector<Book::ChainRun> Book::chain_runs(bool own_only, std::int64_t from) const {
    return guarded(*impl_, [&] {
        auto& book = *impl_;
        std::vector<ChainRun> out;
        const auto trusted = trusted_books(book);
        for (const auto& [origin, known] : book.origins) {
            const bool own = book.is_own(origin, known.parent_seq + 1);
            if (own_only && !own) continue;
            for (auto [first, last] : runs_of(book, origin)) {
                if (own && known.book == book.info.id && from > first) first = from;
                if (first > last) continue;
                // Up to the last signed head: no signature vouches for what is behind it.
                auto s = book.db.ask(
                    "SELECT seq, digest, signature FROM head WHERE origin = ? AND seq >= ? AND seq <= ? ORDER BY seq "
                    "DESC LIMIT 1");
                s.with(origin, first, last);
                ChainRun run;
                const auto key = key_of(book, trusted, known.book);
                bool found = false;
                while (!found && s.next()) {
                    run.end = {known.book, {s.integer(0), digest_from(s.bytes(1))}, key, std::string(s.bytes(2))};
                    found =
                        head_signature_holds(key, known.book, run.end.head.seq, run.end.head.digest, run.end.signature);
                }
                if (!found) continue;
                run.first = first;
                const auto before = first == known.parent_seq + 1 && known.parent != 0 ? known.parent : origin;
                if (first > 1) run.previous = digest_at(book, before, first - 1);
                run.branch = known.branch;
                // The event before a gap is not in the file, but the event behind the gap names its digest.
                if (first > 1 && run.previous == Digest{}) {
                    auto e = book.db.ask("SELECT body FROM event WHERE origin = ? AND seq = ?", origin, first);
                    if (e.next())
                        if (const auto event = event_from_body(e.text(0))) run.previous = event->previous;
                }
                out.push_back(std::move(run));
            }
        }
        return out;
    });
}

void Book::each_of_run(const ChainRun& run, const ForEach<std::string_view>& visit) const {
    guarded(*impl_, [&] {
        auto s = impl_->db.ask("SELECT body FROM event WHERE origin = ? AND seq >= ? AND seq <= ? ORDER BY seq");
        s.with(origin_id(run.end.book, run.branch), run.first, run.end.head.seq);
        while (s.next())
            if (visit(s.bytes(0)) == Walk::stop) return;
    });
}

std::string Book::register_snapshot() const {
    return guarded(*impl_, [&] {
        auto& book = *impl_;
        std::string out;
        std::optional<Event> event;
        const auto flush = [&] {
            if (event) out += canonical_body(*event) + "\n";
            event.reset();
        };
        for (auto s = book.db.ask(
                 "SELECT e.kind, e.code, f.at, f.origin, f.seq, f.name, f.value, f.mass FROM entry e JOIN field f ON "
                 "f.entry = e.id ORDER BY e.kind, e.code, f.at, f.origin, f.seq, f.name");
             s.next();) {
            const auto kind = entry_kind_from(s.bytes(0));
            if (!kind || !book.origins.contains(s.integer(3))) continue;
            const auto order = book.key(s.integer(2), s.integer(3), s.integer(4));
            if (order.branch != 0) continue;  // a book that has not merged the branch could not rank it
            const auto* k = event ? std::get_if<kinds::Entry>(&event->what) : nullptr;
            if (!k || k->entry != *kind || k->code != s.bytes(1) || event->order() != order) {
                flush();
                event.emplace();
                event->book = order.book;
                event->seq = order.seq;
                event->when = {order.at, {}, "UTC"};
                event->recorded = order.at;
                event->what = kinds::Entry{*kind, std::string(s.bytes(1)), false, {}};
            }
            std::get<kinds::Entry>(event->what).values[std::string(s.bytes(5))] = {
                std::string(s.bytes(6)), s.is_null(7) ? std::nullopt : std::optional(Mass::from_count(s.integer(7)))};
        }
        flush();
        return out;
    });
}

std::vector<Digest> Book::branch_firsts() const {
    return guarded(*impl_, [&] {
        std::vector<Digest> out;
        for (const auto& [origin, begin] : impl_->branch_begins) {
            if (!impl_->is_own(origin, begin.seq)) out.push_back(begin.digest);
            const auto& known = impl_->origins.at(origin);
            const auto other = known.parent != 0 ? known.parent : origin_id(known.book);
            const auto next = known.parent != 0 ? known.parent_seq + 1 : begin.seq;
            // The own chain goes on here, so it cannot be dropped.
            if (const auto digest = digest_at(*impl_, other, next); digest != Digest{} && !impl_->is_own(other, next))
                out.push_back(digest);
        }
        return out;
    });
}

std::vector<Book::KnownBook> Book::books() const {
    return guarded(*impl_, [&] {
        auto& book = *impl_;
        const auto trusted = trusted_books(book);
        std::set<BookId> ids{book.info.id}, desks;
        if (book.db.on_server())
            for (auto s = book.db.ask("SELECT book FROM desk"); s.next();) desks.insert(s.fixed<16>(0));
        for (const auto& [origin, known] : book.origins) ids.insert(known.book);
        for (const auto& [id, one] : trusted) ids.insert(id);
        const auto quarantined = waiting(book);
        for (const auto& one : quarantined) ids.insert(one.book);
        std::vector<KnownBook> out;
        for (const auto& id : ids) {
            KnownBook one;
            one.id = id;
            one.own = id == book.info.id;
            one.desk = desks.contains(id);
            if (const auto it = trusted.find(id); it != trusted.end()) {
                one.called = it->second.called;
                one.public_key = it->second.key;
                one.trusted = true;
                one.withdrawn = it->second.withdrawn;
                one.from = it->second.from;
                one.why = it->second.why;
            }
            if (one.own) one.public_key = book.info.public_key;
            tell_quarantine(one, quarantined);
            const auto behind = book.origins.upper_bound(origin_id(id, 0xFFFF));
            for (auto at = book.origins.lower_bound(origin_id(id)); at != behind; ++at) {
                const auto& [origin, known] = *at;
                if (known.book != id) continue;
                auto s = book.db.ask(
                    "SELECT count(*), (SELECT count(*) FROM ineffective u JOIN event e ON "
                    "e.id = u.event WHERE u.by = 0 AND e.origin = ?1) FROM event WHERE "
                    "origin = ?1",
                    origin);
                if (s.next()) {
                    one.events += s.integer(0);
                    one.ineffective += s.integer(1);
                    one.branches += s.integer(0) > 0 && !known.is_apart() ? 1 : 0;
                }
                std::int64_t end = known.parent_seq;
                for (const auto& [first, last] : runs_of(book, origin)) {
                    if (first > end + 1 && !known.is_apart()) one.missing.emplace_back(end + 1, first - 1);
                    end = last;
                    if (!one.last || one.last->seq < last) one.last = {last, digest_at(book, origin, last)};
                }
            }
            out.push_back(std::move(one));
        }
        // The own book first, then by name, books without a name last.
        std::stable_sort(out.begin(), out.end(), [](const KnownBook& a, const KnownBook& b) {
            return std::tuple(!a.own, a.called.empty(), a.called) < std::tuple(!b.own, b.called.empty(), b.called);
        });
        return out;
    });
}

}  // namespace tarebook
