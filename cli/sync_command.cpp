// sync: the evening of a device, through a folder.
#include <fmt/format.h>

#include <filesystem>
#include <iostream>
#include <memory>
#include <string>
#include <vector>

#include "exit_code.hpp"
#include "session.hpp"
#include "tarebook/exchange/sync.hpp"
#include "tarebook/report/sync_page.hpp"

namespace tarebook::cli {
namespace {

struct SyncOptions {
    Text folder;
    bool plain = false;
};

int sync(const Session& s, const SyncOptions& o) {
    auto book = s.open(Access::write);
    s.judge_first(book);
    if (o.folder)
        return sync_and_tell(s, std::move(book), {std::filesystem::absolute(*o.folder).lexically_normal(), o.plain},
                             true);
    auto where = s.need_sync_folder(book);
    // Only what was typed for this book is kept: a folder of the environment or the configuration may change there.
    const auto kept = sync_folder_of(s.book_path());
    const bool keep = o.plain && kept && kept->folder == where.folder;
    where.plain = where.plain || o.plain;
    return sync_and_tell(s, std::move(book), where, keep);
}

// Once, and its page.
Synced sync_once(const Session& s, Book& book, const SyncFolder& where, bool keep, int& code) {
    const auto now = must(moment_in_zone(s.now, book.info().zone));
    auto synced = must(sync_with(book, where.folder, where.plain, now));
    if (keep) keep_sync_folder(s.book_path(), where, s.now);
    try {
        code = s.tell(synced_page(book, synced, s.page_options(&book)));
    } catch (const StorageError& e) {
        throw StorageError(
            std::string("it is recorded: what came is in the book, but what it makes of it cannot be shown: ") +
                e.what(),
            e.next(), Written::yes);
    }
    if (synced.not_sent)
        throw StorageError(
            synced.came.empty()
                ? fmt::format("not all could be put into the folder: {}. Nothing was written to the book.",
                              synced.not_sent->what)
                : fmt::format("it is recorded: what came is in the book, but not all could be put into the folder: {}",
                              synced.not_sent->what),
            synced.not_sent->next, synced.came.empty() ? Written::no : Written::yes, true);
    return synced;
}

// Asks of each device that waits whether it is to be trusted, and how it is called here. True if one was trusted.
bool trust_who_waits(const Session& s, Book& book, const std::vector<Synced::Waiting>& waiting) {
    bool any = false;
    for (const auto& one : waiting) {
        if (!ask_yes(fmt::format("A device waits to be trusted. Does its person read this number to you: {}? Trust it?",
                                 card_number(one.card))))
            continue;
        for (;;) {
            std::cerr << "its name here, for example truck-1: ";
            std::string called;
            if (!std::getline(std::cin, called) || called.empty()) {
                std::cerr << "without a name it is not trusted\n";
                break;
            }
            s.judge_first_if_it_can(book);
            const auto done =
                record(book, {s.draft(book, kinds::Trust{hex(one.card.book), one.card.public_key, called, {}})}, {});
            if (done) {
                std::cout << fmt::format("{} is trusted from now on, recorded as {}\n", called,
                                         event_name(done.first().event.seq))
                          << std::flush;
                any = true;
                break;
            }
            std::cerr << done.error().what << '\n';
            if (done.error().name != "name-taken") break;
        }
    }
    return any;
}

}  // namespace

int sync_and_tell(const Session& s, Book book, const SyncFolder& where, bool keep) {
    int code = exit_done;
    auto synced = sync_once(s, book, where, keep, code);
    const bool may_ask = s.has_terminal && (!s.format || *s.format == "text");
    if (may_ask && trust_who_waits(s, book, synced.waiting)) {
        s.judge_first(book);
        synced = sync_once(s, book, where, false, code);
    }
    const auto sent = book.last_sent(SentBy::sync);
    if (synced.devices == 0 || sent >= synced.head.seq) return code;
    { const auto closed = std::move(book); }  // no program waits for it
    Book::note_sent(s.book_path(), synced.head.seq, SentBy::sync);
    return code;
}

void setup_sync_command(CLI::App& root, Session& s) {
    auto o = std::make_shared<SyncOptions>();
    auto* c =
        root.add_subcommand("sync",
                            "the evening: take in what the other devices put into a folder, and put there what they "
                            "do not have yet")
            ->fallthrough();
    c->add_option("folder", o->folder,
                  "a share, a stick, a folder that is copied between machines; kept for the next time");
    c->add_flag("--plain", o->plain,
                "not sealed: each person who sees the folder can read what this device puts there");
    c->callback([&s, o] { s.run = [&s, o] { return sync(s, *o); }; });
}

}  // namespace tarebook::cli
