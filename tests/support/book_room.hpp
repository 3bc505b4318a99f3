// Where the books of a test are. A test asks a BookRoom for the place of each book: a file in a folder of its own or,
// where TAREBOOK_TEST_SERVER has the address of a PostgreSQL server, a database there. So one source tests both
// engines; tests/e2e/server_properties.py runs it over a server.
//
// No test is left out of that in silence: in a test that did not ask a BookRoom, a book in a file cannot be opened,
// unless the test says why it is about files: TEST_CASE("..." * files_alone("damaged bytes")).
#pragma once

#include <doctest/doctest.h>

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "tarebook/book/book.hpp"

namespace tarebook::test {

/// Whether books are on a server in this run.
bool books_on_server();

class BookRoom {
 public:
    BookRoom();
    BookRoom(const BookRoom&) = delete;
    BookRoom& operator=(const BookRoom&) = delete;
    /// Precondition: the books in it are closed.
    ~BookRoom();

    /// The place of the book with that name: no file, or an empty database, until the test makes the book.
    [[nodiscard]] std::filesystem::path book(const std::string& name) const;
    /// The book at `from` once more. Precondition: it is closed.
    std::filesystem::path copy(const std::filesystem::path& from, const std::string& name) const;
    /// The book at `place` is again what the one at `from` is. Precondition: both are closed.
    void set_back(const std::filesystem::path& place, const std::filesystem::path& from) const;
    /// What a test calls the book at that place.
    [[nodiscard]] std::string name_of(const std::filesystem::path& place) const;

    /// For bundles, exports and the like.
    std::filesystem::path path;

 private:
    struct Place {
        std::string name, database;
        std::filesystem::path place;
    };
    [[nodiscard]] const Place& at(const std::filesystem::path& place) const;
    [[nodiscard]] std::filesystem::path add(const std::string& name, const std::string& database) const;
    mutable std::vector<Place> places_;
};

/// Another person's folder for signing keys, as long as it lives: what is opened meanwhile on a server is opened by
/// that person. A book in a file has its key in the file.
class AnotherPerson {
 public:
    explicit AnotherPerson(const std::filesystem::path& folder);
    AnotherPerson(const AnotherPerson&) = delete;
    AnotherPerson& operator=(const AnotherPerson&) = delete;
    ~AnotherPerson();

 private:
    std::string before_;
};

/// Says that a test is about files as such, and why. It does not run over a server.
class files_alone {  // NOLINT(readability-identifier-naming): as doctest calls its own
 public:
    explicit files_alone(const char* why) : why_(why) {}
    void fill(doctest::detail::TestCase& test) const;

 private:
    const char* why_;
};

}  // namespace tarebook::test
