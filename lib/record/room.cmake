tarebook_room(record SOURCES look.cpp record.cpp record_many.cpp references.cpp USES book checks)
