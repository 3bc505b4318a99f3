# The reference of the public headers, as pages for a browser: cmake --build DIR --target reference. A declaration without its
# words, or words that doxygen cannot read, end it. What is installed has the pages where they were made.
find_program(TAREBOOK_DOXYGEN doxygen)
mark_as_advanced(TAREBOOK_DOXYGEN)
if(NOT TAREBOOK_DOXYGEN)
  add_custom_target(reference COMMAND ${CMAKE_COMMAND} -E echo "the reference is made by doxygen: apt-get install doxygen"
                    COMMAND ${CMAKE_COMMAND} -E false VERBATIM)
  return()
endif()
set(reference ${CMAKE_CURRENT_BINARY_DIR}/reference)
set(headers ${PROJECT_SOURCE_DIR}/lib/include)
set(reference_front ${CMAKE_CURRENT_LIST_DIR}/front.md)
configure_file(${CMAKE_CURRENT_LIST_DIR}/Doxyfile.in ${reference}/Doxyfile @ONLY)
add_custom_target(reference COMMAND ${CMAKE_COMMAND} -E rm -rf ${reference}/html COMMAND python3 ${CMAKE_CURRENT_LIST_DIR}/make.py ${TAREBOOK_DOXYGEN} ${reference}/Doxyfile ${reference}
                  WORKING_DIRECTORY ${CMAKE_CURRENT_BINARY_DIR} VERBATIM COMMENT "Reference of the public headers")
