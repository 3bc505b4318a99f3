// Makes and opens the file.
#include <fmt/format.h>
#include <sodium.h>

#include "atomic_book_file.hpp"
#include "book_file.hpp"
#include "check_schema.hpp"
#include "desk.hpp"
#include "impl.hpp"
#include "journal.hpp"
#include "ledger/fold_alone.hpp"
#include "migrations.hpp"
#include "network_disk.hpp"
#include "server_book.hpp"
#include "tarebook/book/server_address.hpp"
#include "tarebook/units/country.hpp"
#include "transaction.hpp"
#include "upgrade.hpp"

namespace tarebook {
namespace {

void start_sodium() {
    if (sodium_init() < 0)
        throw StorageError("the machine gives no random numbers; no key can be made",
                           "start the book on another machine, or after a restart");
}

std::unique_ptr<Book::Impl> open_for_reading(const std::filesystem::path& path, const WhileWaiting& while_waiting) {
    auto impl = std::make_unique<Book::Impl>(path, connection_for_reading(path, while_waiting));
    impl->read_info();
    // A log on a network disk would be read through the memory of this machine alone.
    if (has_log(impl->db) && network_disk_of(path)) choose_journal(*impl);
    return impl;
}

// Another program may change what counts between two of its questions.
void read_info_of_one_moment(Book::Impl& book) {
    book.db.begin();
    book.read_info();
    book.db.roll_back();  // as nothing was written
}

// Foreign keys tie projections to each other, and only this program writes those. A build with assertions, which the
// tests use, lets SQLite look each of them up; a release leaves it to `check`, which compares every row: the look-ups
// were a fifth of an import.
#ifdef NDEBUG
constexpr auto verify_foreign_keys = "PRAGMA foreign_keys = OFF";
#else
constexpr auto verify_foreign_keys = "PRAGMA foreign_keys = ON";
#endif

}  // namespace

void Book::Impl::look_afresh() {
    const bool changed = db.data_version() != seen_version;
    // On a server, what a recording that held a part of the book changed is in no look-up.
    if (changed || !db.on_server()) forget();
    if (changed) read_info();
}

namespace {
constexpr std::string_view stays = " What this command had recorded is in the book.";
}

void rethrow_of_book(const Book::Impl& book, const DbError& e) {
    try {
        rethrow_as_storage_error(e, book.path, book.writes && !book.committed, &book.db.patience());
    } catch (const StorageError& told) {
        if (!book.committed) throw;
        throw StorageError(fmt::format("{}{}", told.what(), stays), told.next(), Written::yes, told.disk());
    }
}

void throw_damaged(const Book::Impl& book, std::string_view what) {
    const std::string_view nothing = book.committed ? stays : book.writes ? " Nothing was written." : "";
    throw StorageError(fmt::format("the book {} is damaged ({}).{}", book.path.string(),
                                   book.origin_problems.empty() ? what : book.origin_problems.front(), nothing),
                       "stop recording in it, keep a copy, run: tarebook check",
                       book.committed ? Written::yes : Written::no);
}

void Book::Impl::read_info() {
    seen_version = db.data_version();
    const int version = schema_of(db);
    if (!db.on_server() && db.integer("PRAGMA application_id").value_or(0) != application_id)
        throw StorageError(fmt::format("{} is a database, but not a book.", path.string()),
                           "give the book with --book FILE");
    if (version < 1)
        throw StorageError(fmt::format("the book {} is damaged: it says that its schema is {}, and the first one is 1.",
                                       path.string(), version),
                           "stop recording in it, keep a copy, and go on from the last backup (tarebook restore)");
    if (version > newest_schema)
        throw StorageError(fmt::format("the book {} was written by a newer Tarebook (schema {}, this one knows {}).",
                                       path.string(), version, newest_schema),
                           "install the newer version to read or record");
    refuse_strange_sql(*this);
    moving_to.reset();  // a move that does not come off takes its word back
    auto s = db.ask("SELECT name, value FROM book");
    while (s.next()) {
        const auto name = s.text(0);
        const auto value = s.text(1);
        if (name == "company") info.company = value;
        if (name == "units") info.units = value == "kg" ? DisplayUnits::kg : DisplayUnits::lb;
        if (name == "zone") info.zone = value;
        if (name == "country") info.country = value;
        if (name == "public_key") info.public_key = value;
        if (name == "checks_edition") info.checks_edition = std::atoi(value.c_str());
        if (name == "shop") info.shop = book_id_from_hex(value).value_or(BookId{});
        if (name == "moved_to") moved_to = value;
        if (name == "moving_to") moving_to = value;
        if (name == "own_branch") own_branch = static_cast<std::uint16_t>(std::atoi(value.c_str()));
        if (name == "id")
            if (const auto id = book_id_from_hex(value)) info.id = *id;
    }
    if (info.shop == BookId{}) info.shop = info.id;
    reg.units = shown.units = info.units;
    if (version >= 6) read_origins();
    if (db.on_server() && writes) read_desk(*this);
}

Book Book::create(const std::filesystem::path& path, const std::string& company, DisplayUnits units,
                  const std::string& zone, const Moment& now, const std::optional<BookId>& shop, Purpose purpose,
                  const std::string& country, ReferenceData data) {
    start_sodium();
    if (shop && is_practice(*shop) && purpose == Purpose::real)
        throw StorageError(
            fmt::format("the shop {} is for practice, and the new book is real. Nothing was written.", hex(*shop)),
            "start a practice book, or give the card of a real one");
    if (shop && !is_practice(*shop) && purpose == Purpose::practice)
        throw StorageError(
            fmt::format("the shop {} is real, and the new book is for practice. Nothing was written.", hex(*shop)),
            "start a real book, or give the card of a practice book");
    if (const auto code = parse_country(country); !country.empty() && (!code || *code != country))
        throw StorageError(fmt::format("{} is not the code of a country. Nothing was written.", country),
                           "give two capital letters of ISO 3166-1, such as DE");
    // What a new book says of itself, and its first event; `finish` ends what the caller began.
    const auto fill = [&](std::unique_ptr<Impl> impl, const std::function<void(Db&, const BookId&)>& finish) {
        auto& db = impl->db;
        impl->writes = true;
        db.begin_recording();
        const auto id = new_identity(db, purpose);
        const auto forget_key = [&] {
            std::error_code ignored;
            if (is_server_address(path)) std::filesystem::remove(key_file_of(id), ignored);
        };
        try {
            set_info(db, "company", company);
            set_info(db, "units", units == DisplayUnits::kg ? "kg" : "lb");
            set_info(db, "zone", zone);
            if (!country.empty()) set_info(db, "country", country);
            if (shop) set_info(db, "shop", hex(*shop));
            note_checks_edition(db);
            db.commit();
            impl->read_info();
            Book book(std::move(impl));
            std::vector<Event> drafts(1);
            drafts[0].when = now;
            drafts[0].recorded = now.at;
            drafts[0].what = kinds::Start{company,
                                          units == DisplayUnits::kg ? "kg" : "lb",
                                          zone,
                                          book.info().public_key,
                                          country.empty() ? std::nullopt : std::optional(country),
                                          {},
                                          shop ? std::optional(hex(*shop)) : std::nullopt,
                                          practice_word(purpose)};
            {
                auto transaction = Transaction::begin(book);
                const auto outcomes = transaction.judge(drafts, FoldAlone());
                transaction.commit(drafts, outcomes, FoldAlone());
            }
            finish(db, id);
        } catch (const StorageError& e) {
            if (e.written() == Written::no) forget_key();
            throw;
        } catch (const DbError&) {
            forget_key();
            throw;
        }
    };
    if (is_server_address(path)) {
        try {
            make_on_server(path, [&](std::unique_ptr<Db> db) {
                fill(std::make_unique<Impl>(path, std::move(db)),
                     [&](Db& whole, const BookId& id) { commit_made(whole, path, id); });
            });
        } catch (const DbError& e) {
            rethrow_as_storage_error(e, path, true);
        }
        try {
            return open(path, Access::write, std::move(data));
        } catch (const StorageError& e) {
            throw StorageError(fmt::format("the book is made, but it cannot be opened: {}", e.what()), e.next(),
                               Written::yes, true);
        }
    }
    const auto exists = [&] {
        return StorageError(fmt::format("{} exists already. Nothing was written.", path.string()),
                            "choose another file with --book FILE");
    };
    std::error_code ignored;
    if (std::filesystem::exists(path, ignored)) throw exists();
    // Made whole under another name first: a `start` that is cut off leaves no file that looks like a book.
    AtomicBookFile building(path);
    try {
        {
            auto impl = std::make_unique<Impl>(building.path(), FileMode::write);
            auto& db = impl->db;
            db.script("PRAGMA synchronous = EXTRA");
            db.script(fmt::format("PRAGMA application_id = {}", application_id));
            make_newest(db);
            fill(std::move(impl), [](Db&, const BookId&) {});
        }
        if (!building.take_name()) throw exists();
        auto made = open(path, Access::write, std::move(data));
        if (const auto network = network_disk_of(path))
            made.impl_->info.remarks.push_back(
                fmt::format("the book is on a network disk ({}): two machines that record at the same time can damage "
                            "it, and what one recorded last can be lost when the other one stops. Keep it on a disk of "
                            "this machine, one book for each machine, and merge what they send",
                            *network));
        return made;
    } catch (const DbError& e) {
        rethrow_as_storage_error(e, path, true);
    }
}

Book Book::open(const std::filesystem::path& path, Access access, ReferenceData data, WhileWaiting while_waiting,
                const WhenOlder& when_older) {
    start_sodium();
    if (is_server_address(path)) {
        try {
            auto impl = std::make_unique<Impl>(path, connection_to_server(path));
            impl->data = std::move(data);
            impl->writes = access == Access::write;
            impl->db.patience().while_waiting(std::move(while_waiting));
            if (impl->writes) bring_up_to_date(impl->db);
            read_info_of_one_moment(*impl);
            if (impl->writes && !impl->origin_problems.empty()) throw_damaged(*impl, "its list of books");
            return Book(std::move(impl));
        } catch (const DbError& e) {
            rethrow_as_storage_error(e, path, access == Access::write);
        }
    }
    std::error_code ignored;
    if (!std::filesystem::exists(path, ignored))
        throw StorageError(fmt::format("there is no book at {}.", path.string()),
                           "make one: tarebook start --company NAME, or give it with --book FILE");
    refuse_other_than_file(path);
    try {
        refuse_strange_log(path);
        if (access == Access::read) {
            auto impl = open_for_reading(path, while_waiting);
            refuse_older(*impl, when_older.options);
            impl->data = std::move(data);
            return Book(std::move(impl));
        }
        auto impl = std::make_unique<Impl>(path, FileMode::write);
        impl->data = std::move(data);
        impl->writes = true;
        impl->db.patience().while_waiting(std::move(while_waiting));
        impl->db.script("PRAGMA synchronous = EXTRA");
        impl->db.script(verify_foreign_keys);
        read_info_of_one_moment(*impl);
        upgrade_to_record(*impl, when_older);
        if (!impl->origin_problems.empty()) throw_damaged(*impl, "its list of books");
        choose_journal(*impl);
        return Book(std::move(impl));
    } catch (const DbError& e) {
        rethrow_as_storage_error(e, path, access == Access::write);
    }
}

std::optional<Purpose> Book::purpose_of(const std::filesystem::path& path) {
    const bool server = is_server_address(path);
    std::error_code ignored;
    if (!server && !std::filesystem::is_regular_file(path, ignored)) return std::nullopt;
    try {
        if (!server) refuse_strange_log(path);  // SQLite would put the log into the book when this connection closes
        const auto db = server ? connection_to_server(path) : connection_for_reading(path);
        auto s = db->ask("SELECT value FROM book WHERE name = 'id'");
        const auto id = s.next() ? book_id_from_hex(s.bytes(0)) : std::nullopt;
        if (!id) return std::nullopt;
        return is_practice(*id) ? Purpose::practice : Purpose::real;
    } catch (const DbError&) {
        return std::nullopt;
    } catch (const StorageError&) {
        return std::nullopt;
    }
}

Book::Book(std::unique_ptr<Impl> impl) : impl_(std::move(impl)) {}
Book::Book(Book&&) noexcept = default;
Book& Book::operator=(Book&&) noexcept = default;
Book::~Book() = default;

void Book::hold_still() {
    guarded(*impl_, [&] {
        if (impl_->db.in_transaction()) return;
        impl_->db.begin();
        impl_->db.any("SELECT count(*) FROM book");  // takes the lock for reading
        impl_->look_afresh();
    });
}

void Book::let_go() {
    guarded(*impl_, [&] {
        if (impl_->db.in_transaction()) impl_->db.commit();
    });
}

std::int64_t Book::version_mark() const {
    return guarded(*impl_, [&] { return impl_->db.recorded_mark(); });
}

Book Book::copy_in_memory() const {
    return guarded(*impl_, [&] {
        auto impl = std::make_unique<Impl>(impl_->path, Db::copy_in_memory(impl_->db));
        impl->data = impl_->data;
        impl->read_info();
        impl->info.desk = impl_->info.desk;
        return Book(std::move(impl));
    });
}

const ReferenceData& Book::reference_data() const {
    return impl_->data;
}
const BookInfo& Book::info() const {
    return impl_->info;
}
const std::filesystem::path& Book::path() const {
    return impl_->path;
}
const Register& Book::entries() const {
    return impl_->shown;
}

namespace {
bool signature_holds(std::string_view public_key, std::string_view message, std::string_view signature) {
    const auto key = digest_from_hex(public_key);  // a key has 32 bytes, as a digest
    return key && signature.size() == crypto_sign_BYTES &&
           crypto_sign_verify_detached(reinterpret_cast<const unsigned char*>(signature.data()),
                                       reinterpret_cast<const unsigned char*>(message.data()), message.size(),
                                       key->data()) == 0;
}
}  // namespace

std::string head_message(const BookId& book, std::int64_t seq, const Digest& digest) {
    return fmt::format("tarebook head\n{}\n{}\n{}\n", hex(book), seq, hex(digest));
}
std::string register_message(const BookId& book, std::int64_t seq, const Digest& entries) {
    return fmt::format("tarebook register\n{}\n{}\n{}\n", hex(book), seq, hex(entries));
}

bool head_signature_holds(std::string_view public_key, const BookId& book, std::int64_t seq, const Digest& digest,
                          std::string_view signature) {
    return signature_holds(public_key, head_message(book, seq, digest), signature);
}
bool register_signature_holds(std::string_view public_key, const BookId& book, std::int64_t seq, const Digest& entries,
                              std::string_view signature) {
    return signature_holds(public_key, register_message(book, seq, entries), signature);
}

}  // namespace tarebook
