# The catalogue is compiled in: a small program reads schema/ while building and writes constant tables.
set(catalogue_sources compile_catalogue.cpp catalogue_source.cpp provenance_source.cpp refrigerant_fields.cpp checked_yaml.cpp
                      saturation_nodes.cpp)
list(TRANSFORM catalogue_sources PREPEND refrigerant/)
tarebook_generator(compile_catalogue SOURCES ${catalogue_sources} LINKS tarebook_units yaml-cpp)

set(schema ${PROJECT_SOURCE_DIR}/schema)
file(GLOB saturation_tables CONFIGURE_DEPENDS ${schema}/saturation/*.csv)
set(catalogue_tables ${CMAKE_CURRENT_BINARY_DIR}/refrigerant/catalogue_tables.cpp)
file(MAKE_DIRECTORY ${CMAKE_CURRENT_BINARY_DIR}/refrigerant)
add_custom_command(
  OUTPUT ${catalogue_tables}
  COMMAND compile_catalogue ${schema}/refrigerants.yaml ${schema}/cylinder-fill.yaml ${schema}/saturation
          ${catalogue_tables}
  DEPENDS compile_catalogue ${schema}/refrigerants.yaml ${schema}/cylinder-fill.yaml ${saturation_tables}
          ${schema}/saturation/provenance.yaml
  COMMENT "Compiling the refrigerant catalogue" VERBATIM)

# The same for the sizes of copper tube.
tarebook_generator(compile_tubes SOURCES refrigerant/compile_tubes.cpp)
set(tube_table ${CMAKE_CURRENT_BINARY_DIR}/refrigerant/tube_table.cpp)
add_custom_command(
  OUTPUT ${tube_table}
  COMMAND compile_tubes ${schema}/acr-tube.csv ${tube_table}
  DEPENDS compile_tubes ${schema}/acr-tube.csv
  COMMENT "Compiling the tube sizes" VERBATIM)

tarebook_room(refrigerant SOURCES air_check.cpp catalogue.cpp saturation.cpp saturation_nodes.cpp spec_mark.cpp
              fill_limit.cpp cylinder_physics.cpp fill_memo.cpp stop_weight.cpp pressure_rating.cpp vapor.cpp tube.cpp piping.cpp
              piping_text.cpp own_refrigerants.cpp own_source.cpp own_table.cpp refrigerant_fields.cpp checked_yaml.cpp
              USES units LINKS yaml-cpp)
target_sources(tarebook_refrigerant PRIVATE ${catalogue_tables} ${tube_table})
