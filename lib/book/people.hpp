// Names of people beside the chain: the table `person`. Inside an open transaction a name gets its code, and a name
// that was removed loses its bytes.
#pragma once

#include <set>

#include "check.hpp"
#include "impl.hpp"

namespace tarebook {

/// Puts a code in the place of a technician's name, and keeps the name in the table.
void set_names_apart(Book::Impl& book, Event& draft);
/// Keeps a name that came from another book. False if the code is known here, with its name or without.
bool keep_person(Book::Impl& book, const PersonName& person);
/// The codes that events here have.
std::set<std::string> codes_of_people(Book::Impl& book);
/// Removes the names of these codes, and keeps out what comes of them later.
void remove_names(Book::Impl& book, std::string_view codes);
/// The name of a code, or words that say why it is not here; any other text as it is.
std::string shown_name(Db& db, std::string_view code);
/// The entry of a technician with names in place of codes.
Entry with_names(Db& db, const Entry& technician);

/// The `typist` that is to be recorded before what is recorded now; nothing where the chain says the same already. The
/// event follows `last`.
std::optional<Event> new_typist(Book::Impl& book, const Typing& typing, const Head& last, Instant now);

/// Each name that is here is that of its code, and each removed one is gone.
void check_people(Book::Impl& book, Problems& problems);

}  // namespace tarebook
