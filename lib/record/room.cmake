tarebook_room(record SOURCES record.cpp USES book checks)
