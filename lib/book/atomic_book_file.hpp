// A book that is being made: whole under another name first.
#pragma once

#include <array>
#include <filesystem>
#include <string>

#include "impl.hpp"

namespace tarebook {

inline constexpr int application_id = 0x54617265;  // "Tare"

template <std::size_t N>
std::string hex_text(const std::array<unsigned char, N>& bytes) {
    static constexpr char digits[] = "0123456789abcdef";
    std::string out;
    for (const auto b : bytes) out += digits[b >> 4U], out += digits[b & 15U];
    return out;
}

/// A file in the folder of the book-to-be, which goes with its journal unless it takes the book's name.
class AtomicBookFile {
 public:
    explicit AtomicBookFile(const std::filesystem::path& book);
    /// Under a name with this ending, which no other process uses at this time: what a killed one left there goes.
    AtomicBookFile(const std::filesystem::path& book, std::string_view ending);
    AtomicBookFile(const AtomicBookFile&) = delete;
    AtomicBookFile& operator=(const AtomicBookFile&) = delete;
    ~AtomicBookFile();
    [[nodiscard]] const std::filesystem::path& path() const { return path_; }
    /// False where there is a file of that name by now.
    bool take_name();
    /// In the place of the file that has the name now.
    void replace();

 private:
    void begin();
    void refuse_part() const;
    std::filesystem::path book_, path_;
    bool taken_ = false;
};

void set_info(Db& db, const char* name, const std::string& value);
/// That this program's checks found the exceptions of the whole book. An older edition is as good a number, and excuses
/// exceptions that are others: so it is said twice, and a damaged one is seen.
void note_checks_edition(Db& db);
/// A new id and a new key pair, in the open transaction; the old ones go.
BookId new_identity(Db& db, Purpose purpose);
/// What the first event says of it.
std::optional<std::string> practice_word(Purpose purpose);

}  // namespace tarebook
