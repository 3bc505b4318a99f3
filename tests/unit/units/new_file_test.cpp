#include "tarebook/units/new_file.hpp"

#include <doctest/doctest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <fstream>
#include <iterator>
#include <optional>
#include <string>

using namespace tarebook;
namespace fs = std::filesystem;

namespace {

struct Folder {
    Folder() : path(fs::temp_directory_path() / ("new_file_test_" + std::to_string(::getpid()))) {
        fs::remove_all(path);
        fs::create_directory(path);
    }
    ~Folder() {
        fs::permissions(path, fs::perms(0700));
        fs::remove_all(path);
    }
    [[nodiscard]] std::size_t files() const {
        return static_cast<std::size_t>(std::distance(fs::directory_iterator(path), fs::directory_iterator()));
    }
    fs::path path;
};

std::string text_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

}  // namespace

TEST_CASE("new file: it has its name when it is whole, and not before") {
    const Folder folder;
    const auto name = folder.path / "a";
    NewFile file(name);
    REQUIRE(file.is_open());
    CHECK(file.write("one "));
    CHECK(file.write("two"));
    CHECK_FALSE(fs::exists(name));
    CHECK(file.take_name() == Named::yes);
    CHECK(text_of(name) == "one two");
    CHECK(folder.files() == 1);
    struct stat about {};
    REQUIRE(::stat(name.c_str(), &about) == 0);
    CHECK((about.st_mode & 0777U) == 0600U);
}

TEST_CASE("new file: a name that is taken stays with its file, unless it is to be replaced") {
    const Folder folder;
    const auto name = folder.path / "a";
    std::ofstream(name) << "old";
    NewFile refused(name);
    refused.write("new");
    CHECK(refused.take_name() == Named::taken);
    CHECK(errno == EEXIST);
    CHECK(text_of(name) == "old");
    CHECK(folder.files() == 1);
    NewFile placed(name);
    placed.write("new");
    CHECK(placed.replace() == Named::yes);
    CHECK(text_of(name) == "new");
    NewFile kept(name);
    kept.write("newer");
    CHECK(kept.replace_for_now() == Named::yes);
    CHECK(text_of(name) == "newer");
    CHECK(folder.files() == 1);
}

TEST_CASE("new file: what is not named leaves nothing") {
    const Folder folder;
    {
        NewFile file(folder.path / "a");
        file.write("half");
        CHECK(folder.files() == 1);
    }
    CHECK(folder.files() == 0);
}

TEST_CASE("new file: what a killed process of this number left is no hindrance, and no link is followed") {
    const Folder folder;
    const auto name = folder.path / "a", victim = folder.path / "victim";
    std::ofstream(victim) << "untouched";
    fs::create_symlink(victim, name.string() + ".part-" + std::to_string(::getpid()));
    NewFile file(name);
    CHECK(file.write("new"));
    CHECK(file.take_name() == Named::yes);
    CHECK(text_of(victim) == "untouched");
    CHECK(text_of(name) == "new");
}

TEST_CASE("new file: where there is no folder, each call says so") {
    const Folder folder;
    NewFile file(folder.path / "none" / "a");
    CHECK_FALSE(file.is_open());
    CHECK_FALSE(file.write("x"));
    errno = 0;
    CHECK(file.take_name() == Named::no);
    CHECK(errno == ENOENT);
    CHECK(file.replace() == Named::no);
    CHECK_FALSE(sync_folder(folder.path / "none"));
    CHECK(sync_folder(folder.path));
}
