#include "desk.hpp"

#include <fmt/format.h>
#include <sodium.h>

#include <cerrno>
#include <cstring>

#include "atomic_book_file.hpp"
#include "event_writer.hpp"
#include "hold.hpp"
#include "key.hpp"
#include "key_place.hpp"
#include "own_end.hpp"
#include "tarebook/book/card.hpp"
#include "tarebook/book/server_address.hpp"
#include "tarebook/units/bounded_file.hpp"
#include "tarebook/units/new_file.hpp"
#include "units/hex.hpp"
#include "work.hpp"

namespace tarebook {
namespace {

constexpr std::size_t longest_note = 200;

// Which desk of the book this person is: "ID KEY".
std::filesystem::path desk_file_of(const BookId& book) {
    return own_server_folder() / (hex(book) + ".desk");
}

std::optional<Desk> desk_of_this_person(const BookId& book) {
    const auto text = read_whole(desk_file_of(book), longest_note);
    const auto blank = text ? text->find(' ') : std::string::npos;
    if (blank == std::string::npos) return std::nullopt;
    const auto id = book_id_from_hex(text->substr(0, blank));
    auto key = text->substr(blank + 1, 64);
    if (!id || !digest_from_hex(key)) return std::nullopt;
    return Desk{*id, std::move(key), 0, false};
}

void keep_desk(const BookId& book, const Desk& desk) {
    const auto file = desk_file_of(book);
    NewFile made(file);
    if (!made.is_open() || !made.write(hex(desk.id) + " " + desk.public_key + "\n") || made.take_name() != Named::yes)
        throw StorageError(fmt::format("which desk this person is cannot be kept in {}: {}. Nothing was written.",
                                       file.string(), std::strerror(errno)),
                           "make the folder writable for this person alone", Written::no, true);
}

// Its key comes first: what is cut off behind it leaves a key that nothing names.
Desk new_desk(Book::Impl& book) {
    Desk out;
    SecretKey secret;
    std::array<unsigned char, crypto_sign_PUBLICKEYBYTES> public_key{};
    crypto_sign_keypair(public_key.data(), secret.bytes.data());
    out.public_key = hex_of_bytes(public_key);
    randombytes_buf(out.id.data(), out.id.size());
    if (is_practice(book.info.id))  // its id ends as that of the book does
        std::copy(book.info.id.begin() + 8, book.info.id.end(), out.id.begin() + 8);
    keep_first_key(book.db, out.id, {reinterpret_cast<const char*>(secret.bytes.data()), secret.bytes.size()});
    keep_desk(book.info.id, out);
    return out;
}

}  // namespace

void read_desk(Book::Impl& book) {
    book.info.desk.reset();
    std::error_code ignored;
    if (std::filesystem::exists(key_file_of(book.info.id), ignored)) return;  // this person keeps the book
    auto desk = desk_of_this_person(book.info.id);
    if (!desk) return;
    desk->number = book.db.integer("SELECT number FROM desk WHERE book = ?", desk->id).value_or(0);
    const auto all = trusted_books(book);
    const auto it = all.find(desk->id);
    desk->trusted = it != all.end() && !it->second.withdrawn && it->second.key == desk->public_key;
    book.info.desk = std::move(desk);
}

void refuse_untrusted_desk(const Book::Impl& book) {
    if (!book.info.desk) return;
    const auto& desk = *book.info.desk;
    if (desk.number == 0)
        throw StorageError("the server does not know this desk. Nothing was written.", "run: tarebook books desk");
    if (desk.trusted) return;
    throw StorageError("the book does not trust this desk. Nothing was written.",
                       fmt::format("who keeps the book types once: tarebook books trust NAME --card {}",
                                   card_text(BookCard{book.info.shop, desk.id, desk.public_key})));
}

std::string where_place_is_gone(const Book::Impl& book) {
    if (book.db.on_server())
        return fmt::format("where there is no such file, another name does, too: tarebook books move {} --to FILE",
                           book.path.string());
    return fmt::format("where {} is gone for good, a book of its own goes on: tarebook restore {} --to FILE",
                       *book.moving_to, book.path.string());
}

void refuse_where_it_was(const Book::Impl& book) {
    if (book.moving_to)
        throw StorageError(
            fmt::format("the book {} is on its way to {}. Nothing was written.", book.path.string(), *book.moving_to),
            book.info.desk
                ? "wait for the move; where the move was cut off, the person who keeps the book ends it"
                : fmt::format("wait for the move; where the move was cut off: tarebook books move {} --to {}; {}",
                              book.path.string(), *book.moving_to, where_place_is_gone(book)));
    if (!book.moved_to) return;
    throw StorageError(
        fmt::format("the book {} was moved to {}, and nothing more is recorded here. Nothing was written.",
                    book.path.string(), *book.moved_to),
        "give the book by its new name: --book, TAREBOOK, or the configuration");
}

void refuse_at_a_desk(const Book::Impl& book, std::string_view what) {
    if (!book.info.desk) return;
    throw StorageError(fmt::format("only the person who keeps the book {}. Nothing was written.", what),
                       "ask that person, who has the book's own key");
}

Head begin_chain(Book::Impl& book, const Event& draft) {
    const auto& desk = *book.info.desk;
    const auto origin = book.writer().origin;
    book.db.run("INSERT INTO origin(id, book, branch, effective_to) VALUES (?, ?, 0, 0)", origin, desk.id);
    book.origins[origin] = {desk.id, 0, 0, 0, 0};
    Event e;
    e.book = desk.id;
    e.seq = 1;
    e.when = draft.when;
    e.recorded = draft.recorded;
    e.what = kinds::Start{book.info.company,
                          book.info.units == DisplayUnits::kg ? "kg" : "lb",
                          book.info.zone,
                          desk.public_key,
                          book.info.country.empty() ? std::nullopt : std::optional(book.info.country),
                          {},
                          hex(book.info.shop),
                          practice_word(is_practice(book.info.id) ? Purpose::practice : Purpose::real)};
    return {1, EventWriter(book).write(first_event_id(book, 1), e)};
}

std::filesystem::path Book::key_file() const {
    return guarded(*impl_, [&] {
        if (!impl_->db.on_server()) return impl_->path;
        read_desk(*impl_);
        return key_file_of(impl_->writer().book);
    });
}

Desk Book::become_desk() {
    return guarded(*impl_, [&] {
        auto& book = *impl_;
        if (!book.db.on_server())
            throw StorageError(fmt::format("{} is a file, and has no desks. Nothing was written.", book.path.string()),
                               "put it on a server for several desks: tarebook books move --to postgresql://HOST/DB");
        std::error_code ignored;
        if (std::filesystem::exists(key_file_of(book.info.id), ignored))
            throw StorageError("this person keeps the book, and records in it with its own key. Nothing was written.",
                               "run it as the person of the desk");
        Transaction::Work work(book);
        if (book.info.desk && !kept_key(book))
            throw StorageError(
                fmt::format("this person is a desk of the book, and its key {} is not there. Nothing was "
                            "written.",
                            key_file_of(book.info.desk->id).string()),
                fmt::format("put it back from a copy; or remove {}, and become another desk",
                            desk_file_of(book.info.id).string()));
        auto desk = book.info.desk ? *book.info.desk : new_desk(book);
        if (desk.number == 0) {
            // Beyond all numbers that events have, also those that came with a book which had desks before.
            desk.number = book.db
                              .integer(
                                  "SELECT greatest(coalesce((SELECT max(number) FROM desk), 0), "
                                  "coalesce((SELECT max(id) FROM event), 0) / ?) + 1",
                                  event_ids_of_a_desk)
                              .value_or(1);
            book.db.run("INSERT INTO desk(number, book, key) VALUES (?, ?, ?)", desk.number, desk.id, desk.public_key);
        }
        work.open = false;
        book.db.commit();
        read_desk(book);
        return *book.info.desk;
    });
}

}  // namespace tarebook
