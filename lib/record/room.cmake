tarebook_room(record SOURCES drafting.cpp sorted_drafts.cpp record.cpp record_many.cpp references.cpp USES book checks)
