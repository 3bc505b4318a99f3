# What stands beside the program once it is installed: page for man(1), completion for three shells, documents, schemas and
# the demo shop; beside the library pkg-config's file, the example and the reference. `cmake --install` and the packages
# (deb.cmake) install by the same rules, in two components: program and development.
set(doc ${CMAKE_INSTALL_DATADIR}/doc)
set(made ${CMAKE_CURRENT_BINARY_DIR}/package)
file(MAKE_DIRECTORY ${made})
find_program(TAREBOOK_GZIP gzip REQUIRED)
mark_as_advanced(TAREBOOK_GZIP)

# The program writes its own man page and completions; what would be a user's setting is kept away from it.
set(tarebook_asked ${CMAKE_COMMAND} -E env --unset=TAREBOOK --unset=TAREBOOK_NOW $<TARGET_FILE:tarebook_cli>)
if(CMAKE_CROSSCOMPILING_EMULATOR)
  set(tarebook_asked ${CMAKE_COMMAND} -E env --unset=TAREBOOK --unset=TAREBOOK_NOW ${CMAKE_CROSSCOMPILING_EMULATOR}
                     $<TARGET_FILE:tarebook_cli>)
endif()
add_custom_command(
  OUTPUT ${made}/tarebook.1.gz ${made}/tarebook.bash ${made}/_tarebook ${made}/tarebook.fish
  COMMAND ${tarebook_asked} man > ${made}/tarebook.1
  COMMAND ${TAREBOOK_GZIP} -9nf ${made}/tarebook.1
  COMMAND ${tarebook_asked} completion bash > ${made}/tarebook.bash
  COMMAND ${tarebook_asked} completion zsh > ${made}/_tarebook
  COMMAND ${tarebook_asked} completion fish > ${made}/tarebook.fish
  DEPENDS tarebook_cli VERBATIM COMMENT "Man page and completions")
add_custom_command(
  OUTPUT ${made}/changelog.gz
  COMMAND awk -f ${CMAKE_CURRENT_LIST_DIR}/changelog.awk ${PROJECT_SOURCE_DIR}/DEVELOPERS.md > ${made}/changelog
  COMMAND ${TAREBOOK_GZIP} -9nf ${made}/changelog
  DEPENDS ${CMAKE_CURRENT_LIST_DIR}/changelog.awk ${PROJECT_SOURCE_DIR}/DEVELOPERS.md
  VERBATIM COMMENT "Changelog")
add_custom_target(tarebook_documents ALL DEPENDS ${made}/tarebook.1.gz ${made}/changelog.gz)

file(READ ${PROJECT_SOURCE_DIR}/LICENSE licence)
string(REGEX MATCH "Copyright[^\n]*" holder "${licence}")
string(REGEX REPLACE "^.*Copyright[^\n]*\n\n" "" licence "${licence}")
string(REGEX REPLACE "\n+$" "" licence "${licence}")
string(REPLACE "\n\n" "\n.\n" licence "${licence}")
string(REPLACE "\n" "\n " licence "${licence}")
string(REPLACE "Copyright (c) " "" holder "${holder}")
configure_file(${CMAKE_CURRENT_LIST_DIR}/copyright.in ${made}/copyright @ONLY)

install(FILES ${made}/tarebook.1.gz DESTINATION ${CMAKE_INSTALL_MANDIR}/man1 COMPONENT program)
install(FILES ${made}/tarebook.bash DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions RENAME tarebook
        COMPONENT program)
