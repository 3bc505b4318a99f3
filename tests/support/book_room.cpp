#include "support/book_room.hpp"

#include <fmt/format.h>
#include <sqlite3.h>
#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <map>
#include <mutex>
#include <set>
#include <stdexcept>

#include "book/server_engine.hpp"

namespace tarebook::test {
namespace {

namespace fs = std::filesystem;

const char* server_of_tests() {
    const char* said = std::getenv("TAREBOOK_TEST_SERVER");
    return said && *said ? said : nullptr;
}

// In memory where the machine has such a place: the disk's syncs are not what is tested here.
fs::path new_folder() {
    const auto base = ::access("/dev/shm", W_OK) == 0 ? fs::path("/dev/shm") : fs::temp_directory_path();
    auto name = (base / "tarebook-books-XXXXXX").string();
    if (!::mkdtemp(name.data())) throw std::runtime_error("no folder for the books of this test");
    return name;
}
void remove_folder(const fs::path& folder) {
    std::error_code ignored;
    fs::remove_all(folder, ignored);
}

// The server's databases for books. An empty one is kept for the next book; all go with the program.
class Databases {
 public:
    Databases() : keys_(new_folder()), engine_(server_engine(server_of_tests())) {
        ::setenv("XDG_DATA_HOME", keys_.c_str(), 1);
    }
    Databases(const Databases&) = delete;
    Databases& operator=(const Databases&) = delete;
    ~Databases() {
        try {
            for (const auto& name : empty_) drop(name);
        } catch (const std::exception&) {  // NOLINT(bugprone-empty-catch): the server of a test goes with its script
        }
        remove_folder(keys_);
    }
    static Databases& get() {
        static Databases all;
        return all;
    }

    std::string empty() {
        if (!empty_.empty()) {
            auto name = std::move(empty_.back());
            empty_.pop_back();
            return name;
        }
        return made("template0");
    }
    std::string copy(const std::string& of) { return made(of); }
    void set_back(const std::string& name, const std::string& of) {
        drop(name);
        engine_->script(fmt::format("CREATE DATABASE {} TEMPLATE {}", name, of));
    }
    void give_back(const std::string& name) {
        try {
            server_engine(address(name))->script("DROP SCHEMA IF EXISTS tarebook CASCADE");
            empty_.push_back(name);
        } catch (const DbError&) {  // the test ended its server's connections, or made of it what it liked
            drop(name);
        }
    }
    static fs::path address(const std::string& database) {
        const std::string server = server_of_tests();
        const auto begin = server.find('/', server.find("://") + 3) + 1;
        const auto end = std::min(server.find('?', begin), server.size());
        return server.substr(0, begin) + database + server.substr(end);
    }

 private:
    std::string made(const std::string& of) {
        auto name = fmt::format("test_{}_{}", ::getpid(), ++made_);
        engine_->script(fmt::format("CREATE DATABASE {} TEMPLATE {}", name, of));
        return name;
    }
    void drop(const std::string& name) { engine_->script(fmt::format("DROP DATABASE {} WITH (FORCE)", name)); }

