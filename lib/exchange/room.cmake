# libcsv comes without a file for pkg-config or CMake.
find_path(TAREBOOK_CSV_HEADER csv.h REQUIRED)
find_library(TAREBOOK_CSV_LIBRARY csv REQUIRED)
mark_as_advanced(TAREBOOK_CSV_HEADER TAREBOOK_CSV_LIBRARY)
set(csv csv)
if(TAREBOOK_ARCHIVES AND TAREBOOK_ARCHIVE_csv)
  set(csv $<BUILD_INTERFACE:${TAREBOOK_ARCHIVE_csv}> $<INSTALL_INTERFACE:csv>)
endif()
tarebook_room(exchange SOURCES bundle_bytes.cpp bundle_form.cpp bundle_merge.cpp bundle_read.cpp bundle_send.cpp device_notice.cpp parcel_file.cpp parcel_form.cpp sync.cpp sync_folder.cpp sync_plan.cpp checked_sheet.cpp job_sheet.cpp job_sheet_blank.cpp
              job_sheet_draft.cpp begun_entry.cpp open_visit.cpp draft_file.cpp scale_port_file.cpp job_sheet_fields.cpp job_sheet_lines.cpp job_sheet_record.cpp
              stocktake_entry.cpp stocktake_sheet.cpp csv.cpp csv_columns.cpp csv_guard.cpp csv_source.cpp register_lists.cpp movements.cpp movements_cells.cpp
              movements_clock.cpp movements_drafts.cpp movements_register.cpp movements_rows.cpp movements_texts.cpp salvage.cpp
              import_map.cpp map_blank.cpp map_dates.cpp map_fields.cpp map_units.cpp
              mapped_cylinders.cpp mapped_drafts.cpp mapped_import.cpp mapped_movements.cpp mapped_sites.cpp mapped_table.cpp mapped_work.cpp
              USES record scale LINKS yaml-cpp PkgConfig::sodium ${csv})
set_target_properties(tarebook_exchange PROPERTIES UNITY_BUILD_BATCH_SIZE 24)  # its readers of files name their parts alike
