// Events of other books come in: a set union. What came in before changes nothing; where nothing new comes, nothing is
// written; order does not matter (I5). Precondition: the caller has verified that the bytes are canonical, that each
// event follows the one before it, and that the head's signature holds under the key that the segment names (see
// bundle.hpp). Which of the events are effective is decided by this book's own trust.
//
// What is under no key that this book trusts for it goes into quarantine, where it takes no place: see
// lib/book/quarantine.hpp.
//
//     Merging merge(book, now);             // one transaction; destroyed without commit, it writes nothing
//     merge.segment({id, key});
//     merge.event(event, body, digest);     // in the order of the chain
//     merge.head({seq, digest}, signature);
//     auto done = merge.commit(Judge(book.reference_data()));
#pragma once

#include <memory>

#include "tarebook/book/book.hpp"

namespace tarebook {

/// What a merge brought of one book.
struct MergedBook {
    BookId book{};
    std::int64_t events = 0;       ///< of it in the bundle
    std::int64_t added = 0;        ///< of these, new here
    std::int64_t unknown = 0;      ///< of those new here, of kinds that this program does not know: kept, not counted
    std::int64_t quarantined = 0;  ///< of these, in quarantine, as no trusted key covers them
    std::int64_t not_kept = 0;     ///< of these, for which quarantine has no room
    Head head;                     ///< with which the bundle ends
    bool is_effective = false;     ///< at least a part of the book counts
    bool new_branch = false;       ///< it went another way than what is here
    std::vector<std::pair<std::int64_t, std::int64_t>> missing;  ///< from, to: not here yet
};
/// What a merge brought.
struct Merged {
    std::vector<MergedBook> books;
    std::int64_t added = 0;          ///< events that are new here
    std::int64_t counted = 0;        ///< events that count now and did not before
    std::int64_t ineffective = 0;    ///< events in the book that do not count
    std::int64_t not_counted = 0;    ///< of those added
    std::int64_t quarantined = 0;    ///< events in quarantine now
    bool register_came = false;      ///< a register that is later than what was here
    bool register_counts = false;    ///< of all that came the books are trusted, under the keys that signed
    bool register_not_kept = false;  ///< of one that does not count, as quarantine has no room for it
    bool wrote = false;              ///< whether the file was changed
    Head own_head;                   ///< after the merge was recorded; as before where nothing came into the book
};

/// A merge, step by step. Every function may throw StorageError; after an error or exception only the destructor is to
/// be called, and nothing was written.
class Merging {
 public:
    /// Takes the lock of the book, which must outlive it.
    Merging(Book& book, const Moment& now);
    Merging(Merging&&) noexcept;
    Merging& operator=(Merging&&) = delete;
    ~Merging();

    /// A run of events of one book.
    struct Segment {
        BookId book{};
        std::string public_key;  ///< hex, as the bundle says
    };
    /// Begins a run. Errors (refused): practice-apart; books-look-alike, where the id of another book that came in
    /// begins with the same 47 bits.
    Result<void> segment(const Segment& segment);
    /// The next event of the run, with its canonical bytes and their digest. Errors (refused): own-id-twice,
    /// too-many-branches.
    Result<void> event(const Event& event, std::string_view body, const Digest& digest);
    /// Ends the run with the signed head that covers it; `signature` is 64 bytes.
    void head(const Head& head, std::string_view signature);
    /// The register as another book had it at its event `seq`: it is kept until a later one of the same book comes, and
    /// is effective where that book is trusted. `body` are the bytes that were signed, `signature` is 64 bytes.
    void snapshot(const BookId& book, const std::string& public_key, std::int64_t seq, std::string_view body,
                  std::string_view signature);
    /// The name that a code stands for. It is kept where an event that is here has the code, unless it was removed.
    void person(const PersonName& person);
    /// Judges what came in, records the heads, and commits.
    Merged commit(const Evaluator& evaluator);

 private:
    struct Work;
    std::unique_ptr<Work> work_;
};

}  // namespace tarebook
