tarebook_room(exchange SOURCES job_sheet.cpp movements.cpp USES record LINKS yaml-cpp)
