// From the schema that the file has to the newest one.
#pragma once

#include "impl.hpp"

namespace tarebook {

int schema_of(Db& db);

enum class Before { kept, nothing };  // a book that is being made has no earlier self

void migrate(Book::Impl& impl, Before before);

}  // namespace tarebook
