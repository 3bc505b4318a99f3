#include "doctor_command.hpp"

#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <filesystem>
#include <iostream>

#include "exit_code.hpp"
#include "tarebook/book/backup_folder.hpp"
#include "tarebook/book/server_address.hpp"
#include "tarebook/version.hpp"
#include "wait.hpp"

namespace tarebook::cli {
namespace {

constexpr std::int64_t least_room = 100'000'000;  // common practice, no source
constexpr std::chrono::days old_copy{7};          // common practice, no source

class Doctor {
 public:
    explicit Doctor(Session& s) : s_(s) {}

    int run() {
        good("program", fmt::format("tarebook {}, edition {} of the checks", version, checks_edition));
        configuration();
        const std::filesystem::path path = s_.book_path();
        const bool on_server = is_server_address(path);
        if (on_server) good("book", path.string());
        if (on_server || file(path)) {
            if (!on_server) room(path);
            if (auto book = opened(path)) {
                key(*book);
                clock(*book);
                names(*book);
                editions(*book);
                backups(*book);
                unsent(*book);
            }
        }
        std::cout << "not looked at: digests, fold and balances (tarebook check); whether copies can be read (tarebook "
                     "backup --verify FOLDER);\n  the disk itself; the clock against another one\n";
        return any_ ? exit_exceptions : exit_done;
    }

 private:
    void good(std::string_view what, const std::string& text) { std::cout << fmt::format("{}: {}\n", what, text); }
    void look(std::string_view what, const std::string& text, const std::string& next) {
        any_ = true;
        std::cout << fmt::format("LOOK AT {}: {}\n", what, text);
        if (!next.empty()) std::cout << "  next: " << next << '\n';
    }

