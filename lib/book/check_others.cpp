#include "check.hpp"

namespace tarebook {
OthersCheck::OthersCheck(Book::Impl& book, Problems& problems, std::vector<std::string>& remarks)
    : book_(book), problems_(problems), remarks_(remarks) {
    if (book_.one_book()) return;
    try {
        for (auto s = book_.db.ask("SELECT origin, seq, digest, signature FROM head"); s.next();)
            if (!book_.is_own(s.integer(0), s.integer(1)))
                heads_[{s.integer(0), s.integer(1)}] = {digest_from(s.bytes(2)), std::string(s.bytes(3)), false};
    } catch (const DbError& e) {
        only_damage(e);  // the own heads are read again, and reported there
    }
}

void OthersCheck::take(std::int64_t origin, std::int64_t seq, const std::string& name, const Digest& digest,
                       const Digest& previous) {
    if (const auto head = heads_.find({origin, seq}); head != heads_.end()) {
        head->second.met = true;
        if (head->second.digest != digest) problems_.add("event {}: the head signed for it has another digest", name);
    }
    auto& runs = chains_[origin].runs;
    if (!runs.empty() && runs.back().last + 1 == seq) {
        auto& run = runs.back();
        if (run.end != previous) problems_.add("event {}: it does not follow the event before it (chain)", name);
        run.last = seq;
        run.end = digest;
        return;
    }
    runs.push_back({seq, seq, previous, digest, name});
}

void OthersCheck::finish(std::int64_t origin, Chain& chain) {
    const auto known = book_.origins.find(origin);
    if (known == book_.origins.end()) return;  // reported with its events
    auto& runs = chain.runs;
    std::sort(runs.begin(), runs.end(), [](const Run& a, const Run& b) { return a.first < b.first; });
    std::pair before(known->second.parent, known->second.parent_seq);
    // The part of the own chain before a branch was checked with the own chain.
    for (auto at = book_.own_origin; book_.origins.at(at).parent != 0; at = book_.origins.at(at).parent)
        if (book_.origins.at(at).parent == origin) before = {origin, book_.origins.at(at).parent_seq};
    std::int64_t last = before.second;
    Digest end{};
    if (before.first != 0) {
        auto s = book_.db.ask("SELECT digest FROM event WHERE origin = ? AND seq = ?", before.first, before.second);
        if (s.next()) end = s.digest(0);
    }
    const auto name = hex(known->second.book).substr(0, 12);
    for (const auto& run : runs) {
        if (run.first <= last)
            problems_.add("event {}: there are two of its number in one chain", run.name);
        else if (run.first == last + 1 && run.before != end)
            problems_.add("event {}: it does not follow the event before it (chain)", run.name);
        else if (run.first > last + 1 && remarks_.size() < 1000)
            remarks_.push_back(
                fmt::format("book {}: its events {} to {} are not here yet", name, last + 1, run.first - 1));
        last = std::max(last, run.last);
        end = run.end;
    }
}

// Reports heads whose signature does not hold. A head that a later head covers decides nothing; and after another key
// was trusted none of the old ones holds.
void OthersCheck::heads_that_do_not_hold() {
    constexpr std::size_t most = 2000;
    std::size_t looked_at = 0;
    std::map<BookId, std::int64_t> wrong;
    const auto trusted = trusted_books(book_);
    for (auto head = heads_.rbegin(); head != heads_.rend() && looked_at < most; ++head) {
        const auto known = book_.origins.find(head->first.first);
        if (known == book_.origins.end()) continue;
        const auto& id = known->second.book;
        const auto it = trusted.find(id);
        if (it == trusted.end() && id != book_.info.id) continue;
        ++looked_at;
        if (!head_signature_holds(it == trusted.end() ? book_.info.public_key : it->second.key, id, head->first.second,
                                  head->second.digest, head->second.signature))
            ++wrong[id];
    }
    for (const auto& [id, count] : wrong)
        remarks_.push_back(
            fmt::format("book {}: {} of its signed heads do not hold under the key that is trusted for it",
                        hex(id).substr(0, 12), count));
}

void OthersCheck::finish() {
    for (auto& [origin, chain] : chains_) finish(origin, chain);
    for (const auto& [place, head] : heads_)
        if (!head.met)
            problems_.add("head {}: there is no such event", book_.name_of(place.first, place.second, head.digest));
    heads_that_do_not_hold();
    if (const auto& own = book_.origins.at(book_.own_origin); own.effective_to != 0)
        problems_.add("the list of books says of the book itself that it counts up to its event {}: it counts whole",
                      own.effective_to);
    // Signatures that hold decide what counts: so that is computed again.
    for (const auto& [origin, until] : effective_origins(book_))
        if (const auto known = book_.origins.find(origin);
            origin != book_.own_origin && known != book_.origins.end() && known->second.effective_to != until)
            problems_.add("book {}: it counts up to its event {}, by trust and signatures up to {}",
                          hex(known->second.book).substr(0, 12), known->second.effective_to, until);
}

}  // namespace tarebook
