#include "tarebook/analysis/analysts_file.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <system_error>

#include "fill.hpp"
#include "tarebook/book/judged_anew.hpp"
#include "tarebook/units/new_file.hpp"

namespace tarebook {
namespace {

namespace fs = std::filesystem;

tl::unexpected<Error> analysts_file_in_use() {
    return fail({ErrorKind::storage, "export-not-written", "the file is in use: another program reads it, or writes it",
                 "", "a file that is free for a moment", "try again when that program has ended"});
}
tl::unexpected<Error> analysts_file_not_written(const std::string& what) {
    return fail({ErrorKind::storage, "export-not-written", "the export could not be written", what,
                 "a folder that can be written, on a disk with room",
                 "what was there before is as it was; try again elsewhere"});
}
tl::unexpected<Error> no_analysts_file(const fs::path& file, const std::string& what) {
    return fail({ErrorKind::refused, "no-analysts-file", what, file.string(),
                 "a file that this version of tarebook made with `export sqlite`",
                 "make it anew under another name, without --update"});
}

/// The file under another name until it is whole; removed unless it took its own.
class UnfinishedFile {
 public:
    explicit UnfinishedFile(fs::path to) : to_(std::move(to)), path_(to_) {
        path_ += ".part-" + std::to_string(::getpid());
        std::error_code ignored;
        fs::remove(path_, ignored);
    }
    UnfinishedFile(const UnfinishedFile&) = delete;
    UnfinishedFile& operator=(const UnfinishedFile&) = delete;
    ~UnfinishedFile() {
        std::error_code ignored;
        fs::remove(path_, ignored);
    }
    [[nodiscard]] const fs::path& path() const { return path_; }
    Named take_name() {
        const int fd = ::open(path_.c_str(), O_RDONLY | O_CLOEXEC);
        if (fd < 0) return Named::no;
        const bool synced = ::fsync(fd) == 0;
        ::close(fd);
        return synced ? take_free_name(path_, to_) : Named::no;
    }

 private:
    fs::path to_, path_;
};

}  // namespace

Result<AnalystsFileWritten> make_analysts_file(const Book& book, const fs::path& to,
                                               const std::function<void(double)>& progress) {
    const auto exists = [&] {
        return fail({ErrorKind::refused, "file-exists", "a file of that name is there", to.string(),
                     "a name that is free", "with --update it is brought up to date; or name another file"});
    };
    std::error_code ignored;
    if (fs::exists(fs::symlink_status(to, ignored))) return exists();
    if (auto not_yet = not_while_judged_anew(book)) return fail(std::move(*not_yet));
    UnfinishedFile made(to);
    AnalystsFileWritten out;
    try {
        analysis::AnalystsDb file(made.path(), FileMode::make);
        // It has no name yet that anyone reads: what a killed program leaves is thrown away.
        file.db.script("PRAGMA journal_mode = MEMORY; PRAGMA synchronous = OFF; PRAGMA cache_size = -16384");
        file.db.begin();
        out = analysis::make_tables(book, file, progress);
        file.db.commit();
    } catch (const DbError& e) {
        return analysts_file_not_written(e.what());
    }
    switch (made.take_name()) {
        case Named::yes:
            return out;
        case Named::taken:
            return exists();
        default:
            return analysts_file_not_written(std::strerror(errno));
    }
}

Result<AnalystsFileWritten> update_analysts_file(const Book& book, const fs::path& path,
                                                 const std::function<void(double)>& progress) {
    try {
        std::error_code ignored;
        if (!fs::is_regular_file(path, ignored)) return no_analysts_file(path, "there is no file to bring up to date");
        if (auto not_yet = not_while_judged_anew(book)) return fail(std::move(*not_yet));
        analysis::AnalystsDb file(path, FileMode::write);
        file.fresh = false;
        file.db.script("PRAGMA cache_size = -16384");
        file.db.begin_recording();
        const auto of = analysis::made_of(file);
        if (of.empty()) return no_analysts_file(path, "that file is not one that can be brought up to date");
        if (of != hex(book.info().id))
            return fail({ErrorKind::refused, "analysts-file-of-another-book", "the file was made of another book", of,
                         "the book " + hex(book.info().id), "make a file of this book under another name"});
        const auto out = analysis::update_tables(book, file, progress);
        file.db.commit();
        return out;
    } catch (const DbError& e) {
        if (e.fault() == DbFault::not_a_database)
            return no_analysts_file(path, "that file is not one that can be brought up to date");
        if (e.fault() == DbFault::held) return analysts_file_in_use();
        return analysts_file_not_written(e.what());
    }
}

}  // namespace tarebook
