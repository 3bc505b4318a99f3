// One open transaction.
#pragma once

#include <map>
#include <memory>
#include <vector>

#include "desk.hpp"
#include "impl.hpp"
#include "tarebook/book/drafts.hpp"
#include "transaction.hpp"

namespace tarebook {

/// What judge_many keeps for commit_many.
struct ManyWork {
    const Drafts* drafts = nullptr;
    std::vector<std::uint32_t> which;
    std::map<std::size_t, std::pair<std::string, std::vector<Accepted>>> accepted;  ///< by position in `which`
    std::vector<std::string> dropped_indexes;                                       ///< SQL that makes them again
};

struct Book::Transaction::Work {
    explicit Work(Book::Impl& b, const Hold& hold = {}) : book(b) {
        // Ends the transaction of a book that was held still for reading.
        if (book.db.in_transaction()) book.db.commit();
        book.db.begin_recording(hold);
        book.hold = hold;
        book.look_afresh();
        if (book.moved_to || book.moving_to) {
            book.db.roll_back();
            refuse_where_it_was(book);
        }
    }
    Work(const Work&) = delete;
    Work& operator=(const Work&) = delete;
    ~Work() {
        // What was looked up in a part that is held stays true, once it is committed.
        if (open || book.hold.whole) book.forget();
        book.hold = {};
        if (!open) return;
        try {
            book.db.roll_back();
        } catch (const DbError&) {  // NOLINT(bugprone-empty-catch): SQLite has rolled back by itself
        }
    }
    Book::Impl& book;
    bool open = true;
    Head head;
    std::int64_t first_id = 0;
    ManyWork many;
};

}  // namespace tarebook
