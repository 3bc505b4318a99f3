# The SQL of schema/book is compiled in: a program and its schema cannot drift apart.
set(migration_sources ${CMAKE_CURRENT_BINARY_DIR}/book/migrations_sql.cpp)
file(READ ${PROJECT_SOURCE_DIR}/schema/book/0001_ledger.sql sql_0001)
set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${PROJECT_SOURCE_DIR}/schema/book/0001_ledger.sql)
file(CONFIGURE OUTPUT ${migration_sources} @ONLY CONTENT [[
#include "book/migrations.hpp"
namespace tarebook {
const char* const migration_sql[] = {R"sql(@sql_0001@)sql"};
const int newest_schema = 1;
}  // namespace tarebook
]])
tarebook_room(book SOURCES book.cpp check.cpp check_fold.cpp db.cpp db_register.cpp many.cpp queries.cpp transaction.cpp USES ledger
              LINKS SQLiteCpp sqlite3 PkgConfig::sodium)
target_sources(tarebook_book PRIVATE ${migration_sources})
