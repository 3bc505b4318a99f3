# One source a line: two people who add a page do not meet.
tarebook_room(
  report
  SOURCES
  additions.cpp
  equipment_movements.cpp
  air_check.cpp books_page.cpp proof.cpp
  book_names.cpp
  appliance_page.cpp
  cautions.cpp
  cell.cpp
  clock_cards.cpp
  clock_summary.cpp
  check_text.cpp
  circuit_page.cpp
  stocktake_page.cpp
  stocktake_sheet_page.cpp
  stocktake_view.cpp
  cylinder_page.cpp
  day_page.cpp
  document.cpp
  document_html.cpp
  document_xlsx.cpp
  event_row.cpp
  events_export.cpp
  sealed_years.cpp
  due.cpp
  due_cache.cpp
  due_page.cpp
  due_since.cpp
  exception_cards.cpp
  exceptions_page.cpp
  expect_page.cpp
  expected.cpp
  charge_by_book.cpp
  flow_picture.cpp
  gathered.cpp
  export_file.cpp
  export_schema.cpp
  export_scope.cpp
  export_summary.cpp
  export_tables.cpp
  export_walk.cpp
  fill.cpp
  history.cpp
  icalendar.cpp
  columns.cpp
  content_policy.cpp
  cylinder_contents.cpp
  inventory_page.cpp
  invoice_page.cpp
  job_page.cpp
  json.cpp
  label.cpp
  label_drawing.cpp
  label_page.cpp
  layout.cpp
  letter_widths.cpp
  qr_code.cpp
  text_box.cpp
  leak_log.cpp
  leak_rates.cpp
  morning.cpp
  unit_text.cpp
  picture.cpp
  practice.cpp
  pressure_text.cpp
  pt_about.cpp
  pt_page.cpp
  recorded_page.cpp
  recovery_compared.cpp
  retention_page.cpp
  register_page.cpp
  room_page.cpp
  offers.cpp
  page_folder.cpp
  people_page.cpp
  page_links.cpp
  scale_in_use.cpp
  site_page.cpp
  statements.cpp
  stock.cpp
  stock_page.cpp
  sync_page.cpp
  table.cpp
  shown_table.cpp
  paper.cpp
  candidate_cylinders.cpp
  taking_page.cpp
  touched_appliances.cpp
  truck_page.cpp
  visit.cpp
  visit_form.cpp
  visit_form_data.cpp
  visit_missing.cpp
  visit_page.cpp
  why_page.cpp
  shared_text.cpp
  year_answer.cpp
  year_export.cpp
  year_document.cpp
  year_flow.cpp
  year_page.cpp
  year_pictures.cpp
  year_seal.cpp
  workbook.cpp
  xlsx_library.cpp
  year_view.cpp year_reclaim.cpp service_work.cpp
  no_longer_over.cpp
  USES book refrigerant rules checks year stocktake scale exchange
  LINKS nlohmann_json::nlohmann_json PkgConfig::nettle PkgConfig::qrencode ${CMAKE_DL_LIBS})

# The library's name without the part that only developers have: what a machine that runs the program has.
file(REAL_PATH ${TAREBOOK_XLSXWRITER} xlsxwriter)
get_filename_component(xlsxwriter ${xlsxwriter} NAME)
set_source_files_properties(report/xlsx_library.cpp PROPERTIES COMPILE_DEFINITIONS TAREBOOK_XLSXWRITER="${xlsxwriter}")
set_source_files_properties(report/due_since.cpp report/workbook.cpp report/xlsx_library.cpp PROPERTIES SKIP_UNITY_BUILD_INCLUSION ON)

# The texts of the visit form are compiled in as they stand: its style, its script in two parts, and the table of lines.
set(visit_form_texts ${CMAKE_CURRENT_BINARY_DIR}/report/visit_form_texts.cpp)
foreach(name visit_form.css visit_sheet.js visit_form.js visit_form_lines.json)
  file(READ ${CMAKE_CURRENT_LIST_DIR}/${name} text)
  set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${CMAKE_CURRENT_LIST_DIR}/${name})
  string(REPLACE "." "_" constant ${name})
  set(${constant} "R\"text(${text})text\"")
endforeach()
file(CONFIGURE OUTPUT ${visit_form_texts} @ONLY CONTENT [[
#include "report/visit_form.hpp"
namespace tarebook::report {
const std::string_view visit_form_style = @visit_form_css@;
const std::string_view visit_form_script = @visit_sheet_js@ @visit_form_js@;
const std::string_view visit_form_lines = @visit_form_lines_json@;
}  // namespace tarebook::report
]])
target_sources(tarebook_report PRIVATE ${visit_form_texts})
set_source_files_properties(${visit_form_texts} PROPERTIES SKIP_UNITY_BUILD_INCLUSION ON)  # a word of the script compiles alone
