# The rule packs are compiled in: a small program reads schema/rules while building, as strictly as the program reads a
# pack from a file, and writes constant tables.
set(rules_reader rules/pack_source.cpp rules/pack_build.cpp rules/fields.cpp rules/terms.cpp rules/ratio.cpp)
tarebook_generator(compile_rules SOURCES rules/compile_rules.cpp ${rules_reader}
                   LINKS tarebook_event tarebook_refrigerant yaml-cpp)

file(GLOB rule_packs CONFIGURE_DEPENDS ${PROJECT_SOURCE_DIR}/schema/rules/*.yaml)
set(rule_tables ${CMAKE_CURRENT_BINARY_DIR}/rules/rule_tables.cpp)
file(MAKE_DIRECTORY ${CMAKE_CURRENT_BINARY_DIR}/rules)
add_custom_command(
  OUTPUT ${rule_tables} COMMAND compile_rules ${rule_tables} ${rule_packs}
  DEPENDS compile_rules ${rule_packs} COMMENT "Compiling the rule packs" VERBATIM)

tarebook_room(rules SOURCES ratio.cpp period.cpp purged.cpp pack_source.cpp pack_build.cpp fields.cpp terms.cpp packs.cpp rulebook.cpp gwp.cpp additions.cpp
              leak_rate.cpp evacuation.cpp requalification.cpp leak_check.cpp clocks.cpp cylinder_clocks.cpp identified.cpp
              USES event refrigerant LINKS yaml-cpp)
target_sources(tarebook_rules PRIVATE ${rule_tables})
