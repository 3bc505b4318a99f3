#include "sync_plan.hpp"

#include <algorithm>
#include <tuple>

namespace tarebook {
namespace {

// Numbers of events, in any order of coming.
class CoveredEvents {
 public:
    void add(std::int64_t first, std::int64_t last) { runs_.emplace_back(first, last); }
    // The first one from 1 to `until` that is not covered; 0 where all are.
    std::int64_t first_missing(std::int64_t until) {
        std::sort(runs_.begin(), runs_.end());
        std::int64_t at = 1;
        for (const auto& [first, last] : runs_) {
            if (first > at) break;
            at = std::max(at, last + 1);
        }
        return at <= until ? at : 0;
    }

 private:
    std::vector<std::pair<std::int64_t, std::int64_t>> runs_;
};

bool is_own_run(const SyncFacts& facts, const FolderParcel& p) {
    return p.header.sender == facts.id && p.header.book == facts.id && !p.header.is_register() &&
           facts.has(facts.id, p.header.end());
}
bool contains(const FolderParcel& outer, const FolderParcel& inner) {
    return outer.header.first <= inner.header.first && inner.header.last <= outer.header.last;
}
// Of two with the same events one stands for the other, and not the other way round.
bool stands_for(const FolderParcel& later, const FolderParcel& older) {
    if (&later == &older || !contains(later, older)) return false;
    return !contains(older, later) ||
           std::tie(older.header.made, older.digest) < std::tie(later.header.made, later.digest);
}

// Own parcels that no other one contains, the oldest first.
std::vector<const FolderParcel*> outermost(const SyncFacts& facts, const std::vector<FolderParcel>& parcels) {
    std::vector<const FolderParcel*> own, out;
    for (const auto& p : parcels)
        if (is_own_run(facts, p)) own.push_back(&p);
    for (const auto* p : own)
        if (std::none_of(own.begin(), own.end(), [&](const auto* q) { return stands_for(*q, *p); })) out.push_back(p);
    std::sort(out.begin(), out.end(), [](const auto* a, const auto* b) { return a->header.last < b->header.last; });
    return out;
}

// From which event on a parcel would make the folder tidy; 0 where there are few parcels. Newer ones are taken as long
// as the next older one is not much larger than all of them, so that an event is written again a few times in its life.
std::int64_t gathered_from(const std::vector<const FolderParcel*>& own) {
    if (own.size() < most_parcels) return 0;
    constexpr std::size_t fewest = 4;
    std::uint64_t bytes = 0;
    std::int64_t first = 0;
    std::size_t taken = 0;
    for (auto at = own.rbegin(); at != own.rend(); ++at, ++taken) {
        if (taken >= fewest && (*at)->size > 2 * bytes) break;
        bytes += (*at)->size;
        first = first == 0 ? (*at)->header.first : std::min(first, (*at)->header.first);
    }
    return first;
}

// A device that wants the events, and said days after a parcel was made that it lacks them, does not see that parcel:
// programs that copy a folder lose files.
bool should_have_come(const SyncDevice& device, const BookId& book, Instant made) {
    return device.notice && device.notice->wants(book) && device.notice->at > made + longest_on_its_way;
}

// The parcels with events of one book on which this one may rest. Each is asked for once, however many devices need it,
// and only where one does: all its bytes are read for it.
class ParcelsOfBook {
 public:
    ParcelsOfBook(const SyncFacts& facts, const std::vector<FolderParcel>& parcels, const BookId& book,
                  const IsWhole& is_whole)
        : facts_(facts), is_whole_(is_whole) {
        // of what a book says of itself, or this one: a third one's word could hold back what is needed
        for (const auto& p : parcels)
            if (p.header.book == book && !p.header.is_register() &&
                (p.header.sender == book || p.header.sender == facts.id))
                all_.push_back({&p, std::nullopt});
    }
    template <class Visit>
    void each_behind(std::int64_t has, std::string_view public_key, const Visit& visit) {
        for (auto& [p, counts] : all_) {
            if (p->header.last <= has || !p->opens_for(public_key)) continue;
            if (!counts) counts = facts_.has(p->header.book, p->header.end()) && is_whole_(*p);
            if (*counts) visit(*p);
        }
    }

