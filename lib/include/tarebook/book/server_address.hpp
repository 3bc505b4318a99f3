// A book is a file, or is on a PostgreSQL server under an address: postgresql://HOST/DB. What belongs to one person is
// never on the server: the signing key, begun entries, drafts, open visits, ports of scales.
#pragma once

#include <filesystem>
#include <string>
#include <string_view>

#include "tarebook/event/event.hpp"
#include "tarebook/units/error.hpp"

namespace tarebook {

/// Whether the name of a book is the address of a server.
bool is_server_address(const std::filesystem::path& book);

/// Throws StorageError if the address carries a password: a person who lists the processes would read it.
void refuse_password_in(const std::filesystem::path& address);

/// The folder of this person's own files about books on servers, under XDG_DATA_HOME. StorageError without a home.
std::filesystem::path own_server_folder();
/// Where this person keeps drafts and the like of the book: BOOK.drafts beside a file, else in own_server_folder().
std::filesystem::path drafts_folder_of(const std::filesystem::path& book);
/// The file with this person's signing key for the chain with that id.
std::filesystem::path key_file_of(const BookId& id);

/// Throws StorageError for an address of a server: `command` works on a file alone. `instead`: what does its work
/// there.
void refuse_on_server(const std::filesystem::path& book, std::string_view command, std::string_view instead);

}  // namespace tarebook
