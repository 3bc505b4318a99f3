tarebook_room(exchange SOURCES checked_sheet.cpp checked_sheet_scan.cpp job_sheet.cpp job_sheet_blank.cpp
              job_sheet_draft.cpp job_sheet_fields.cpp job_sheet_lines.cpp job_sheet_record.cpp movements.cpp
              USES record LINKS yaml-cpp)
