// Write, then rename: a file has its name only when it is whole, and keeps it when the power goes.
//
//     NewFile file("shop.bundle");
//     if (!file.write(bytes) || file.take_name() != Named::yes) ...  // errno says why
#pragma once

#include <filesystem>
#include <string_view>
#include <utility>

namespace tarebook {

/// Whether a file has its name now; errno says why it has not.
enum class Named {
    yes,
    taken,  ///< a file of that name is there
    no,     ///< nothing of that name is left
    unsure  ///< it has the name, and the disk does not say that it will stay
};

/// The names in a folder stay when the power goes. False with errno; a file system that cannot say it is taken at its
/// word.
bool sync_folder(const std::filesystem::path& folder);

/// Gives a file that is whole and synced the name of no other file.
Named take_free_name(const std::filesystem::path& made, const std::filesystem::path& name);
/// The same in the place of the file that has the name now: never `taken`.
Named take_place(const std::filesystem::path& made, const std::filesystem::path& name);

/// Who may read a new file: its owner alone, or whom the umask lets.
enum class Readers { owner, by_umask };

/// A file that is made under another name in the same folder (FILE.part-PID), and goes unless it takes its own.
class NewFile {
 public:
    /// Makes it under the other name; is_open() says whether that could be done.
    explicit NewFile(std::filesystem::path file, Readers readers = Readers::owner);
    NewFile(const NewFile&) = delete;
    NewFile& operator=(const NewFile&) = delete;
    ~NewFile();
    /// Whether it could be made; errno says why not.
    [[nodiscard]] bool is_open() const { return fd_ >= 0; }
    /// False with errno; so are all later calls then.
    bool write(std::string_view bytes);
    /// It takes another name than that for which it was made, in the same folder: one that says its content.
    void call(std::filesystem::path name) { file_ = std::move(name); }
    /// Syncs, closes and names it.
    Named take_name();
    Named replace();
    /// In the place of what is there, and not synced: for a file that may go at any time.
    Named replace_for_now();

 private:
    bool close(bool synced);
    std::filesystem::path file_, beside_;
    int fd_ = -1;
    int failed_ = 0;  ///< the first errno
};

}  // namespace tarebook
