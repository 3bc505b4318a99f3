# What people ask with SQL: an SQLite file of its own, filled from the book by its public functions.
tarebook_room(
  analysis
  SOURCES
  analysts_file.cpp
  appliance_rows.cpp
  base_tables.cpp
  event_rows.cpp
  fill.cpp
  level_rows.cpp
  register_rows.cpp
  table.cpp
  tables_export.cpp
  views.cpp
  USES report
  LINKS SQLiteCpp sqlite3 nlohmann_json::nlohmann_json)
# A file says which version of the program made it; only fill.cpp is compiled again for a new one.
target_include_directories(tarebook_analysis PRIVATE ${CMAKE_CURRENT_BINARY_DIR}/include)
set_source_files_properties(analysis/fill.cpp PROPERTIES SKIP_UNITY_BUILD_INCLUSION ON)
