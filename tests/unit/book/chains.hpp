// A book into which a test puts events, heads and origins row by row: also such as no command would write.
#pragma once

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <sodium.h>

#include "book/atomic_book_file.hpp"
#include "book/branches.hpp"
#include "book/event_writer.hpp"
#include "book/server_book.hpp"
#include "book/upgrade.hpp"
#include "counting_judge.hpp"
#include "tarebook/book/server_address.hpp"
#include "units/hex.hpp"

namespace tarebook::test {

inline Digest digest_beginning(std::string digits) {
    digits.resize(64, '7');
    return digest_from_hex(digits).value();
}

/// What a book has said: each event names the one before it. The key is made of the book's first byte alone, so that
/// all digests are the same in each run.
class Chain {
 public:
    explicit Chain(std::uint8_t first_byte) : Chain(BookId{first_byte}, first_byte) {}
    Chain(const BookId& of_book, std::uint8_t key_byte) : id(of_book) {
        const std::array<unsigned char, crypto_sign_SEEDBYTES> seed{key_byte};
        std::array<unsigned char, crypto_sign_PUBLICKEYBYTES> made{};
        crypto_sign_seed_keypair(made.data(), secret_.data(), seed.data());
        key = hex_of_bytes(made);
    }
    struct Link {
        Event event;
        std::string body;
        Digest digest{};
    };
    /// Says one thing more.
    const Link& say(What what, int hour = 0) {
        Link link;
        link.event = event_of(hour == 0 ? static_cast<int>(links.size()) + 1 : hour, std::move(what));
        link.event.book = id;
        link.event.seq = 1 + (links.empty() ? 0 : links.back().event.seq);
        if (!links.empty()) link.event.previous = links.back().digest;
        link.body = canonical_body(link.event);
        link.digest = digest_of(link.body);
        links.push_back(std::move(link));
        return links.back();
    }
    /// Weighs RC-1 until the chain has so many events.
    Chain& weigh_up_to(std::size_t events, int pounds = 20) {
        while (links.size() < events) say(weighed(0, "RC-1", fmt::format("{}lb", pounds)).what);
        return *this;
    }
    /// A copy of the book, made when it had so many events.
    [[nodiscard]] Chain copied_after(std::size_t events) const {
        auto out = *this;
        out.links.resize(events);
        return out;
    }
    [[nodiscard]] const Digest& digest(std::int64_t seq) const {
        return links.at(static_cast<std::size_t>(seq - 1)).digest;
    }
    /// By this book's key, of a head of another one.
    [[nodiscard]] std::string signature(const Chain& of, std::int64_t seq) const {
        const auto message = head_message(of.id, seq, of.digest(seq));
        std::string out(crypto_sign_BYTES, '\0');
        crypto_sign_detached(reinterpret_cast<unsigned char*>(out.data()), nullptr,
                             reinterpret_cast<const unsigned char*>(message.data()), message.size(), secret_.data());
        return out;
    }
    [[nodiscard]] std::string signature(std::int64_t seq) const { return signature(*this, seq); }
    [[nodiscard]] kinds::Trust card() const { return {hex(id), key, "truck", {}}; }

    BookId id{};
    std::string key;
    std::vector<Link> links;

 private:
    std::array<unsigned char, crypto_sign_SECRETKEYBYTES> secret_{};
};

/// The projections of it are empty: what is asked rests on events, heads and origins alone.
class MemoryBook {
 public:
    MemoryBook() : impl(room.book("rows"), connection_to(room.book("rows"))), own(BookId{0x44}, 0x44) {
        set_info(impl.db, "id", hex(own.id));
        set_info(impl.db, "public_key", own.key);
        origin(own.id);
        impl.read_info();
        say(kinds::Start());
    }
    /// An event of the own chain.
    const Chain::Link& say(What what, int hour = 0) {
        const auto& link = own.say(std::move(what), hour);
        put(link, impl.own_origin);
        return link;
    }
    std::int64_t origin(const BookId& id, std::int64_t branch = 0, std::int64_t parent_branch = -1,
                        std::int64_t parent_seq = 0) {
        const auto number = origin_id(id, static_cast<std::uint16_t>(branch));
        impl.db.run("INSERT INTO origin(id, book, branch, parent, parent_seq) VALUES (?, ?, ?, ?, ?)", number, id,
                    branch, parent_branch < 0 ? 0 : origin_id(id, static_cast<std::uint16_t>(parent_branch)),
                    parent_seq);
        return number;
    }
    void put(const Chain::Link& link, std::int64_t at_origin) {
        EventWriter(impl).put(free_event_id(impl.db), at_origin, link.event, link.digest, link.body);
    }
    /// Events `from` to `to` of a chain, on a branch that is there.
    void put(const Chain& chain, std::int64_t from, std::int64_t to, std::int64_t branch = 0) {
        for (auto seq = from; seq <= to; ++seq)
            put(chain.links.at(static_cast<std::size_t>(seq - 1)),
                origin_id(chain.id, static_cast<std::uint16_t>(branch)));
    }
    /// The head at an event of `chain`, signed by `signer`.
    void head(const Chain& chain, std::int64_t seq, const Chain& signer, std::int64_t branch = 0) {
        impl.db.run("INSERT INTO head(origin, seq, digest, signature) VALUES (?, ?, ?, ?)",
                    origin_id(chain.id, static_cast<std::uint16_t>(branch)), seq, chain.digest(seq),
                    Bytes{signer.signature(chain, seq)});
    }
    void head(const Chain& chain, std::int64_t seq, std::int64_t branch = 0) { head(chain, seq, chain, branch); }
    /// As a book of so many events comes in: a branch, its events, a head at the last of them.
    void take(const Chain& chain, std::int64_t events) {
        origin(chain.id);
        put(chain, 1, events);
        head(chain, events);
        impl.read_origins();
    }
    BookRoom room;
    Book::Impl impl;
    Chain own;

 private:
    static std::unique_ptr<Db> connection_to(const std::filesystem::path& place) {
        if (is_server_address(place)) {
            make_on_server(place, [](std::unique_ptr<Db> made) { made->script("COMMIT"); });
            return connection_to_server(place);
        }
        auto db = std::make_unique<Db>(":memory:", FileMode::make);
        db->script(fmt::format("PRAGMA application_id = {}", application_id));
        make_newest(*db);
        return db;
    }
};

}  // namespace tarebook::test
