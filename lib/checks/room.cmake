tarebook_room(checks SOURCES context.cpp draft_form.cpp entry_field.cpp memo.cpp slip.cpp weights.cpp filling.cpp fill_now.cpp machine.cpp gas.cpp identified.cpp mixing.cpp cylinder_fitness.cpp records.cpp evacuation.cpp pressure_test.cpp certificate.cpp mothballing.cpp
              reuse.cpp site_packs.cpp statements.cpp two_books.cpp
              table.cpp judge.cpp USES ledger refrigerant rules)
