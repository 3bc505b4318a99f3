#include "tarebook/book/server_address.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>

#include "units/hex.hpp"

namespace tarebook {

bool is_server_address(const std::filesystem::path& book) {
    const auto& text = book.native();
    return text.starts_with("postgresql://") || text.starts_with("postgres://");
}

void refuse_password_in(const std::filesystem::path& address) {
    const std::string_view text = address.native();
    const auto host = text.find("://") + 3;
    const auto end = std::min(text.find_first_of("/?", host), text.size());
    const auto at = text.substr(host, end - host).rfind('@');
    const bool in_front = at != std::string_view::npos && text.substr(host, at).find(':') != std::string_view::npos;
    if (!in_front && text.find("password=", end) == std::string_view::npos) return;
    throw StorageError(
        "the address of the book has a password in it: who lists the programs of this machine would read it. Nothing "
        "was written.",
        "put it into ~/.pgpass (mode 0600), and give the address without it");
}

std::filesystem::path own_server_folder() {
    std::filesystem::path folder;
    if (const char* shared = std::getenv("XDG_DATA_HOME"); shared && *shared)
        folder = shared;
    else if (const char* home = std::getenv("HOME"); home && *home)
        folder = std::filesystem::path(home) / ".local" / "share";
    else
        throw StorageError("there is no home folder for what belongs to this person alone: the signing key, drafts",
                           "set HOME or XDG_DATA_HOME");
    return folder / "tarebook" / "servers";
}

std::filesystem::path drafts_folder_of(const std::filesystem::path& book) {
    if (!is_server_address(book)) {
        auto folder = book;
        folder += ".drafts";
        return folder;
    }
    return own_server_folder() / (hex(digest_of(book.native())).substr(0, 16) + ".drafts");
}

std::filesystem::path key_file_of(const BookId& id) {
    return own_server_folder() / (hex(id) + ".key");
}

void refuse_on_server(const std::filesystem::path& book, std::string_view command, std::string_view instead) {
    if (!is_server_address(book)) return;
    throw StorageError(fmt::format("{} works on a book in a file, and {} is on a server. Nothing was written.", command,
                                   book.string()),
                       std::string(instead));
}

}  // namespace tarebook