    void configuration() {
        try {
            s_.config = read_config();
        } catch (const Stop& stop) {
            const auto& e = stop.error;
            look("configuration", fmt::format("{}; seen {}", e.what, e.seen), "write there: " + e.expected);
            return;
        }
        std::string files;
        for (const auto& one : s_.config.files) files.append(files.empty() ? "" : ", ").append(one);
        good("configuration", files.empty() ? "none" : files);
    }
    bool file(const std::filesystem::path& path) {
        struct stat status {};
        if (::stat(path.c_str(), &status) != 0) {
            look("book", "there is none at " + path.string(),
                 "tarebook start --company \"NAME\", or name the file: --book FILE, TAREBOOK, or the configuration");
            return false;
        }
        good("book", path.string());
        if ((status.st_mode & 077U) != 0)
            look("rights",
                 fmt::format("others may read or write the file (mode {:o}), and the signing key is in it",
                             static_cast<unsigned>(status.st_mode & 0777U)),
                 fmt::format("chmod 600 {}; for two clerks, an account that both use", path.string()));
        if (status.st_uid != ::geteuid())
            look("rights", "the file belongs to another user",
                 "record as that user, or let the file be given to this one");
        std::error_code ignored;
        if (std::filesystem::exists(path.string() + "-wal", ignored))
            good("log",
                 "one is beside the book: a program has it open, or one was killed; the next recording takes it in");
        return true;
    }
    void room(const std::filesystem::path& path) {
        std::error_code error;
        const auto folder = std::filesystem::absolute(path, error).parent_path();
        const auto space = std::filesystem::space(folder, error);
        if (error) {
            look("disk", fmt::format("{} does not answer: {}", folder.string(), error.message()), "look at the disk");
            return;
        }
        if (::access(folder.c_str(), W_OK) != 0)
            look("rights", fmt::format("the folder {} cannot be written: nothing can be recorded", folder.string()),
                 "make it writable for this user");
        const auto size = std::filesystem::file_size(path, error);
        const auto free = static_cast<std::int64_t>(space.available);
        const auto need = std::max(least_room, 2 * static_cast<std::int64_t>(error ? 0 : size));
        const auto text = fmt::format("{} free in {}", bytes_text(free), folder.string());
        if (free < need)
            look("disk", text, fmt::format("make room: {} at least", bytes_text(need)));
        else
            good("disk", text);
    }
    std::optional<Book> opened(const std::filesystem::path& path) {
        try {
            s_.take_clock_for(path);
            auto book = Book::open(path, Access::read, s_.data, wait_for_book);
            for (const auto& remark : book.info().remarks) look("book", remark, "tarebook check");
            return book;
        } catch (const StorageError& e) {  // an older schema as well
            look("book", e.what(), e.next());
        }
        return std::nullopt;
    }
    void key(const Book& book) {
        if (is_server_address(book.path())) return key_beside_server(book);
        good("signing key", book.key_is_locked()
                                ? "locked with a passphrase"
                                : "not locked: a person who has the file can record in its name (tarebook "
                                  "books lock, for a laptop that may be lost)");
    }
    void names(const Book& book) {
        if (book.has_bytes_of_removed())
            look("names", "a name was removed while another program had the book open: its bytes may be in the file",
                 "when no program has it open: tarebook people remove --tidy");
    }
    void key_beside_server(const Book& book) {
        const auto file = book.key_file();
        struct stat status {};
        if (::stat(file.c_str(), &status) != 0) {
            good("signing key", "this person has none: the book can be read, and nothing can be recorded");
            return;
        }
        good("signing key",
             fmt::format("{}, {}", file.string(), book.key_is_locked() ? "locked with a passphrase" : "not locked"));
        if ((status.st_mode & 077U) != 0)
            look("rights", fmt::format("others may read the signing key {}", file.string()),
                 fmt::format("chmod 600 {}", file.string()));
    }
    void clock(const Book& book) {
        const auto last = book.event_named(event_name(book.head().seq));
        if (!last) return;
        const auto text =
            fmt::format("{}; the last recording is of {}", instant_text(s_.now), instant_text(last->event.recorded));
        if (s_.now < last->event.recorded)
            look("clock", text + ": this machine's clock is behind", "set the clock before anything is recorded");
        else
            good("clock", text);
    }
    void editions(const Book& book) {
        if (book.info().checks_edition < checks_edition)
            look("checks",
                 fmt::format("the exceptions of the book were found by edition {}", book.info().checks_edition),
                 "tarebook check --rebuild");
    }
    void backups(const Book& book) {
        if (is_server_address(book.path())) {
            good("backups", "they are the server's: not looked at");
            return;
        }
        if (!s_.config.backups) {
            good("backups", "no folder is configured (backups = FOLDER): not looked at");
            return;
        }
        const auto& folder = *s_.config.backups;
        const auto make = "tarebook backup --into " + folder;
        std::error_code ignored;
        if (!std::filesystem::is_directory(folder, ignored)) {
            look("backups", fmt::format("there is no folder {}: is its disk connected?", folder), "");
            return;
        }
        const auto newest = newest_backup(book, folder);
        if (!newest) {
            look("backups", fmt::format("no copy of this book is in {}", folder), make);
            return;
        }
        const auto since = book.head().seq - newest->head.seq;
        const auto text =
            fmt::format("{}: up to {}, {} events since", newest->file.string(), event_name(newest->head.seq), since);
        if (since > 0 && s_.now - newest->made > old_copy)
            look("backups", fmt::format("{}, and older than {} days", text, old_copy.count()), make);
        else
            good("backups", text);
    }
    void unsent(const Book& book) {
        const auto synced = book.last_sent(SentBy::sync);
        const auto sent = std::max(synced, book.last_sent());
        // that something came from other books is no news to them
        const auto rest = sent == synced ? book.news_since(sent).events : book.head().seq - sent;
        if (sent > 0 && rest > 0)
            look("bundles",
                 fmt::format("{} events were recorded since the last {}", rest, sent == synced ? "sync" : "bundle"),
                 sent == synced ? "tarebook sync" : "tarebook send --since last --to FILE");
        else
            good("bundles", sent == 0 ? "none was made of this book" : "all was sent");
    }

    Session& s_;
    bool any_ = false;
};

}  // namespace

void add_doctor(CLI::App& root, Session& s) {
    root.add_subcommand("doctor",
                        "look at this machine and its book: rights, disk, clock, backups, what was not sent; writes "
                        "nothing")
        ->fallthrough()
        ->callback([&s] { s.run = [&s] { return Doctor(s).run(); }; });
}

}  // namespace tarebook::cli
