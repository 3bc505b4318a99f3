# One source a line: two people who add a page do not meet.
tarebook_room(
  report
  SOURCES
  additions.cpp
  air_check.cpp
  appliance_page.cpp
  cautions.cpp
  circuit_page.cpp
  cylinder_page.cpp
  events_export.cpp
  exceptions_page.cpp
  expect_page.cpp
  expected.cpp
  fill.cpp
  inside.cpp
  inventory_page.cpp
  job_page.cpp
  json.cpp
  leak_rates.cpp
  physical.cpp
  pressure_words.cpp
  pt_about.cpp
  pt_page.cpp
  recorded_page.cpp
  recovery_compared.cpp
  register_page.cpp
  room_page.cpp
  site_page.cpp
  table.cpp
  takers.cpp
  taking_page.cpp
  truck_page.cpp
  words.cpp
  USES book refrigerant rules checks
  LINKS nlohmann_json::nlohmann_json)