    fs::path keys_;
    std::unique_ptr<Engine> engine_;
    int made_ = 0;
    std::vector<std::string> empty_;
};

// --- who opens files ---

struct Opening {
    std::mutex mutex;
    std::multiset<std::string> given;  // beginnings of the names of files that rooms gave out
    int rooms = 0;                     // that gave out a place, and are there
    bool alone = false;                // the test of now said that it is about files
    bool asked = false;                // it asked a room for a place
};
Opening& opening() {
    static Opening one;
    return one;
}
std::map<std::string, const char*>& tests_of_files() {
    static std::map<std::string, const char*> all;
    return all;
}

bool may_open(const std::string& file) {
    auto& o = opening();
    const std::lock_guard lock(o.mutex);
    if (o.alone) return true;
    if (file.empty()) return o.rooms > 0;                        // a copy in memory
    if (file.find(".sqlite") != std::string::npos) return true;  // an analysts' file
    return std::any_of(o.given.begin(), o.given.end(), [&](const auto& name) { return file.starts_with(name); });
}

// SQLite calls it for each database that this program opens.
int look_at_opened(sqlite3* db, const char** why_not, const sqlite3_api_routines*) {
    const char* name = sqlite3_db_filename(db, "main");
    if (may_open(name ? name : "")) return SQLITE_OK;
    *why_not = sqlite3_mprintf("the test opens %s without a BookRoom, and does not say why (files_alone)",
                               name && *name ? name : "a database in memory");
    return SQLITE_ERROR;
}

struct LooksAtOpened : doctest::IReporter {
    explicit LooksAtOpened(const doctest::ContextOptions&) {}
    void test_run_start() override {
        sqlite3_auto_extension(reinterpret_cast<void (*)()>(look_at_opened));  // as SQLite's documentation has it
    }
    void test_case_start(const doctest::TestCaseData& test) override {
        const std::lock_guard lock(opening().mutex);
        name_ = test.m_name;
        opening().alone = tests_of_files().contains(name_);
        opening().asked = false;
    }
    // One line a test: where its books were.
    void test_case_end(const doctest::CurrentTestCaseStats& done) override {
        const char* to = std::getenv("TAREBOOK_TEST_BOOKS");
        if (!to) return;
        const auto* where = opening().alone     ? "files alone"
                            : !opening().asked  ? "none"
                            : books_on_server() ? "server"
                                                : "files";
        std::ofstream(to, std::ios::app) << where << '\t' << (done.testCaseSuccess ? "held" : "failed") << '\t' << name_
                                         << '\n';
    }
    void report_query(const doctest::QueryData&) override {}
    void test_run_end(const doctest::TestRunStats&) override {}
    void test_case_reenter(const doctest::TestCaseData&) override {}
    void test_case_exception(const doctest::TestCaseException&) override {}
    void subcase_start(const doctest::SubcaseSignature&) override {}
    void subcase_end() override {}
    void log_assert(const doctest::AssertData&) override {}
    void log_message(const doctest::MessageData&) override {}
    void test_case_skipped(const doctest::TestCaseData&) override {}

 private:
    std::string name_;
};
DOCTEST_REGISTER_LISTENER("looks-at-opened", 1, LooksAtOpened);

}  // namespace

bool books_on_server() {
    return server_of_tests() != nullptr;
}

BookRoom::BookRoom() : path(new_folder()) {}

BookRoom::~BookRoom() {
    {
        auto& o = opening();
        const std::lock_guard lock(o.mutex);
        if (!places_.empty()) --o.rooms;
        for (const auto& place : places_)
            if (place.database.empty()) o.given.erase(o.given.find(place.place.string()));
    }
    for (const auto& place : places_)
        if (!place.database.empty()) Databases::get().give_back(place.database);
    remove_folder(path);
}

fs::path BookRoom::book(const std::string& name) const {
    for (const auto& place : places_)
        if (place.name == name) return place.place;
    return add(name, books_on_server() ? Databases::get().empty() : std::string());
}

fs::path BookRoom::copy(const fs::path& from, const std::string& name) const {
    if (books_on_server()) return add(name, Databases::get().copy(at(from).database));
    auto to = add(name, {});
    fs::copy_file(from, to);
    return to;
}

void BookRoom::set_back(const fs::path& place, const fs::path& from) const {
    if (books_on_server())
        Databases::get().set_back(at(place).database, at(from).database);
    else
        fs::copy_file(from, place, fs::copy_options::overwrite_existing);
}

std::string BookRoom::name_of(const fs::path& place) const {
    return at(place).name;
}

const BookRoom::Place& BookRoom::at(const fs::path& place) const {
    for (const auto& one : places_)
        if (one.place == place) return one;
    throw std::invalid_argument(place.string() + " is not a place of this room");
}

fs::path BookRoom::add(const std::string& name, const std::string& database) const {
    Place place{name, database, database.empty() ? path / name : Databases::address(database)};
    auto& o = opening();
    const std::lock_guard lock(o.mutex);
    o.asked = true;
    if (places_.empty()) ++o.rooms;
    if (database.empty()) o.given.insert(place.place.string());
    places_.push_back(std::move(place));
    return places_.back().place;
}

AnotherPerson::AnotherPerson(const fs::path& folder) {
    if (!books_on_server()) return;
    if (const char* now = std::getenv("XDG_DATA_HOME")) before_ = now;
    ::setenv("XDG_DATA_HOME", folder.c_str(), 1);
}
AnotherPerson::~AnotherPerson() {
    if (books_on_server()) ::setenv("XDG_DATA_HOME", before_.c_str(), 1);
}

void files_alone::fill(doctest::detail::TestCase& test) const {
    tests_of_files()[test.m_name] = why_;
    test.m_skip = books_on_server();
}

}  // namespace tarebook::test