 private:
    const SyncFacts& facts_;
    const IsWhole& is_whole_;
    std::vector<std::pair<const FolderParcel*, std::optional<bool>>> all_;
};

std::int64_t first_missing(const SyncFacts& facts, const SyncDevice& device, ParcelsOfBook& parcels, const BookId& book,
                           std::int64_t until) {
    CoveredEvents covered;
    const auto has = acknowledged(facts, device, book);
    covered.add(1, has);
    if (has >= until) return 0;
    std::vector<const FolderParcel*> unseen;
    parcels.each_behind(has, device.public_key, [&](const FolderParcel& p) {
        if (should_have_come(device, book, p.header.made))
            unseen.push_back(&p);
        else
            covered.add(p.header.first, p.header.last);
    });
    // Where even the third one does not come, another one would not either.
    if (unseen.size() >= 3)
        for (const auto* p : unseen) covered.add(p->header.first, p->header.last);
    return covered.first_missing(until);
}

void plan_own(const SyncFacts& facts, const std::vector<SyncDevice>& devices, const std::vector<FolderParcel>& parcels,
              const IsWhole& is_whole, std::vector<PlannedParcel>& out) {
    std::int64_t first = 0;
    ParcelsOfBook of_own(facts, parcels, facts.id, is_whole);
    for (const auto& device : devices)
        if (const auto missing = first_missing(facts, device, of_own, facts.id, facts.news); missing != 0)
            first = first == 0 ? missing : std::min(first, missing);
    if (first == 0) return;  // older ones are gathered when there is something to say
    const auto own = outermost(facts, parcels);
    if (const auto from = gathered_from(own); from != 0) first = std::min(first, from);
    PlannedParcel one{facts.id, first, facts.head, false, {}};
    one.gathers = std::any_of(own.begin(), own.end(), [&](const auto* p) { return p->header.first >= first; });
    for (const auto& device : devices) one.to.push_back(device.id);
    out.push_back(std::move(one));
}

// What came of another book, and does not stand here any more for a device that wants it.
void plan_passing_on(const SyncFacts& facts, const std::vector<SyncDevice>& devices,
                     const std::vector<FolderParcel>& parcels, const IsWhole& is_whole,
                     std::vector<PlannedParcel>& out) {
    std::set<BookId> done;
    for (const auto& held : facts.held) {
        if (held.head.seq == 0 || !done.insert(held.id).second) continue;
        PlannedParcel one{held.id, 1, held.head, false, {}};
        std::optional<ParcelsOfBook> of_book;
        for (const auto& device : devices) {
            if (device.id == held.id || !device.notice || !device.notice->wants(held.id)) continue;
            if (!of_book) of_book.emplace(facts, parcels, held.id, is_whole);
            if (first_missing(facts, device, *of_book, held.id, held.head.seq) != 0) one.to.push_back(device.id);
        }
        if (!one.to.empty()) out.push_back(std::move(one));
    }
}

// Whether the register tells a device something that no event of a book that it takes in tells it.
bool needs_register(const SyncFacts& facts, const SyncDevice& device) {
    return std::any_of(facts.books_of_entries.begin(), facts.books_of_entries.end(), [&](const BookId& book) {
        return book != facts.id && book != device.id && !(device.notice && device.notice->wants(book));
    });
}
const FolderParcel* newest_register(const SyncFacts& facts, const std::vector<FolderParcel>& parcels,
                                    const std::function<bool(const FolderParcel&)>& fits) {
    const FolderParcel* out = nullptr;
    for (const auto& p : parcels)
        if (p.header.sender == facts.id && p.header.is_register() && (!out || out->header.last < p.header.last) &&
            fits(p))
            out = &p;
    return out;
}

// The own registers in the folder. Each is whole by itself, so a later one stands for an earlier one.
class OwnRegisters {
 public:
    OwnRegisters(const SyncFacts& facts, const std::vector<SyncDevice>& devices,
                 const std::vector<FolderParcel>& parcels, const IsWhole& is_whole)
        : facts_(facts), devices_(devices), is_whole_(is_whole) {
        for (const auto& p : parcels)
            if (p.header.sender == facts.id && p.header.is_register()) all_.push_back(&p);
        std::sort(all_.begin(), all_.end(),
                  [](const auto* a, const auto* b) { return a->header.last > b->header.last; });
    }
    // Each device has it or a later one; or three later ones are here for all of them: while a register changes each
    // day, and a device is away, there would be one of each day.
    [[nodiscard]] bool stand_for(const FolderParcel& p) const {
        constexpr std::size_t enough = 3;
        std::size_t later = 0;
        for (const auto* q : all_)
            later += q->header.last > p.header.last && opens_for_all(*q) && is_whole_(*q) ? 1 : 0;
        return later >= enough || (later > 0 && std::all_of(devices_.begin(), devices_.end(), [&](const auto& device) {
                                       return !needs_register(facts_, device) || has_one_since(device, p);
                                   }));
    }

 private:
    [[nodiscard]] bool opens_for_all(const FolderParcel& p) const {
        return std::all_of(devices_.begin(), devices_.end(), [&](const SyncDevice& device) {
            return !needs_register(facts_, device) || p.opens_for(device.public_key);
        });
    }
    [[nodiscard]] bool has_one_since(const SyncDevice& device, const FolderParcel& p) const {
        if (!device.notice) return false;
        return (facts_.entries && device.notice->has_register(facts_.id, *facts_.entries)) ||
               std::any_of(all_.begin(), all_.end(), [&](const FolderParcel* q) {
                   return q->header.last >= p.header.last && device.notice->has_register(facts_.id, q->header.digest);
               });
    }

