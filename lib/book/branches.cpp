// Branches of one book. A book that was copied, and of which both copies went on, has two events of one number. The
// rule that numbers the branches looks at the set of its events alone, so that it does not matter which came in first:
// in the order of numbers, then digests, the first event to follow another one stays on its branch, and each other one
// begins a new branch. Events that no trusted key covers any more are on branches apart, with numbers beyond all of
// these.
#include "branches.hpp"

#include <algorithm>
#include <map>
#include <unordered_map>

#include "atomic_book_file.hpp"

namespace tarebook {
namespace {

struct Link {
    std::int64_t row = 0, seq = 0, origin = 0;
    Digest digest{}, previous{};
    std::uint16_t branch = 0;
    bool followed = false;
    bool apart = false;
};

std::vector<Link> links_of(Book::Impl& book, const BookId& id) {
    std::vector<Link> out;
    for (const auto& [origin, known] : book.origins) {
        if (known.book != id) continue;
        auto s = book.db.ask("SELECT id, seq, digest, body FROM event WHERE origin = ?");
        s.with(origin);
        while (s.next()) {
            const auto event = event_from_body(s.bytes(3));
            out.push_back({s.integer(0), s.integer(1), origin, digest_from(s.bytes(2)),
                           event ? event->previous : Digest{}, 0, false, known.is_apart()});
        }
    }
    std::sort(out.begin(), out.end(),
              [](const Link& a, const Link& b) { return std::tie(a.seq, a.digest) < std::tie(b.seq, b.digest); });
    return out;
}

struct Branch {
    std::int64_t tip = 0;  ///< number of its last event so far
    std::int64_t parent = -1, parent_seq = 0;
    bool ends_here = false;  ///< with the head of the own chain
};

// Numbers the branches of a book. `own_head` is the last event of the own chain: an event that follows it was recorded
// elsewhere and begins a branch.
std::vector<Branch> number(std::vector<Link>& links, const std::optional<Digest>& own_head) {
    std::vector<Branch> branches;
    std::map<Digest, std::size_t> known;
    const auto begin = [&](std::int64_t parent, std::int64_t parent_seq) {
        branches.push_back({0, parent, parent_seq, false});
        return static_cast<std::uint16_t>(branches.size() - 1);
    };
    for (std::size_t i = 0; i < links.size(); ++i) {
        auto& link = links[i];
        if (link.apart) continue;
        link.followed = own_head && link.digest == *own_head;
        const auto parent = known.find(link.previous);
        if (parent != known.end() && links[parent->second].seq == link.seq - 1) {
            auto& before = links[parent->second];
            link.branch = before.followed ? begin(before.branch, before.seq) : before.branch;
            before.followed = true;
        } else {
            // After a gap the event goes on with the first branch that has a gap; the own chain has none behind its
            // head.
            const auto open = std::find_if(branches.begin(), branches.end(),
                                           [&](const Branch& b) { return b.tip < link.seq - 1 && !b.ends_here; });
            link.branch = open == branches.end() ? begin(-1, 0) : static_cast<std::uint16_t>(open - branches.begin());
        }
        branches[link.branch].tip = link.seq;
        branches[link.branch].ends_here = link.followed;
        known[link.digest] = i;
    }
    return branches;
}

// Marks what is beyond `admitted` as apart. The event that an admitted one names by digest as the one before it is
// admitted too.
void mark_apart(std::vector<Link>& links, const std::map<std::int64_t, std::int64_t>& admitted) {
    std::map<Digest, std::size_t> known;
    for (std::size_t i = 0; i < links.size(); ++i) {
        links[i].apart = links[i].seq > admitted.at(links[i].origin);
        known[links[i].digest] = i;
    }
    for (auto link = links.rbegin(); link != links.rend(); ++link) {
        if (link->apart) continue;
        const auto before = known.find(link->previous);
        if (before != known.end() && links[before->second].seq == link->seq - 1) links[before->second].apart = false;
    }
}

struct ApartBranch {
    std::int64_t source = 0;  ///< origin of its events until now, in which no number and no own id is there twice
    std::int64_t tip = 0, parent = -1, parent_seq = 0;
    std::uint16_t number = 0;
};

// Numbers the events that are apart; events that were on one branch stay together.
std::vector<ApartBranch> number_apart(const Book::Impl& book, const BookId& id, std::vector<Link>& links) {
    std::vector<ApartBranch> out;
    std::map<Digest, std::size_t> known;
    int next = first_apart;
    for (std::size_t i = 0; i < links.size(); ++i) {
        auto& link = links[i];
        known[link.digest] = i;
        if (!link.apart) continue;
        const auto before = known.find(link.previous);
        const bool follows = before != known.end() && links[before->second].seq == link.seq - 1;
        auto at = std::find_if(out.begin(), out.end(), [&](const ApartBranch& b) {
            return b.source == link.origin && b.tip < link.seq &&
                   (!follows || (links[before->second].apart && b.number == links[before->second].branch));
        });
        if (at == out.end()) {
            // Another book whose id begins with the same bits may use that number.
            for (; next <= UINT16_MAX; ++next) {
                const auto there = book.origins.find(origin_id(id, static_cast<std::uint16_t>(next)));
                if (there == book.origins.end() || there->second.book == id) break;
            }
            if (next > UINT16_MAX) throw_damaged(book, "it has more branches than a book can have");
            out.push_back({link.origin, 0, follows ? links[before->second].branch : -1, follows ? link.seq - 1 : 0,
                           static_cast<std::uint16_t>(next++)});
            at = out.end() - 1;
        }
        at->tip = link.seq;
        link.branch = at->number;
    }
    return out;
}

void insert_origin(Book::Impl& book, const BookId& id, std::int64_t branch, std::int64_t effective_to,
                   std::int64_t parent, std::int64_t parent_seq) {
    book.db.run("INSERT INTO origin(id, book, branch, effective_to, parent, parent_seq) VALUES (?, ?, ?, ?, ?, ?)",
                origin_id(id, static_cast<std::uint16_t>(branch)), id, branch, effective_to,
                parent < 0 ? 0 : origin_id(id, static_cast<std::uint16_t>(parent)), parent_seq);
}

void move_rows(Book::Impl& book, const BookId& id, const std::vector<Link>& links) {
    book.db.script(book.db.on_server()
                       ? "ALTER TABLE event DISABLE TRIGGER event_is_never_changed"
                       : "DROP TRIGGER event_is_never_changed");  // an origin is no part of an event; its body stays
    // Runs of numbers that go from one origin to another together.
    std::map<std::int64_t, std::vector<const Link*>> of_origin;
    for (const auto& link : links) of_origin[link.origin].push_back(&link);
    for (const auto& [origin, there] : of_origin)
        for (std::size_t first = 0, behind = 0; first < there.size(); first = behind) {
            const auto branch = there[first]->branch;
            while (behind < there.size() && there[behind]->branch == branch) ++behind;
            if (origin != origin_id(id, branch))
                book.db.run("UPDATE event SET origin = ? WHERE origin = ? AND seq >= ? AND seq <= ?",
                            -origin_id(id, branch), origin, there[first]->seq, there[behind - 1]->seq);
        }
    book.db.run("UPDATE event SET origin = -origin WHERE origin < 0");
    book.db.script(book.db.on_server()
                       ? "ALTER TABLE event ENABLE TRIGGER event_is_never_changed"
                       : "CREATE TRIGGER event_is_never_changed BEFORE UPDATE ON event "
                         "BEGIN SELECT RAISE(ABORT, 'an event is never changed: void it and record anew'); END");
}

void move_heads(Book::Impl& book, const BookId& id, const std::vector<Link>& links) {
    std::map<Digest, std::int64_t> origin_of_digest;
    for (const auto& link : links) origin_of_digest[link.digest] = origin_id(id, link.branch);
    struct Row {
        std::int64_t seq = 0;
        Digest digest{};
        std::string signature;
    };
    std::vector<Row> heads;
    for (const auto& [origin, known] : book.origins) {
        if (known.book != id) continue;
        auto s = book.db.ask("SELECT seq, digest, signature FROM head WHERE origin = ?");
        s.with(origin);
        while (s.next()) heads.push_back({s.integer(0), digest_from(s.bytes(1)), std::string(s.bytes(2))});
        book.db.run("DELETE FROM head WHERE origin = ?", origin);
    }
    for (const auto& head : heads) {
        const auto it = origin_of_digest.find(head.digest);
        if (it == origin_of_digest.end()) continue;
        book.db.run("INSERT INTO head(origin, seq, digest, signature) VALUES (?, ?, ?, ?) ON CONFLICT DO NOTHING",
                    it->second, head.seq, head.digest, Bytes{head.signature});
    }
}

}  // namespace

std::size_t branch_count(const Book::Impl& book, const BookId& id) {
    return static_cast<std::size_t>(std::count_if(book.origins.begin(), book.origins.end(), [&](const auto& o) {
        return o.second.book == id && !o.second.is_apart();
    }));
}

bool has_apart(const Book::Impl& book, const BookId& id) {
    return std::any_of(book.origins.begin(), book.origins.end(),
                       [&](const auto& o) { return o.second.book == id && o.second.is_apart(); });
}

namespace {
// `admitted`: the last admitted number of each origin; without it, all that is not apart is admitted.
bool number_all(Book::Impl& book, const BookId& id, const std::map<std::int64_t, std::int64_t>* admitted,
                const std::unordered_set<std::int64_t>& without_projections) {
    std::optional<Digest> own_head;
    if (id == book.info.id) {
        auto s = book.db.ask("SELECT digest FROM event WHERE origin = ? ORDER BY seq DESC LIMIT 1", book.own_origin);
        if (s.next()) own_head = s.digest(0);
    }
    auto links = links_of(book, id);
    if (admitted) mark_apart(links, *admitted);
    const auto branches = number(links, own_head);
    const auto apart = number_apart(book, id, links);
    bool moved = false;
    for (const auto& link : links)
        moved = moved ||
                (!link.apart && link.origin != origin_id(id, link.branch) && !without_projections.contains(link.row));
    const auto before = book.origins;
    const auto effective_to = [&](std::int64_t branch) {
        const auto it = before.find(origin_id(id, static_cast<std::uint16_t>(branch)));
        return admitted && it != before.end() ? it->second.effective_to : 0;
    };
    move_rows(book, id, links);
    move_heads(book, id, links);
    for (const auto& [origin, known] : book.origins)
        if (known.book == id) book.db.run("DELETE FROM origin WHERE id = ?", origin);
    for (std::size_t b = 0; b < branches.size(); ++b) {
        const auto number = static_cast<std::int64_t>(b);
        insert_origin(book, id, number, effective_to(number), branches[b].parent, branches[b].parent_seq);
    }
    for (const auto& branch : apart) insert_origin(book, id, branch.number, 0, branch.parent, branch.parent_seq);
    if (own_head)
        for (const auto& link : links)
            if (link.digest == *own_head) book.own_branch = link.branch;
    if (own_head) set_info(book.db, "own_branch", std::to_string(book.own_branch));
    book.read_origins();
    return moved;
}
}  // namespace

void number_branches(Book::Impl& book, const BookId& id) {
    number_all(book, id, nullptr, {});
}

bool set_apart(Book::Impl& book, const BookId& id, const std::map<std::int64_t, std::int64_t>& admitted,
               const std::unordered_set<std::int64_t>& without_projections) {
    return number_all(book, id, &admitted, without_projections);
}

}  // namespace tarebook
