// Copies and proofs of a book: backup, restore, salvage, prove, verify, upgrade.
#include <fmt/format.h>

#include <fstream>
#include <iostream>
#include <memory>

#include "doctor_command.hpp"
#include "exit_code.hpp"
#include "session.hpp"
#include "tarebook/book/backup_folder.hpp"
#include "tarebook/book/salvage.hpp"
#include "tarebook/report/books_page.hpp"
#include "tarebook/report/proof.hpp"
#include "tarebook/units/bounded_file.hpp"
#include "tarebook/units/new_file.hpp"
#include "wait.hpp"

namespace tarebook::cli {
namespace {

struct KeepOptions {
    std::string file, to;
    Text key;
};

struct BackupOptions {
    Text to, into, verify;
    int keep = 14;
    bool keep_given = false;
};

constexpr std::string_view protect_it = "It holds the signing key: keep it as well protected as the book itself.\n";

int backup_to(const Session& s, const std::string& to) {
    const auto book = s.open(Access::read);
    const auto head = must(book.backup(to, Judge(s.data, Notes::left_out)));
    std::cout << fmt::format("{}: the whole book, checked\nhead: {} {}\n", to, event_name(head.seq), hex(head.digest))
              << protect_it;
    return exit_done;
}

int backup_into_folder(const Session& s, const std::string& folder, int keep) {
    const auto book = s.open(Access::read);
    const auto done = must(backup_into(book, folder, keep, s.now, Judge(s.data, Notes::left_out)));
    std::cout << fmt::format("{}: the whole book, checked\nhead: {} {}\n", done.made.string(),
                             event_name(done.head.seq), hex(done.head.digest));
    for (const auto& file : done.removed) std::cout << "removed: " << file.string() << '\n';
    for (const auto& one : done.not_removed)
        std::cout << fmt::format("KEPT, look at it: {}: {}\n", one.file.string(), one.why);
    std::cout << protect_it;
    return done.not_removed.empty() ? exit_done : exit_exceptions;
}

int verify_folder(const Session& s, const std::string& folder) {
    const auto copies = must(verify_backups(folder, Judge(s.data, Notes::left_out)));
    bool good = true;
    for (const auto& copy : copies) {
        if (copy.problems.empty()) {
            std::cout << fmt::format("{}: in order, up to {} {}\n", copy.file.string(), event_name(copy.head.seq),
                                     hex(copy.head.digest).substr(0, 16));
            continue;
        }
        good = false;
        std::cout << fmt::format("{}: DAMAGED: {}{}\n", copy.file.string(), copy.problems.front(),
                                 copy.problems.size() > 1 ? fmt::format("; {} more", copy.problems.size() - 1) : "");
    }
    return good ? exit_done : exit_storage;
}

int backup(const Session& s, const BackupOptions& o) {
    // The folder of the configuration, where no place was typed.
    const auto into = o.into || o.to || o.verify ? o.into : s.config.backups;
    if (o.to.has_value() + into.has_value() + o.verify.has_value() != 1)
        throw slip("backup-where", "a backup goes to one place", {}, "--to FILE, --into FOLDER, or --verify FOLDER",
                   "tarebook backup --into FOLDER --keep 14");
    if (o.keep_given && !into)
        throw slip("flags-together", "copies are removed in a folder alone", "--keep", "--keep with --into FOLDER",
                   "the same without --keep");
    if (o.verify) return verify_folder(s, *o.verify);
    return into ? backup_into_folder(s, *into, o.keep) : backup_to(s, *o.to);
}

int restore(const Session& s, const KeepOptions& o) {
    s.take_clock_for(o.file);
    const auto done = must(Book::restore(o.file, o.to, Judge(s.data, Notes::left_out), s.now));
    const auto book = Book::open(o.to, Access::read);
    s.write_heading(book.info().practice() ? Purpose::practice : Purpose::real);
    std::cout << fmt::format("{}: goes on from {} (event {}, {}), as a book of its own\n", o.to, o.file, done.head.seq,
                             hex(done.head.digest).substr(0, 16))
              << "What was recorded after that copy is missing: merge what was sent since.\n"
              << "next, in the books that take its bundles: tarebook books trust NAME --card " << card_text(book.info())
              << "\n";
    return exit_done;
}

int salvage_book(const Session& s, const KeepOptions& o) {
    s.take_clock_for(s.book_path());
    const auto done = must(salvage(s.book_path(), o.to, s.now));
    s.write_heading(Book::purpose_of(s.book_path()).value_or(Purpose::real));
    for (const auto& told : done.told) std::cout << told << '\n';
    std::cout << fmt::format(
                     "{}: {} event{} in {} run{}; {} unreadable, {} altered, {} without a signed head{}\n", o.to,
                     done.events, done.events == 1 ? "" : "s", done.runs, done.runs == 1 ? "" : "s", done.unreadable,
                     done.altered, done.left_out,
                     done.signed_anew > 0 ? fmt::format("; {} signed again by its own key", done.signed_anew) : "")
              << "next: restore the last backup (it trusts the old book), then there: tarebook merge " << o.to << '\n';
    return done.unreadable > 0 || done.altered > 0 || done.left_out > 0 ? exit_exceptions : exit_done;
}

struct UpgradeWords {
    Text copy;
    bool dry_run = false, with_key = false;
};

std::string_view what_copy_is(const UpgradePlan& plan) {
    return plan.with_key
               ? "with the signing key: a person who has it can record in the name of this book; do not record in both"
               : "without the signing key: to read, and to go on from with restore; nothing is recorded in it";
}

int upgrade_book(const Session& s, const UpgradeWords& o) {
    const UpgradeOptions options{o.copy, o.with_key};
    s.means_to_write = !o.dry_run;
    s.take_clock_for(s.book_path());
    s.write_heading(Book::purpose_of(s.book_path()).value_or(Purpose::real));
    const auto plan = upgrade_plan(s.book_path(), options, wait_for_book);
    if (!plan) {
        std::cout << s.book_path() << " has the newest schema already; nothing was written\n";
        return exit_done;
    }
    if (o.dry_run) {
        std::cout << fmt::format("{}: would be upgraded from schema {} to {}, {}\n", s.book_path(), plan->from,
                                 plan->to, cost_text(*plan));
        for (const auto& disk : plan->disks)
            std::cout << fmt::format("  in {}: {} of {} that are free\n", disk.folder.string(), bytes_text(disk.bytes),
                                     bytes_text(disk.free));
        std::cout << fmt::format("  as it is now it would be kept in {},\n  {}\n", plan->copy.string(),
                                 what_copy_is(*plan))
                  << "nothing was written\n";
        return exit_done;
    }
    if (s.has_terminal) std::cerr << "upgrading: " << cost_text(*plan) << '\n' << std::flush;
    const auto did = upgrade(s.book_path(), options, wait_for_book);
    if (!did) {
        std::cout << s.book_path() << " was upgraded by another program meanwhile; nothing was written\n";
        return exit_done;
    }
    std::cout << fmt::format("{}: upgraded from schema {} to {}\n", s.book_path(), did->from, did->to)
              << fmt::format("  a copy of it as it was is in {}, checked,\n  {}\n", did->copy.string(),
                             what_copy_is(*did));
    return exit_done;
}

void write_new(const std::string& to, const std::string& text) {
    NewFile file(to, Readers::by_umask);
    file.write(text);
    const auto named = file.take_name();
    if (named == Named::taken)
        throw Stop{{ErrorKind::refused,
                    "file-exists",
                    to + " exists already",
                    {},
                    "a name that is not in use",
                    "choose another one with --to FILE"}};
    if (named != Named::yes)
        throw Stop{{ErrorKind::storage,
                    "cannot-write",
                    to + " cannot be written",
                    {},
                    "a folder that may be written",
                    "choose another place with --to FILE"}};
}

int prove(const Session& s, const KeepOptions& o) {
    const auto book = s.open(Access::read);
    write_new(o.to, must(proof_of(book, o.file, s.now)));
    std::cout << o.to << ": the event, and that it was in its year when that was sealed\n"
              << "next, wherever it arrives: tarebook verify " << o.to << " --key " << book.info().public_key << '\n';
    return exit_done;
}

int verify(const Session& s, const KeepOptions& o) {
    constexpr std::size_t longest_proof = 1U << 20U;  // four lines of at most 64 KiB each
    const auto text = must(read_whole(o.file, longest_proof));
    auto key = o.key;
    if (key && looks_like_card(*key)) key = must(parse_card(*key)).public_key;
    if (key && !digest_from_hex(*key))  // 32 bytes too
        throw slip("bad-key", "that is not a public key", *key, "64 hex digits, or the book's card");
    const auto verified = must(verify_proof(text));
    s.write_heading(is_practice(verified.book) ? Purpose::practice : Purpose::real);
    return s.tell(verified_page(verified, key, s.page_options(nullptr)));
}

}  // namespace

void setup_keep_commands(CLI::App& root, Session& s) {
    auto o = std::make_shared<KeepOptions>();
    auto b = std::make_shared<BackupOptions>();
    auto* c = root.add_subcommand("backup", "the whole book into another file, checked")->fallthrough();
    c->add_option("--to", b->to, "file; an older backup of the same book is replaced");
    c->add_option("--into", b->into, "a folder, where each copy has a name of its own");
    auto* keep = c->add_option("--keep", b->keep, "with --into: how many copies of this book stay there (14)")
                     ->check(CLI::Range(1, 100000));
    c->add_option("--verify", b->verify, "check each copy in a folder; writes nothing");
    c->callback([&s, b, keep] {
        b->keep_given = keep->count() > 0;
        s.run = [&s, b] { return backup(s, *b); };
    });
    c = root.add_subcommand("restore", "go on from a backup, as a book with a new id and key")->fallthrough();
    c->add_option("file", o->file, "the backup; it is checked first")->required();
    c->add_option("--to", o->to, "file of the new book")->required();
    c->callback([&s, o] { s.run = [&s, o] { return restore(s, *o); }; });
    c = root.add_subcommand("salvage", "what a damaged book still holds, as a bundle that another book merges")
            ->fallthrough();
    c->add_option("--to", o->to, "file")->required();
    c->callback([&s, o] { s.run = [&s, o] { return salvage_book(s, *o); }; });
    c = root.add_subcommand("prove", "one event of a sealed year, for a person who does not have the book")
            ->fallthrough();
    c->add_option("event", o->file, "E12, or digits of its digest")->required();
    c->add_option("--to", o->to, "file")->required();
    c->callback([&s, o] { s.run = [&s, o] { return prove(s, *o); }; });
    c = root.add_subcommand("verify", "a proof or a signed head, with the public key alone; needs no book")
            ->fallthrough();
    c->add_option("file", o->file, "file of `prove` or `books head`")->required();
    c->add_option("--key", o->key, "the key that you were given, or a card");
    c->callback([&s, o] { s.run = [&s, o] { return verify(s, *o); }; });
    auto u = std::make_shared<UpgradeWords>();
    c = root.add_subcommand(
                "upgrade",
                "a book that an older Tarebook wrote, to the newest schema: all of it or nothing.\n"
                "  A copy of what it was stays, checked. Each event of it is in the upgraded book, too: the copy is\n"
                "  there to look back, and holds no second key that could sign for the book. restore goes on from\n"
                "  it; the older program can read it. To record with the older program again, keep the key in\n  it: "
                "--with-key")
            ->fallthrough();
    c->add_flag("--dry-run", u->dry_run,
                "only say about how long it takes, how much room, and where the copy would be");
    c->add_option("--copy", u->copy,
                  "file for the copy (BOOK.before-schema-N); an earlier copy of this book is replaced");
    c->add_flag(
        "--with-key", u->with_key,
        "the copy keeps the signing key: a whole book, to go back to; keep it as well protected as the book, and never "
        "record in both");
    c->callback([&s, u] { s.run = [&s, u] { return upgrade_book(s, *u); }; });
    add_doctor(root, s);
}

}  // namespace tarebook::cli
