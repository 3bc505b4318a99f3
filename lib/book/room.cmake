# The SQL of schema/book is compiled in: a program and its schema cannot drift apart.
set(migration_sources ${CMAKE_CURRENT_BINARY_DIR}/book/migrations_sql.cpp)
set(migration_texts "")
set(newest_schema 0)
foreach(migration 0001_ledger 0002_circuit_postings 0003_watched_events 0004_settlements 0005_counts 0006_books_that_travel
        0007_days_and_standings 0008_digests 0009_quarantine 0010_event_ids 0011_counted_balances
        0012_suspended_clocks 0013_plain_names 0014_people)
  file(READ ${PROJECT_SOURCE_DIR}/schema/book/${migration}.sql text)
  set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${PROJECT_SOURCE_DIR}/schema/book/${migration}.sql)
  string(APPEND migration_texts "R\"sql(${text})sql\",\n")
  math(EXPR newest_schema "${newest_schema} + 1")
endforeach()
file(CONFIGURE OUTPUT ${migration_sources} @ONLY CONTENT [[
#include "book/migrations.hpp"
namespace tarebook {
const char* const migration_sql[] = {@migration_texts@};
const int newest_schema = @newest_schema@;
}  // namespace tarebook
]])
# The same of schema/office, for a book on a PostgreSQL server.
set(office_sources ${CMAKE_CURRENT_BINARY_DIR}/book/office_sql.cpp)
set(newest_office_schema 0)
set(office_texts "")
foreach(migration 0001_office 0002_desks 0003_judged_anew)
  file(READ ${PROJECT_SOURCE_DIR}/schema/office/${migration}.sql text)
  set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${PROJECT_SOURCE_DIR}/schema/office/${migration}.sql)
  string(APPEND office_texts "R\"sql(${text})sql\",\n")
  math(EXPR newest_office_schema "${newest_office_schema} + 1")
endforeach()
file(CONFIGURE OUTPUT ${office_sources} @ONLY CONTENT [[
#include "book/migrations.hpp"
namespace tarebook {
const char* const office_sql[] = {@office_texts@};
const int newest_office_schema = @newest_office_schema@;
}  // namespace tarebook
]])
# Talks to a PostgreSQL server where its client's headers are; a program that was built without them says so.
if(TAREBOOK_LIBPQ)
  set(server_engine pq_library.cpp server_engine.cpp)
else()
  set(server_engine server_engine_none.cpp)
endif()
tarebook_room(book SOURCES adopt.cpp book.cpp book_file.cpp books.cpp backup.cpp backup_folder.cpp branches.cpp chain_clock.cpp atomic_book_file.cpp booked.cpp card.cpp changes.cpp check.cpp check_fold.cpp check_others.cpp check_integrity.cpp check_key.cpp check_schema.cpp commit.cpp concerned.cpp stocktakes.cpp db.cpp db_register.cpp desk.cpp event_step.cpp hold.cpp journal.cpp key.cpp merge.cpp names.cpp network_disk.cpp open_findings.cpp own_end.cpp past.cpp people.cpp quarantine.cpp queries.cpp lock_patience.cpp move.cpp replay.cpp insert_many.cpp judge_anew.cpp key_place.cpp server_address.cpp server_book.cpp server_sql.cpp ${server_engine} settlements.cpp sqlite_engine.cpp salvage.cpp sharing.cpp snapshot.cpp spoilt_log.cpp table_sink.cpp take_in.cpp to_judge.cpp transaction.cpp trust.cpp upgrade.cpp voided_entries.cpp watched.cpp USES ledger rules
              LINKS SQLiteCpp sqlite3 PkgConfig::sodium ${CMAKE_DL_LIBS})
target_sources(tarebook_book PRIVATE ${migration_sources} ${office_sources})
if(TAREBOOK_LIBPQ)
  target_include_directories(tarebook_book PRIVATE ${TAREBOOK_LIBPQ_INCLUDE})
  set_source_files_properties(book/pq_library.cpp PROPERTIES COMPILE_DEFINITIONS TAREBOOK_LIBPQ="${TAREBOOK_LIBPQ}")
  set_source_files_properties(book/pq_library.cpp book/server_engine.cpp PROPERTIES SKIP_UNITY_BUILD_INCLUSION ON)
endif()
