# What a year amounts to: pure sums over events and what they did.
tarebook_room(year SOURCES year_body.cpp movements.cpp sums.cpp loss.cpp merkle.cpp seal.cpp USES ledger rules)
