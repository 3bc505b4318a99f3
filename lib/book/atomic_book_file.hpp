// A book that is being made: the whole file under another name first.
#pragma once

#include <array>
#include <filesystem>
#include <string>

#include "impl.hpp"

namespace tarebook {

inline constexpr int application_id = 0x54617265;  // "Tare"

/// A file in the folder of the future book. Its destructor removes it with its journal unless it took the book's name.
class AtomicBookFile {
 public:
    explicit AtomicBookFile(const std::filesystem::path& book);
    /// Makes the file under a name with this ending, and removes what a killed program left there. Precondition: no
    /// other process uses that name.
    AtomicBookFile(const std::filesystem::path& book, std::string_view ending);
    AtomicBookFile(const AtomicBookFile&) = delete;
    AtomicBookFile& operator=(const AtomicBookFile&) = delete;
    ~AtomicBookFile();
    [[nodiscard]] const std::filesystem::path& path() const { return path_; }
    /// False if a file of that name exists by now.
    bool take_name();
    /// Takes the place of the file that has the name now.
    void replace();

 private:
    void begin();
    void refuse_part() const;
    std::filesystem::path book_, path_;
    bool taken_ = false;
};

void set_info(Db& db, const char* name, const std::string& value);
/// Notes that this program's checks found all exceptions of the book. An older edition is a valid number too, and would
/// excuse other exceptions: so the number is written twice, and a damaged one is seen.
void note_checks_edition(Db& db);
/// Makes a new id and a new key pair in the open transaction, and removes the old ones.
BookId new_identity(Db& db, Purpose purpose);
/// What the first event says about the purpose of the book: "yes" for practice.
std::optional<std::string> practice_word(Purpose purpose);

}  // namespace tarebook
