// Books that travel: which ones are known and trusted, send, merge.
#include <fmt/format.h>

#include <algorithm>
#include <iostream>
#include <memory>
#include <sstream>

#include "card_folder.hpp"
#include "exit_code.hpp"
#include "file_problems.hpp"
#include "passphrase.hpp"
#include "session.hpp"
#include "sheets.hpp"
#include "tarebook/book/card.hpp"
#include "tarebook/book/judged_anew.hpp"
#include "tarebook/book/move.hpp"
#include "tarebook/book/server_address.hpp"
#include "tarebook/exchange/bundle.hpp"
#include "tarebook/report/books_page.hpp"
#include "tarebook/report/proof.hpp"
#include "tarebook/report/sync_page.hpp"
#include "wait.hpp"

namespace tarebook::cli {
namespace {

struct TrustOptions {
    std::string called, card, why;
    Text folder, since, last, number;
};

struct Trusting {
    std::vector<Book::KnownBook> known;  // before this command
    std::vector<NamedCard> cards;
};

// True if the book has recorded the same trust already. Without a date the one on record stays.
bool is_said(const Trusting& t, const NamedCard& one, const Text& from) {
    return std::any_of(t.known.begin(), t.known.end(), [&](const auto& k) {
        return k.id == one.card.book && k.trusted && !k.withdrawn && k.called == one.called &&
               k.public_key == one.card.public_key && (!from || k.from == from);
    });
}

// Stands where the card was typed, also a second time: two people compare it.
void tell_number(const TrustOptions& o, const NamedCard& one) {
    if (!o.card.empty())
        std::cout << fmt::format("its number is {}: compare it with the person of that book\n", card_number(one.card));
}

void tell_trusted(const Trusting& t, const Book& book) {
    const auto after = book.books();  // counts every event: once, not for each of thousands of cards
    for (const auto& one : t.cards) {
        for (const auto& known : t.known)
            for (const auto& now : after)
                if (known.id == one.card.book && now.id == known.id && now.ineffective > known.ineffective)
                    std::cout << fmt::format(
                        "{} of its events count no more: this card has another key than the one that signed them\n",
                        now.ineffective - known.ineffective);
        for (const auto& known : t.known)
            if (known.trusted && known.id == one.card.book && known.called != one.called)
                std::cout << fmt::format("its name was {} until now\n", known.called);
        std::cout << admitted_text(t.known, after, one.card.book);
    }
}

int tell_who_waits(const Session& s) {
    const auto book = s.open(Access::read);
    return s.tell(waiting_page(book, must(waiting_in(s.need_sync_folder(book).folder, book)), s.page_options(&book)));
}

int trust(const Session& s, const TrustOptions& o) {
    if (o.folder && parse_date(*o.folder))
        throw slip("from-folder", "--from takes a folder of cards", *o.folder, "a folder",
                   "a date goes after --since: since when, for the record");
    if (!o.folder && o.called.empty() && o.card.empty() && !o.number) return tell_who_waits(s);
    const bool one_card = o.card.empty() == o.number.has_value();
    if (o.folder.has_value() == (!o.card.empty() || o.number) || o.called.empty() == one_card)
        throw slip("trust-what", "it takes one book, or a folder of cards", {},
                   "NAME --card CARD, NAME --number NUMBER, or --from FOLDER",
                   "tarebook books trust truck-3 --card truck-3.card");
    auto book = s.open(Access::write);
    Trusting t{book.books(), {}};
    Text from;
    if (o.since) from = date_text(must(parse_date(*o.since)));
    if (o.folder) {
        auto found = cards_in(*o.folder, book.info());
        if (!found.problems.empty()) return tell_file_problems(s, found.problems, *o.folder, {});
        t.cards = std::move(found.cards);
        const auto all = t.cards.size();
        std::erase_if(t.cards, [&](const auto& one) { return is_said(t, one, from); });
        if (t.cards.empty()) {
            std::cout << fmt::format("the cards of {} {} trusted already; nothing was written\n", all,
                                     all == 1 ? "book is" : "books are");
            return exit_done;
        }
    } else {
        const auto card = o.number ? must(card_numbered(s.need_sync_folder(book).folder, must(number_typed(*o.number))))
                                   : must(card_typed(o.card));
        must(not_apart(book.info().id, card.book));
        if (card.shop != book.info().shop) throw Stop{other_shop(card, book.info())};
        t.cards.push_back({o.called, card});
        if (is_said(t, t.cards.front(), from)) {
            std::cout << fmt::format("{} is trusted already, by this card; nothing was written\n", o.called);
            tell_number(o, t.cards.front());
            return exit_done;
        }
    }
    std::vector<Event> drafts;
    for (const auto& one : t.cards) {
        drafts.push_back(s.draft(book, kinds::Trust{hex(one.card.book), one.card.public_key, one.called, from}));
    }
    s.judge_first_if_it_can(book);
    const int code = s.record_and_tell(book, std::move(drafts));
    if (!s.format || *s.format == "text") {
        tell_trusted(t, book);
        tell_number(o, t.cards.front());
    }
    return code;
}

int withdraw(const Session& s, const TrustOptions& o) {
    auto book = s.open(Access::write);
    const auto other = must(book_called(book, o.called));
    kinds::Withdraw k{hex(other.id), s.reason(o.why, "--why", "the reason"), {}};
    if (o.last) {
        auto head = head_from(*o.last);
        // A number alone names the event here, if exactly one has it.
        if (!head && !o.last->empty() && o.last->size() < 19 &&
            o.last->find_first_not_of("0123456789") == std::string::npos)
            if (const auto there = book.digests_at(other.id, std::stoll(*o.last)); there.size() == 1)
                head = Head{std::stoll(*o.last), there.front()};
        if (!head)
            throw slip("head-format", "cannot read the last event that counts", *o.last,
                       "the number of its event that is here, or NUMBER:DIGEST", "tarebook books --format json");
        k.last = head_text(*head);
    }
    s.judge_first_if_it_can(book);
    return s.record_and_tell(book, {s.draft(book, std::move(k))});
}

struct TravelOptions {
    std::string to;
    std::vector<std::string> files;
    Text since, seal_to;
    bool all = false, with_register = false, only_register = false;
};

int lock(const Session& s, bool locks) {
    auto book = s.open(Access::write);
    if (!locks) {
        book.unlock_key();
        std::cout << "the signing key has no passphrase now\n";
        return exit_done;
    }
    std::string_view passphrase;
    if (const auto given = passphrase_set("TAREBOOK_NEW_PASSPHRASE")) {
        passphrase = *given;
    } else if (s.has_terminal) {
        passphrase = ask_passphrase("new passphrase");
        if (ask_passphrase("once more") != passphrase)
            throw slip("passphrase-differs", "the two are not the same", {}, "one passphrase, twice");
    }
    if (passphrase.size() < 8)
        throw slip("passphrase-short", "a passphrase is needed, of eight letters at least", {},
                   "one that is asked for at a terminal, or TAREBOOK_NEW_PASSPHRASE");
    book.lock_key(passphrase);
    std::cout << "the signing key is locked: each recording asks for the passphrase (or takes TAREBOOK_PASSPHRASE)\n"
                 "Without it no one can record; the book can be read, and restored as a new one.\n";
    return exit_done;
}

// "E120", "120", or "last": what the last bundle went up to.
std::int64_t since_typed(const Book& book, const std::string& typed) {
    if (typed == "last") return book.last_sent();
    const auto event = book.event_named(typed);
    if (!event || event->event.book != book.info().id)
        throw slip("since-format", "there is no such event of this book", typed, "an event such as E120, or last",
                   "leave --since out to send all of it");
    return event->event.seq;
}

SentBundle sent_by(const Session& s, const TravelOptions& o, SendOptions& options) {
    options.all_books = o.all;
    options.with_register = o.with_register || o.only_register;
    options.events = !o.only_register;
    auto book = s.open(Access::read);
    s.give_passphrase(book);  // a bundle is signed
    if (o.since) options.from = since_typed(book, *o.since) + 1;
    if (o.seal_to) {
        const auto other = must(book_called(book, *o.seal_to));
        if (other.public_key.empty())
            throw Stop{{ErrorKind::refused, "book-untrusted", "that book is not trusted, so that its key is not known",
                        *o.seal_to, "a book that is trusted", "tarebook books trust NAME --card CARD"}};
        options.seal_to = other.public_key;
    }
    return must(send_bundle(book, o.to, options, s.now));
}

int send(const Session& s, const TravelOptions& o) {
    SendOptions options;
    const auto sent = sent_by(s, o, options);
    // The book is closed, so that no program waits for it.
    if (options.events) Book::note_sent(s.book_path(), sent.own_head.seq);
    std::cout << fmt::format("{}: {} event{}{}, {} bytes{}\n", o.to, sent.events, sent.events == 1 ? "" : "s",
                             options.with_register ? fmt::format(", the register with {} entries", sent.entries) : "",
                             sent.bytes, o.seal_to ? ", sealed to " + *o.seal_to : "");
    std::cout << fmt::format("head: {} {}\n", event_name(sent.own_head.seq), hex(sent.own_head.digest))
              << "next, in the other book: tarebook merge FILE\n";
    return exit_done;
}

int merge(const Session& s, const TravelOptions& o) {
    auto book = s.open(Access::write);
    s.judge_first(book);
    const auto before = book.number_of_open_findings();
    const auto now = must(moment_in_zone(s.now, book.info().zone));
    const auto merged = merge_bundles(book, {o.files.begin(), o.files.end()}, now);
    if (!merged) {
        FileProblems problems;
        problems.add(merged.error());
        AfterProblems after;
        if (o.files.size() > 1) after.next = "the other bundles can be merged without it";
        return tell_file_problems(s, problems, merged.error().file, after);
    }
    const bool wrote = merged->wrote;
    try {
        return s.tell(merged_page(book, *merged, before, s.page_options(&book)));
    } catch (const StorageError& e) {
        if (!wrote) throw;
        throw StorageError(
            std::string("it is recorded: the bundles are merged, but what the book makes of them cannot be "
                        "shown: ") +
                e.what(),
            e.next(), Written::yes);
    }
}

struct MoveOptions {
    std::string file, to;
};

int move_the_book(const Session& s, const MoveOptions& o) {
    const std::string from = o.file.empty() ? s.book_path() : o.file;
    s.means_to_write = true;
    s.take_clock_for(from);
    if (is_server_address(from)) {
        auto book = Book::open(from, Access::write, s.data, wait_for_book);
        s.judge_first(book);
    }
    const auto done = must(move_book(from, o.to, wait_for_book, s.when_older()));
    s.write_heading(Book::purpose_of(o.to).value_or(Purpose::real));
    std::cout << fmt::format("{}: {} event{}, each with its digest; the last one is {} {}\n", o.to, done.events,
                             done.events == 1 ? "" : "s", event_name(done.head.seq),
                             hex(done.head.digest).substr(0, 16))
              << (done.was_there ? "  an earlier move had put them there, and was cut off behind that\n" : "")
              << fmt::format("  its signing key is in {}\n", done.key.string())
              << fmt::format("  {} can be read as before; nothing more is recorded in it\n", from)
              << fmt::format(
                     "next: give the book by its new name: --book, TAREBOOK, or book = {} in the configuration\n",
                     o.to);
    return exit_done;
}

// What is left to be judged anew where the command that began it was ended.
int refold(const Session& s) {
    auto book = s.open(Access::write);
    const auto how_far = being_judged_anew(book);
    s.judge_first(book);
    std::cout << (how_far ? "all events are judged\n" : "no event waits to be judged anew\n");
    return exit_done;
}

int become_desk(const Session& s) {
    auto book = s.open(Access::write);
    const auto desk = book.become_desk();
    const BookCard card{book.info().shop, desk.id, desk.public_key};
    std::cout << fmt::format("this person is desk {} of the book, with a key of its own: {}\n", desk.number,
                             key_file_of(desk.id).string());
    if (desk.trusted)
        std::cout << "the book trusts it: what it records counts\n";
    else
        std::cout << fmt::format(
            "next: the person who keeps the book types once, with a name for this desk:\n  tarebook "
            "books trust NAME --card {}\nand compares its number with you: {}\n",
            card_text(card), card_number(card));
    return exit_done;
}

}  // namespace

void setup_book_commands(CLI::App& root, Session& s) {
    auto* books = root.add_subcommand("books", "the books that this one knows, and which of them count")->fallthrough();
    books->require_subcommand(0, 1);
    auto file = std::make_shared<PageFile>();
    file->add_option(*books);
    books->callback([&s, books, file] {
        if (!books->get_subcommands().empty()) return;
        s.run = [&s, file] {
            const auto book = s.open(Access::read);
            const auto options = file->options(s, book, Has::browser);
            return file->tell(s, books_page(book, options));
        };
    });
    books->add_subcommand("card", "what another book needs to trust this one: one word, no secret")
        ->fallthrough()
        ->callback([&s] {
            s.run = [&s] {
                std::cout << card_text(s.open(Access::read, Shown::as_it_is).info()) << '\n';
                return exit_done;
            };
        });
    books
        ->add_subcommand("head",
                         "the last signed head: the person who keeps it can show later that nothing before it changed")
        ->fallthrough()
        ->callback([&s] {
            s.run = [&s] {
                std::cout << must(signed_head_line(s.open(Access::read, Shown::as_it_is)));
                return exit_done;
            };
        });
    books->add_subcommand("desk", "record in a book on a server with a chain and a key of your own, once it trusts you")
        ->fallthrough()
        ->callback([&s] { s.run = [&s] { return become_desk(s); }; });
    for (const bool locks : {true, false})
        books
            ->add_subcommand(locks ? "lock" : "unlock", locks ? "put the signing key under a passphrase (Argon2id)"
                                                              : "take the passphrase off the signing key")
            ->fallthrough()
            ->callback([&s, locks] { s.run = [&s, locks] { return lock(s, locks); }; });
    auto t = std::make_shared<TrustOptions>();
    auto* c = books
                  ->add_subcommand("trust",
                                   "from now on the events of another book count here; alone it lists who waits in the "
                                   "folder of `sync`")
                  ->fallthrough();
    c->add_option("name", t->called, "its name here, such as truck-3");
    c->add_option("--card", t->card, "its card, or a file with it; get it from its owner, not from a bundle");
    c->add_option("--number", t->number,
                  "in place of its card its number, as its person reads it from the screen of `sync` there");
    c->add_option("--from", t->folder, "in place of both a folder with many: truck-3.card is the card of truck-3");
    c->add_option("--since", t->since, "date: since when, for the record");
    add_recording_options(*c, s, "--by", Work::at_the_desk);
    c->callback([&s, t] { s.run = [&s, t] { return trust(s, *t); }; });
    auto m = std::make_shared<MoveOptions>();
    c = books
            ->add_subcommand("move",
                             "this book to a PostgreSQL server, for an office with several desks, or back to a file;\n"
                             "  its signing key goes along, and stays with this person")
            ->fallthrough();
    c->add_option("book", m->file, "file or address of the book (that of --book)");
    c->add_option("--to", m->to, "postgresql://HOST/DB, a database without a book; or a new file")->required();
    c->callback([&s, m] { s.run = [&s, m] { return move_the_book(s, *m); }; });
    c = books->add_subcommand("withdraw", "count no more events of another book, beyond the one that you name")
            ->fallthrough();
    c->add_option("name", t->called, "its name here")->required();
    c->add_option(
        "--last", t->last,
        "number of its last event that counts, or NUMBER:DIGEST where that is not here; nothing counts without it");
    c->add_option("--why", t->why, "the reason")->required();
    add_recording_options(*c, s, "--by", Work::at_the_desk);
    c->callback([&s, t] { s.run = [&s, t] { return withdraw(s, *t); }; });

    auto o = std::make_shared<TravelOptions>();
    c = root.add_subcommand("send", "write a bundle for another book: the events of this one, signed")->fallthrough();
    c->add_option("--to", o->to, "file; it must not be there yet")->required();
    c->add_option("--since", o->since, "leave out events up to this one (E120), or up to what was sent last (last)");
    c->add_option("--seal-to", o->seal_to, "a trusted book, which alone can read the bundle");
    c->add_flag("--all", o->all, "also the events of other books, as they came in");
    c->add_flag("--register", o->with_register,
                "also the register: for a truck that needs what the office has registered");
    c->add_flag("--register-only", o->only_register, "only that");
    c->callback([&s, o] { s.run = [&s, o] { return send(s, *o); }; });
    c = root.add_subcommand("merge",
                            "take in bundles of other books: all of them or none, in any order, as often as "
                            "they come")
            ->fallthrough();
    c->add_option("files", o->files, "bundles")->required();
    c->callback([&s, o] { s.run = [&s, o] { return merge(s, *o); }; });
    root.add_subcommand("refold", "judge all that waits to be judged anew, in a book on a server")
        ->fallthrough()
        ->group("")
        ->callback([&s] { s.run = [&s] { return refold(s); }; });
}

}  // namespace tarebook::cli
