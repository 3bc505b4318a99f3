tarebook_room(record SOURCES record.cpp record_many.cpp references.cpp texts.cpp USES book checks)