    const SyncFacts& facts_;
    const std::vector<SyncDevice>& devices_;
    const IsWhole& is_whole_;
    std::vector<const FolderParcel*> all_;  // the latest first
};

// Of a device that is gone: this book has all that is in the parcel, and so has each device that wants it, as far as
// it counts. What this book lacks stays, for a person to look at.
bool is_needed_no_more(const SyncFacts& facts, const std::vector<SyncDevice>& devices, const GoneDevice& gone,
                       const FolderParcel& p) {
    const auto& h = p.header;
    if (!h.is_register() && !facts.holds(h.book, h.first, h.end())) return false;
    const bool ends_before = gone.withdrawn && h.book == gone.id;
    const auto until = !ends_before ? h.last : gone.last ? std::min(h.last, gone.last->seq) : 0;
    return std::all_of(devices.begin(), devices.end(), [&](const SyncDevice& device) {
        if (device.id == h.book || !device.notice || !device.notice->wants(h.book)) return true;
        return h.is_register() ? device.notice->has_register(h.book, h.digest)
                               : acknowledged(facts, device, h.book) >= until;
    });
}

void plan_register(const SyncFacts& facts, const std::vector<SyncDevice>& devices,
                   const std::vector<FolderParcel>& parcels, const IsWhole& is_whole, std::vector<PlannedParcel>& out) {
    if (!facts.entries) return;
    PlannedParcel one{facts.id, 0, {facts.head.seq, *facts.entries}, false, {}};
    bool missing = false;
    for (const auto& device : devices) {
        if (!needs_register(facts, device)) continue;
        one.to.push_back(device.id);
        if (device.notice && device.notice->has_register(facts.id, *facts.entries)) continue;
        const auto* newest = newest_register(
            facts, parcels, [&](const FolderParcel& p) { return p.opens_for(device.public_key) && is_whole(p); });
        missing = missing || !newest || newest->header.digest != *facts.entries;
    }
    if (missing) out.push_back(std::move(one));
}

}  // namespace

bool FolderParcel::opens_for(std::string_view public_key) const {
    return !header.sealed || keys.contains(public_key);
}

std::int64_t acknowledged(const SyncFacts& facts, const SyncDevice& device, const BookId& book) {
    std::int64_t out = 0;
    if (device.notice)
        for (const auto& one : device.notice->have)
            if (one.id == book && one.head.seq > out && facts.has(book, one.head)) out = one.head.seq;
    return out;
}

std::vector<PlannedParcel> parcels_to_write(const SyncFacts& facts, const std::vector<SyncDevice>& devices,
                                            const std::vector<FolderParcel>& parcels, const IsWhole& is_whole) {
    std::vector<PlannedParcel> out;
    plan_own(facts, devices, parcels, is_whole, out);
    plan_passing_on(facts, devices, parcels, is_whole, out);
    plan_register(facts, devices, parcels, is_whole, out);
    return out;
}

std::vector<std::size_t> parcels_to_remove(const SyncFacts& facts, const std::vector<SyncDevice>& devices,
                                           const std::vector<FolderParcel>& parcels, const IsWhole& is_whole) {
    const auto read_by_all = [&](const FolderParcel& p) {
        return std::all_of(devices.begin(), devices.end(), [&](const SyncDevice& device) {
            return device.notice && device.notice->has_read(p.digest) && p.opens_for(device.public_key) &&
                   acknowledged(facts, device, facts.id) >= p.header.last;
        });
    };
    const auto is_replaced = [&](const FolderParcel& p) {
        return std::any_of(parcels.begin(), parcels.end(), [&](const FolderParcel& q) {
            return q.header.gathers && is_own_run(facts, q) && stands_for(q, p) && read_by_all(q) && is_whole(q);
        });
    };
    const OwnRegisters registers(facts, devices, parcels, is_whole);
    const auto was_passed_on = [&](const FolderParcel& p) {
        bool any = false;
        for (const auto& device : devices) {
            if (!device.notice || !device.notice->wants(p.header.book)) continue;
            any = true;
            if (acknowledged(facts, device, p.header.book) < p.header.last) return false;
        }
        return any;
    };
    std::vector<std::size_t> out;
    if (devices.empty()) return out;
    for (std::size_t i = 0; i < parcels.size(); ++i) {
        const auto& p = parcels[i];
        const auto gone = std::find_if(facts.gone.begin(), facts.gone.end(),
                                       [&](const GoneDevice& one) { return one.id == p.header.sender; });
        if (gone != facts.gone.end()) {
            if (is_needed_no_more(facts, devices, *gone, p) && is_whole(p)) out.push_back(i);
            continue;
        }
        if (p.header.sender != facts.id) continue;
        if (p.header.is_register()      ? registers.stand_for(p)
            : p.header.book != facts.id ? was_passed_on(p)
                                        : is_own_run(facts, p) && is_replaced(p))
            out.push_back(i);
    }
    return out;
}

}  // namespace tarebook
