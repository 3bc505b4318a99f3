#include "tarebook/book/salvage.hpp"

#include <fmt/format.h>
#include <sodium.h>

#include <algorithm>
#include <functional>
#include <map>

#include "bundle_bytes.hpp"
#include "bundle_form.hpp"
#include "units/hex.hpp"

namespace tarebook {
namespace {

std::string signed_with(std::string_view secret_key, std::string_view message) {
    std::string out(crypto_sign_BYTES, '\0');
    crypto_sign_detached(reinterpret_cast<unsigned char*>(out.data()), nullptr,
                         reinterpret_cast<const unsigned char*>(message.data()), message.size(),
                         reinterpret_cast<const unsigned char*>(secret_key.data()));
    return out;
}

struct Run {
    std::size_t begin = 0, end = 0;  // positions in the list of events
};

// Runs of events that follow one another.
std::vector<Run> runs_of(const std::vector<SalvagedEvent>& events) {
    std::vector<Run> out;
    for (std::size_t i = 0; i < events.size(); ++i) {
        const bool follows = !out.empty() && events[i].book == events[i - 1].book &&
                             events[i].seq == events[i - 1].seq + 1 && events[i].previous == events[i - 1].digest;
        if (!follows) out.push_back({i, i});
        out.back().end = i + 1;
    }
    return out;
}

// Public keys from several places of the file; any of them may be damaged.
std::map<BookId, std::vector<std::string>> keys_said(const SalvagedRows& rows) {
    std::map<BookId, std::vector<std::string>> out;
    if (!rows.public_key.empty()) out[rows.book].push_back(rows.public_key);
    if (rows.secret_key.size() == crypto_sign_SECRETKEYBYTES)
        out[rows.book].push_back(hex_of_bytes(std::string_view(rows.secret_key).substr(crypto_sign_SEEDBYTES)));
    for (const auto& e : rows.events) {
        const auto event = event_from_body(e.body);
        if (!event) continue;
        if (const auto* start = std::get_if<kinds::Start>(&event->what)) out[e.book].push_back(start->public_key);
        if (const auto* trust = std::get_if<kinds::Trust>(&event->what))
            if (const auto book = book_id_from_hex(trust->book)) out[*book].push_back(trust->key);
    }
    return out;
}

// The key under which the most heads hold; the first of several such keys.
std::string best_key(const SalvagedRows& rows, const BookId& book, const std::vector<std::string>& keys) {
    if (std::adjacent_find(keys.begin(), keys.end(), std::not_equal_to<>()) == keys.end()) return keys.front();
    const auto held = [&](const std::string& key) {
        return std::count_if(rows.heads.begin(), rows.heads.end(), [&](const SalvagedHead& head) {
            return head.book == book && head_signature_holds(key, book, head.seq, head.digest, head.signature);
        });
    };
    return *std::max_element(keys.begin(), keys.end(), [&](const auto& a, const auto& b) { return held(a) < held(b); });
}

class Writing {
 public:
    Writing(const SalvagedRows& rows, BundleWriter& writer) : rows_(rows), out_(writer) {
        for (const auto& [book, keys] : keys_said(rows)) keys_[book] = best_key(rows, book, keys);
        for (const auto& head : rows.heads)
            if (holds(head)) heads_[head.digest] = &head;
        for (const auto* heads : {&rows.heads, &rows.lost_heads})
            for (const auto& head : *heads)
                if (head.book == rows.book && head.seq > own_head_ && holds(head)) own_head_ = head.seq;
        // The maker of the bundle signs the file as a whole; trust does not depend on that signature.
        std::array<unsigned char, crypto_sign_PUBLICKEYBYTES> public_key{};
        std::array<unsigned char, crypto_sign_SECRETKEYBYTES> secret_key{};
        crypto_sign_keypair(public_key.data(), secret_key.data());
        key_ = hex_of_bytes({reinterpret_cast<const char*>(public_key.data()), public_key.size()});
        secret_.assign(reinterpret_cast<const char*>(secret_key.data()), secret_key.size());
    }

    Salvaged run(Instant now) {
        Salvaged out;
        out.unreadable = rows_.unreadable;
        out.altered = rows_.altered;
        out.told = rows_.told;
        out_.line(bundle_form::header({rows_.book, rows_.shop, key_, now, !rows_.people.empty()}));
        for (const auto& person : rows_.people) out_.line(bundle_form::name(person));
        for (const auto& run : runs_of(rows_.events)) one(run, out);
        const auto digest = out_.digest();
        out_.line(bundle_form::end(digest, out_.lines(), out.events,
                                   hex_of_bytes(signed_with(secret_, bundle_form::end_message(digest)))));
        return out;
    }