install(FILES ${made}/tarebook.fish DESTINATION ${CMAKE_INSTALL_DATADIR}/fish/vendor_completions.d COMPONENT program)
# zsh looks in other folders for what a distribution installs and for what a prefix has.
install(CODE "
  set(zsh site-functions)
  if(CMAKE_INSTALL_PREFIX MATCHES \"/usr/?\$\")
    set(zsh vendor-completions)
  endif()
  file(INSTALL \"${made}/_tarebook\" DESTINATION \"\${CMAKE_INSTALL_PREFIX}/${CMAKE_INSTALL_DATADIR}/zsh/\${zsh}\")"
        COMPONENT program)
install(FILES ${PROJECT_SOURCE_DIR}/README.md ${made}/copyright ${made}/changelog.gz DESTINATION ${doc}/tarebook
        COMPONENT program)
# README.md names files of fixtures/ and schema/: from its folder its lines can be typed as they stand.
install(DIRECTORY ${PROJECT_SOURCE_DIR}/fixtures DESTINATION ${doc}/tarebook COMPONENT program PATTERN pages EXCLUDE)
# Its pages, its pictures and the example stand where its links lead.
install(FILES ${PROJECT_SOURCE_DIR}/DEVELOPERS.md DESTINATION ${doc}/tarebook COMPONENT program)
install(DIRECTORY ${PROJECT_SOURCE_DIR}/cli/guide DESTINATION ${doc}/tarebook/cli COMPONENT program)
install(FILES ${PROJECT_SOURCE_DIR}/lib/README.md DESTINATION ${doc}/tarebook/lib COMPONENT program)
install(FILES ${PROJECT_SOURCE_DIR}/tests/example/one_day.cpp DESTINATION ${doc}/tarebook/tests/example COMPONENT program)
install(FILES ${PROJECT_SOURCE_DIR}/fixtures/pages/page.svg ${PROJECT_SOURCE_DIR}/fixtures/pages/label.svg
        DESTINATION ${doc}/tarebook/fixtures/pages COMPONENT program)
install(DIRECTORY ${PROJECT_SOURCE_DIR}/schema DESTINATION ${CMAKE_INSTALL_DATADIR}/tarebook COMPONENT program)
file(CREATE_LINK ../../tarebook/schema ${made}/schema SYMBOLIC)
install(FILES ${made}/schema DESTINATION ${doc}/tarebook COMPONENT program)

install(FILES ${PROJECT_SOURCE_DIR}/DEVELOPERS.md ${made}/copyright ${made}/changelog.gz DESTINATION ${doc}/libtarebook-dev
        COMPONENT development)
install(FILES ${PROJECT_SOURCE_DIR}/tests/example/one_day.cpp ${CMAKE_CURRENT_LIST_DIR}/example/CMakeLists.txt
        DESTINATION ${doc}/libtarebook-dev/examples COMPONENT development)
install(DIRECTORY ${CMAKE_CURRENT_BINARY_DIR}/reference/html DESTINATION ${doc}/libtarebook-dev COMPONENT development OPTIONAL)

# pkg-config: every room, the highest first, then what each was built on. All of it is linked, as there are archives alone.
get_property(rooms GLOBAL PROPERTY tarebook_rooms)
string(REGEX MATCHALL "[^\n]+" rooms "${rooms}")
set(pc_rooms "")
foreach(room ${rooms})
  string(REGEX MATCH "^[a-z]+" room "${room}")
  string(PREPEND pc_rooms "-ltarebook_${room} ")
endforeach()
file(RELATIVE_PATH pc_prefix /${CMAKE_INSTALL_LIBDIR}/pkgconfig /)
string(REGEX REPLACE "/$" "" pc_prefix "${pc_prefix}")
configure_file(${CMAKE_CURRENT_LIST_DIR}/tarebook.pc.in ${made}/tarebook.pc @ONLY)
install(FILES ${made}/tarebook.pc DESTINATION ${CMAKE_INSTALL_LIBDIR}/pkgconfig COMPONENT development)

add_custom_target(uninstall COMMAND ${CMAKE_COMMAND} -P ${CMAKE_CURRENT_LIST_DIR}/uninstall.cmake VERBATIM
                  WORKING_DIRECTORY ${CMAKE_CURRENT_BINARY_DIR})
