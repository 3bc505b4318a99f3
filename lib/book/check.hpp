// Shared by the parts of `tarebook check`.
#pragma once

#include <fmt/format.h>

#include <future>
#include <set>

#include "past.hpp"

namespace tarebook {

/// The text with only those characters that a page can show: a damaged file can put any bytes into a message.
std::string printable(std::string_view text);

class Problems {
 public:
    explicit Problems(std::vector<std::string>& out) : out_(out) {}
    template <class... A>
    void add(fmt::format_string<A...> format, A&&... args) {
        if (out_.size() < 1000) out_.push_back(printable(fmt::format(format, std::forward<A>(args)...)));
    }
    [[nodiscard]] bool empty() const { return out_.empty(); }
    [[nodiscard]] std::size_t size() const { return out_.size(); }

 private:
    std::vector<std::string>& out_;
};

/// Rethrows an error of a disk that did not answer, which says nothing about the book. Returns if SQLite read something
/// and found it wrong: that is a problem of the book.
void only_damage(const DbError& e);

/// Checks the signing key: it is there, whole, and makes the book's public key.
void check_signing_key(Book::Impl& book, Problems& problems, std::vector<std::string>& remarks);

/// True from 4 MB on: a smaller book is done before a second thread pays.
bool large_book(Book::Impl& book);

/// SQLite's integrity check. It may run beside everything else: begin it early and finish it last.
class IntegrityCheck {
 public:
    explicit IntegrityCheck(Book::Impl& book);
    void finish(Problems problems);

 private:
    void not_the_disk(std::string_view told) const;
    std::filesystem::path path_;
    std::future<std::vector<std::string>> told_;  // its destructor waits for the thread
};

/// Chains of other books, and branches that are not the own one: they may have gaps, and their rows come in any order.
class OthersCheck {
 public:
    OthersCheck(Book::Impl& book, Problems& problems, std::vector<std::string>& remarks);
    void take(std::int64_t origin, std::int64_t seq, const std::string& name, const Digest& digest,
              const Digest& previous);
    void finish();

 private:
    struct Run {
        std::int64_t first = 0, last = 0;
        Digest before{}, end{};  ///< the digest that its first event names; that of its last event
        std::string name;        ///< of its first event
    };
    struct Chain {
        std::vector<Run> runs;
    };
    struct SignedHead {
        Digest digest{};
        std::string signature;
        bool met = false;
    };
    void finish(std::int64_t origin, Chain& chain);
    void heads_that_do_not_hold();
    Book::Impl& book_;
    Problems& problems_;
    std::vector<std::string>& remarks_;
    std::map<std::int64_t, Chain> chains_;
    std::map<std::pair<std::int64_t, std::int64_t>, SignedHead> heads_;  ///< by origin and sequence
};

/// The ties as the bodies alone give them.
class KnownTies : public Ties {
 public:
    void add(const Tied& statement, std::int64_t returned);
    void remove(std::int64_t statement);
    [[nodiscard]] bool any() const override { return !returned_.empty(); }
    [[nodiscard]] std::optional<std::int64_t> returned_by(std::int64_t statement) const override;
    [[nodiscard]] std::vector<Tied> statements_on(std::int64_t returned) const override;
    /// As the rows of the table `settlement`: statement, return, and the place of the statement.
    [[nodiscard]] std::set<std::array<std::int64_t, 5>> rows() const;

 private:
    std::map<std::int64_t, std::int64_t> returned_;  // by statement
    std::multimap<std::int64_t, Tied> statements_;   // by return
};

/// What has to be known before the first event can be folded: later entries, voids, the order of time.
struct Foreknown {
    RegisterInMemory reg;
    std::set<std::int64_t> out_of_count;
    KnownTies ties;
    std::set<std::pair<Digest, std::int64_t>> namings;  ///< what voids and statements name, and their rows
    std::multimap<std::int64_t, std::int64_t> voided;   ///< row: the voids that name it
    /// Row: the finding that it resolves, and its origin.
    std::map<std::int64_t, std::pair<std::string, std::int64_t>> resolves;
    bool rows_in_order = true;  ///< of time: then the rows can be folded in their order
};
Foreknown foreknown(Book::Impl& book);

/// The fold from the bodies alone, compared with every projection. Sums over all rows, in one walk over each table,
/// show whether they are equal; only where the sums differ is each event compared, to name it.
class FoldCheck {
 public:
    FoldCheck(Book::Impl& book, const Evaluator& evaluator, Problems problems, std::vector<std::string>& remarks,
              Foreknown known);
    ~FoldCheck();
    FoldCheck(const FoldCheck&) = delete;
    FoldCheck& operator=(const FoldCheck&) = delete;
    [[nodiscard]] bool rows_in_order() const;
    /// Precondition: events come in total order. Leaves out what does not count. `name` is used only where there are
    /// several books.
    void take(std::int64_t id, Event& event, const std::string& name);
    void take_all();  ///< reads the events itself
    void finish();    ///< compares

 private:
    struct Work;
    std::unique_ptr<Work> work_;
};

}  // namespace tarebook