 private:
    void one(const Run& run, Salvaged& out) {
        const auto& events = rows_.events;
        const auto& book = events[run.begin].book;
        const auto key = keys_.find(book);
        auto end = run.end;
        while (end > run.begin && !heads_.contains(events[end - 1].digest)) --end;
        std::string signature;
        if (end > run.begin) signature = heads_.at(events[end - 1].digest)->signature;
        // Events behind the last good head have lost theirs. If a gap follows them, the book's own key signs them
        // again; a damaged key cannot, and then they are left out. Events behind the last good head of the own chain
        // were not recorded by a command.
        auto last = run.end;
        while (last > end && (events[last - 1].seq >= own_head_ || contested(last - 1))) --last;
        if (end < last && book == rows_.book && rows_.secret_key.size() == crypto_sign_SECRETKEYBYTES &&
            key != keys_.end()) {
            const auto& e = events[last - 1];
            auto anew = signed_with(rows_.secret_key, head_message(book, e.seq, e.digest));
            if (head_signature_holds(key->second, book, e.seq, e.digest, anew)) {
                end = last;
                signature = std::move(anew);
                ++out.signed_anew;
            }
        }
        if (signature.empty() || key == keys_.end()) {
            out.left_out += static_cast<std::int64_t>(run.end - run.begin);
            out.told.push_back(fmt::format("events {} to {} of book {}: no signed head covers them",
                                           events[run.begin].seq, events[run.end - 1].seq, hex(book).substr(0, 12)));
            return;
        }
        if (end < run.end) {
            out.left_out += static_cast<std::int64_t>(run.end - end);
            out.told.push_back(fmt::format("events {} to {} of book {}: no signed head covers them", events[end].seq,
                                           events[run.end - 1].seq, hex(book).substr(0, 12)));
        }
        out_.line(bundle_form::chain({book, events[run.begin].seq, key->second, events[run.begin].previous}));
        for (auto i = run.begin; i < end; ++i) out_.line(events[i].body);
        out_.line(bundle_form::head({events[end - 1].seq, events[end - 1].digest}, hex_of_bytes(signature)));
        out.events += static_cast<std::int64_t>(end - run.begin);
        ++out.runs;
    }
    [[nodiscard]] bool holds(const SalvagedHead& head) const {
        const auto key = keys_.find(head.book);
        return key != keys_.end() &&
               head_signature_holds(key->second, head.book, head.seq, head.digest, head.signature);
    }
    // Whether another event has the same place.
    [[nodiscard]] bool contested(std::size_t i) const {
        const auto same = [&](std::size_t other) {
            return rows_.events[other].book == rows_.events[i].book && rows_.events[other].seq == rows_.events[i].seq;
        };
        return (i > 0 && same(i - 1)) || (i + 1 < rows_.events.size() && same(i + 1));
    }

    const SalvagedRows& rows_;
    DigestedLines out_;
    std::map<Digest, const SalvagedHead*> heads_;  // those whose signature holds
    std::int64_t own_head_ = 0;                    // the last event of the own chain under a head that holds
    std::map<BookId, std::string> keys_;
    std::string key_, secret_;
};

}  // namespace

Result<Salvaged> salvage(const std::filesystem::path& damaged, const std::filesystem::path& to, Instant now) {
    if (auto taken = name_in_use(to)) return fail(std::move(*taken));
    auto rows = salvage_rows(damaged);
    if (rows.events.empty())
        return fail({ErrorKind::storage,
                     "nothing-to-salvage",
                     fmt::format("no event of {} can be read{}", damaged.string(),
                                 rows.told.empty() ? "" : ": " + rows.told.front()),
                     {},
                     "a book, even a damaged one",
                     "look for a backup, or for bundles that were sent"});
    auto writer = BundleWriter::open(to, {});
    if (!writer) return fail(writer.error());
    auto out = Writing(rows, **writer).run(now);
    sodium_memzero(rows.secret_key.data(), rows.secret_key.size());
    if (const auto closed = (*writer)->close(); !closed) return fail(closed.error());
    return out;
}

}  // namespace tarebook
