// sync: the evening of a device, through a folder.
#include <fmt/format.h>

#include <filesystem>
#include <iostream>
#include <memory>

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
    auto where = sync_folder_of(s.book_path());
    if (o.folder) where = SyncFolder{std::filesystem::absolute(*o.folder).lexically_normal(), o.plain};
    if (!where)
        throw slip("sync-folder-unset", "this device has no folder yet", {},
                   "a folder that the other devices see as well", "name it once, it is kept: tarebook sync FOLDER");
    if (o.plain) where->plain = true;
    return sync_and_tell(s, std::move(book), *where, o.folder.has_value() || o.plain);
}

}  // namespace

int sync_and_tell(const Session& s, Book book, const SyncFolder& where, bool keep) {
    const auto now = must(moment_in_zone(s.now, book.info().zone));
    const auto synced = must(sync_with(book, where.folder, where.plain, now));
    if (keep) keep_sync_folder(s.book_path(), where, s.now);
    int code = exit_done;
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
