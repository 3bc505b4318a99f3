// Entries of the register, each field over time.
#pragma once

#include "table.hpp"
#include "tarebook/book/book.hpp"

namespace tarebook::analysis {

class RegisterRows {
 public:
    RegisterRows(const Book& book, AnalystsDb& file);
    void write_all();
    /// One entry, which may be there no more.
    void write(EntryKind kind, const std::string& code);
    void finish() { values_.finish(); }

 private:
    void write(const Entry& entry);
    const Book& book_;
    Table values_;
};

}  // namespace tarebook::analysis
