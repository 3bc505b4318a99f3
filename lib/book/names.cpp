// Names of events. A number (E12) belongs to one chain: events of other books are named by the first twelve digits of
// their digest. An event names others in the words of its own book.
#include <fmt/format.h>

#include <charconv>

#include "impl.hpp"
#include "units/hex.hpp"

namespace tarebook {
namespace {

constexpr std::size_t digits_of_a_name = 12;

// 12 for "E12"; 0 for other words.
std::int64_t number_in(std::string_view name) {
    if (!name.starts_with('E') || name.size() > 18) return 0;
    std::int64_t seq = 0;
    const auto [end, error] = std::from_chars(name.data() + 1, name.data() + name.size(), seq);
    return error == std::errc() && end == name.data() + name.size() && seq > 0 ? seq : 0;
}
bool is_digest_name(std::string_view name) {
    return name.size() >= digits_of_a_name && name.size() <= 64 && is_hex(name);
}

std::int64_t row_at(Book::Impl& book, std::int64_t origin, std::int64_t seq) {
    return book.db.integer("SELECT id FROM event WHERE origin = ? AND seq = ?", origin, seq).value_or(0);
}

// A bound of the digests that begin with these digits: the index holds eight bytes of each.
std::array<std::uint8_t, 8> first_bytes(std::string_view digits, char filled_up_with) {
    std::string all(digits.substr(0, 16));
    all.resize(64, filled_up_with);
    std::array<std::uint8_t, 8> out{};
    const auto digest = digest_from_hex(all).value_or(Digest{});
    std::copy_n(digest.begin(), out.size(), out.begin());
    return out;
}

}  // namespace

std::vector<std::int64_t> Book::Impl::rows_with_digest(std::string_view digits) {
    return db.integers(
        "SELECT id FROM event WHERE substr(digest, 1, 8) BETWEEN ?1 AND ?2 AND substr(lower(hex(digest)), 1, "
        "length(?3)) = ?3 LIMIT 2",
        first_bytes(digits, '0'), first_bytes(digits, 'f'), std::string(digits));
}

std::int64_t Book::Impl::row_with_digest(const Digest& digest) {
    const auto rows = rows_with_digest(hex(digest));
    return rows.empty() ? 0 : rows.front();
}

void Book::Impl::read_origins() {
    origins.clear();
    origin_problems.clear();
    const auto wrong = [&](std::int64_t id, std::string_view what) {
        origin_problems.push_back(fmt::format("the list of books, row {}: {}", id, what));
    };
    own_origin = origin_id(info.id, own_branch);
    // Reads a book of an older schema too, before it is upgraded; and its schema number may be damaged.
    const bool renamed =
        db.on_server() || db.any("SELECT 1 FROM pragma_table_info('origin') WHERE name = 'effective_to'");
    auto o = db.ask(renamed ? "SELECT id, book, branch, effective_to, parent, parent_seq FROM origin"
                            : "SELECT id, book, branch, counted_to, parent, parent_seq FROM origin");
    while (o.next()) {
        const auto id = o.integer(0);
        const auto branch = o.integer(2);
        if (o.bytes(1).size() != std::tuple_size_v<BookId>) {
            wrong(id, "its book's id does not have its length");
            continue;
        }
        const auto book = o.fixed<16>(1);
        if (branch < 0 || branch > UINT16_MAX || id != origin_id(book, static_cast<std::uint16_t>(branch)))
            wrong(id, "it is not the number of its book and branch");
        origins[id] = {book, static_cast<std::uint16_t>(branch), o.integer(3), o.integer(4), o.integer(5)};
    }
    if (!origins.contains(own_origin)) {
        wrong(own_origin, "the book itself is missing, or its id is damaged");
        origins[own_origin] = {info.id, own_branch, 0, 0, 0};
    }
    // Ends each walk from a branch to its parent: a parent has a lower number.
    for (auto& [id, origin] : origins) {
        const auto parent = origins.find(origin.parent);
        const bool good = origin.parent == 0 ? origin.parent_seq == 0
                                             : parent != origins.end() && parent->second.book == origin.book &&
                                                   parent->second.branch < origin.branch && origin.parent_seq > 0;
        if (good) continue;
        wrong(id, "it does not leave another branch of its book where it says");
        origin.parent = origin.parent_seq = 0;
    }
    branch_begins.clear();
    for (const auto& [id, origin] : origins) {
        if (origin.branch == 0 || origin.is_apart()) continue;
        auto s = db.ask("SELECT seq, digest FROM event WHERE origin = ? ORDER BY seq LIMIT 1", id);
        if (s.next()) branch_begins[id] = {s.integer(0), s.digest(1)};
    }
}

const Origin& Book::Impl::known_origin(std::int64_t id) {
    if (const auto it = origins.find(id); it != origins.end()) return it->second;
    auto s = db.ask("SELECT book, branch, effective_to, parent, parent_seq FROM origin WHERE id = ?", id);
    if (!s.next()) throw_damaged(*this, "a row names a book or branch that is not in it");
    return origins[id] = {s.fixed<16>(0), static_cast<std::uint16_t>(s.integer(1)), s.integer(2), s.integer(3),
                          s.integer(4)};
}

OrderKey Book::Impl::key(std::int64_t at, std::int64_t origin, std::int64_t seq) {
    const auto& known = known_origin(origin);
    return {Instant(std::chrono::seconds(at)), known.book, seq, known.branch};
}

std::string Book::Impl::name_of(std::int64_t origin, std::int64_t seq, const Digest& digest) const {
    if (origin == own_origin || is_own_before_branch(origin, seq)) return event_name(seq);
    return hex(digest).substr(0, digits_of_a_name);
}

bool Book::Impl::is_own_before_branch(std::int64_t origin, std::int64_t seq) const {
    for (auto at = own_origin; at != 0;) {
        const auto it = origins.find(at);
        if (it == origins.end() || it->second.parent == 0) return false;
        at = it->second.parent;
        if (at == origin && seq <= it->second.parent_seq) return true;
    }
    return false;
}

std::string Book::Impl::name_of_row(std::int64_t id) {
    auto s = db.ask("SELECT origin, seq, digest FROM event WHERE id = ?", id);
    std::string out;
    if (s.next()) out = name_of(s.integer(0), s.integer(1), s.digest(2));
    return out;
}

std::int64_t Book::Impl::row_called(std::string_view name, std::int64_t origin_of_caller) {
    if (const auto seq = number_in(name)) {
        // Along the caller's own branch, down to its beginning.
        for (auto at = origin_of_caller;;) {
            if (const auto id = row_at(*this, at, seq)) return id;
            const auto it = origins.find(at);
            // what is missing on a branch is no event of its parent that has the same number
            if (it == origins.end() || it->second.parent == 0 || seq > it->second.parent_seq) return 0;
            at = it->second.parent;
        }
    }
    if (!is_digest_name(name)) return 0;
    const auto rows = rows_with_digest(name);
    return rows.size() == 1 ? rows.front() : 0;
}

const Book::Impl::Leaks& Book::Impl::known_leaks() {
    if (leaks_in_words) return *leaks_in_words;
    auto& leaks = leaks_in_words.emplace();
    static const std::string sql = fmt::format(
        "SELECT id, origin, seq, digest FROM event WHERE {} AND kind = 'leak' ORDER BY origin, seq", watched_kinds);
    // The own leaks first, by their numbers.
    for (const bool own : {true, false}) {
        std::int64_t number = 0;
        for (auto s = db.ask(sql.c_str()); s.next();) {
            const auto origin = s.integer(1);
            const auto seq = s.integer(2);
            const bool is_own = origin == own_origin || is_own_before_branch(origin, seq);
            if (is_own != own) continue;
            leaks.each[origin].push_back(leaks.rows.size());
            leaks.rows.push_back(s.integer(0));
            leaks.codes.push_back(own ? leak_code(++number) : "L-" + hex(s.digest(3)).substr(0, digits_of_a_name));
        }
    }
    return leaks;
}

std::string Book::Impl::leak_called(std::string_view code, std::int64_t origin_of_caller) {
    if (code.empty() || (one_book() && origin_of_caller == own_origin)) return std::string(code);
    const auto& known = known_leaks();
    if (const auto number = leak_number(code)) {
        // Counts along the chain, branch after branch from the trunk on.
        std::vector<std::size_t> chain;
        std::vector<std::pair<std::int64_t, std::int64_t>> branches;  // branch, and its last event on the way
        for (std::int64_t at = origin_of_caller, until = INT64_MAX; at != 0;) {
            branches.emplace_back(at, until);
            const auto it = origins.find(at);
            if (it == origins.end()) break;
            until = it->second.parent_seq, at = it->second.parent;
        }
        for (auto part = branches.rbegin(); part != branches.rend(); ++part)
            if (const auto it = known.each.find(part->first); it != known.each.end())
                for (const auto i : it->second) {
                    if (part->second != INT64_MAX) {
                        auto s = db.ask("SELECT seq FROM event WHERE id = ?", known.rows[i]);
                        const bool before = s.next() && s.integer(0) <= part->second;
                        if (!before) continue;
                    }
                    chain.push_back(i);
                }
        if (*number <= static_cast<std::int64_t>(chain.size()))
            return known.codes[chain[static_cast<std::size_t>(*number - 1)]];
        return std::string(code);
    }
    // "L-" and digits of a digest: in this book the leak may have a number.
    if (code.starts_with("L-") && is_digest_name(code.substr(2)))
        for (std::size_t i = 0; i < known.rows.size(); ++i) {
            auto s = db.ask("SELECT lower(hex(digest)) FROM event WHERE id = ?", known.rows[i]);
            const bool same = s.next() && s.text(0).starts_with(code.substr(2));
            if (same) return known.codes[i];
        }
    return std::string(code);
}

std::string Book::Impl::own_path_sql() const {
    std::string out = fmt::format("(origin = {}", own_origin);
    for (auto at = own_origin; at != 0;) {
        const auto it = origins.find(at);
        if (it == origins.end() || it->second.parent == 0) break;
        out += fmt::format(" OR (origin = {} AND seq <= {})", it->second.parent, it->second.parent_seq);
        at = it->second.parent;
    }
    return out + ")";
}

std::string head_text(const Head& head) {
    return fmt::format("{}:{}", head.seq, hex(head.digest));
}
std::optional<Head> head_from(std::string_view text) {
    const auto colon = text.find(':');
    if (colon == std::string_view::npos || colon == 0) return std::nullopt;
    Head out;
    const auto [end, error] = std::from_chars(text.data(), text.data() + colon, out.seq);
    const auto digest = digest_from_hex(text.substr(colon + 1));
    if (error != std::errc() || end != text.data() + colon || !digest || out.seq < 1) return std::nullopt;
    out.digest = *digest;
    return out;
}

ResolvedName resolved_name(Book::Impl& book, std::string_view finding, std::int64_t origin_of_caller) {
    const auto slash = finding.rfind('/');
    if (slash != std::string_view::npos)
        if (const auto row = book.row_called(finding.substr(slash + 1), origin_of_caller))
            return {std::string(finding.substr(0, slash)), row};
    return {std::string(finding), 0};
}

void add_resolved(Book::Impl& book, std::string_view finding, std::int64_t event_id, std::int64_t origin) {
    const auto name = resolved_name(book, finding, origin);
    book.db.run("INSERT INTO resolved(finding, about, event) VALUES (?, ?, ?) ON CONFLICT DO NOTHING", name.finding,
                name.about, event_id);
}

namespace {
// "L-7" of the book, as the chain of a desk calls it: by its digest; or by its number there, if it is a draft.
std::string leak_on_chain(Book::Impl& book, std::string_view code, std::int64_t chain) {
    const auto number = leak_number(code);
    if (!number) return std::string(code);
    const auto& known = book.known_leaks();
    std::int64_t own = 0;
    for (std::size_t i = 0; i < known.codes.size() && leak_number(known.codes[i]); ++i) ++own;
    if (*number > own) {
        const auto there = known.each.find(chain);
        const auto of_chain = there == known.each.end() ? 0 : static_cast<std::int64_t>(there->second.size());
        return leak_code(of_chain + *number - own);
    }
    const auto digest =
        book.db.digest("SELECT digest FROM event WHERE id = ?", known.rows[static_cast<std::size_t>(*number - 1)]);
    return digest ? "L-" + hex(*digest).substr(0, digits_of_a_name) : std::string(code);
}
}  // namespace

void say_in_own_words(Book::Impl& book, Event& draft) {
    if (!book.info.desk) return;
    std::visit(
        [&](auto& k) {
            using K = std::decay_t<decltype(k)>;
            if constexpr (std::is_same_v<K, kinds::Resolve>) {
                const auto named = resolved_name(book, k.finding, book.own_origin);
                const auto digest = named.about == 0
                                        ? std::nullopt
                                        : book.db.digest("SELECT digest FROM event WHERE id = ?", named.about);
                if (digest) k.finding = named.finding + "/" + hex(*digest).substr(0, digits_of_a_name);
            } else if constexpr (requires { leak_on_chain(book, k.leak, 0); }) {
                if (!k.leak.empty()) k.leak = leak_on_chain(book, k.leak, book.writer().origin);
            } else if constexpr (requires { leak_on_chain(book, *k.leak, 0); }) {
                if (k.leak) k.leak = leak_on_chain(book, *k.leak, book.writer().origin);
            }
        },
        draft.what);
}

std::string Book::leak_named_in(const Event& event) const {
    return guarded(*impl_, [&] { return impl_->leak_called(leak_named_by(event), origin_of(event.order())); });
}

std::string Book::name_at(const OrderKey& order) const {
    return guarded(*impl_, [&] {
        const auto id = row_at(*impl_, origin_of(order), order.seq);
        return id == 0 ? event_name(order.seq) : impl_->name_of_row(id);
    });
}

}  // namespace tarebook
