# To find, map and bind a shared library takes a program 0.1 ms at each start, and a command of ours takes six: what has a
# static archive is linked from it. SQLite stays shared: the machine's updates reach it, and tests/crash stands before it.
# The exported package names the same targets as ever; whoever uses it has their own.
foreach(name yaml-cpp sodium nettle csv)
  find_library(TAREBOOK_ARCHIVE_${name} NAMES lib${name}.a)
  mark_as_advanced(TAREBOOK_ARCHIVE_${name})
endforeach()

function(tarebook_link_archive target name)
  if(NOT TAREBOOK_ARCHIVES OR NOT TAREBOOK_ARCHIVE_${name})
    return()
  endif()
  get_target_property(type ${target} TYPE)
  if(type STREQUAL "INTERFACE_LIBRARY")  # what pkg_check_modules makes
    set_target_properties(${target} PROPERTIES INTERFACE_LINK_LIBRARIES ${TAREBOOK_ARCHIVE_${name}})
    return()
  endif()
  get_target_property(configurations ${target} IMPORTED_CONFIGURATIONS)
  foreach(configuration ${configurations})
    set_target_properties(${target} PROPERTIES IMPORTED_LOCATION_${configuration} ${TAREBOOK_ARCHIVE_${name}})
  endforeach()
endfunction()

tarebook_link_archive(yaml-cpp yaml-cpp)
tarebook_link_archive(PkgConfig::sodium sodium)
tarebook_link_archive(PkgConfig::nettle nettle)
