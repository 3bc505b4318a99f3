# Two Debian packages, made by `cpack` in a build folder (cli/package/make.sh does all of it). The same tree gives the same
# bytes: files are as old as the version, and nothing of the machine is written into them.
set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME tarebook)
set(CPACK_PACKAGE_VENDOR "Tarebook developers")
set(CPACK_PACKAGE_CONTACT "Tarebook developers <developers@tarebook.invalid>")
set(CPACK_PACKAGE_VERSION ${PROJECT_VERSION})
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "")  # each component has its own, in the first line of its description
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_PROJECT_CONFIG_FILE ${CMAKE_CURRENT_BINARY_DIR}/package/cpack.cmake)
# Folders, and the parts of a package's archive, get the rights that the caller's umask leaves, whatever CPack is told:
# under 077 nobody but root could read the documents.
file(CONFIGURE OUTPUT ${CPACK_PROJECT_CONFIG_FILE} @ONLY CONTENT [[
execute_process(COMMAND sh -c umask OUTPUT_VARIABLE umask OUTPUT_STRIP_TRAILING_WHITESPACE COMMAND_ERROR_IS_FATAL ANY)
if(NOT umask MATCHES "^0*22$")
  message(FATAL_ERROR "packages are made by umask 022, not ${umask}: others could not read what is installed")
endif()
if(NOT DEFINED ENV{SOURCE_DATE_EPOCH})
  execute_process(COMMAND date -u -d "@TAREBOOK_RELEASE_DATE@ 12:00:00" +%s OUTPUT_VARIABLE released
                  OUTPUT_STRIP_TRAILING_WHITESPACE COMMAND_ERROR_IS_FATAL ANY)
  set(ENV{SOURCE_DATE_EPOCH} ${released})
endif()
]])

set(CPACK_COMPONENTS_ALL program development)
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_COMPRESSION_TYPE xz)
set(CPACK_DEBIAN_PACKAGE_PRIORITY optional)

set(CPACK_DEBIAN_PROGRAM_PACKAGE_NAME tarebook)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SECTION utils)
set(CPACK_COMPONENT_PROGRAM_DESCRIPTION
    "refrigerant recovery and handling book of a service shop
Technicians record the pounds that they recover, reuse, charge, transfer and
return, as the scale showed them. The book balances cylinders and circuits to
the last count, checks weights against fill limits, keeps the clocks of leak
rules, and reports per cylinder, job, site, inventory and year. Nothing that
was once recorded is edited.")
# What the program is linked with is read from the program; what it opens when it is needed is named here: the library that
# writes sheets, under the name of the package that has it on this machine, and time zones.
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SHLIBDEPS ON)
file(REAL_PATH ${TAREBOOK_XLSXWRITER} xlsxwriter)
execute_process(COMMAND dpkg-query -S ${xlsxwriter} OUTPUT_VARIABLE owner ERROR_QUIET)
set(xlsxwriter_package libxlsxwriter4)
if(owner MATCHES "^([^:,]+)")
  set(xlsxwriter_package ${CMAKE_MATCH_1})
endif()
set(CPACK_DEBIAN_PROGRAM_PACKAGE_DEPENDS "${xlsxwriter_package}, tzdata")
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SUGGESTS "libpq5")  # for a book on a PostgreSQL server

set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_NAME libtarebook-dev)
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_SECTION libdevel)
set(CPACK_COMPONENT_DEVELOPMENT_DESCRIPTION
    "ledger library of the tarebook program, with headers and reference
The library judges, keeps and reports what is recorded of refrigerant in
cylinders and circuits: a book in one file, exact masses, checks by rule
packs, pages as text, JSON, CSV and HTML. Headers, static archives, files for
CMake and pkg-config, a whole program as example, and the headers' reference.")
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_DEPENDS
    "libsqlitecpp-dev, libsqlite3-dev, libhowardhinnant-date-dev, libyaml-cpp-dev, libcsv-dev, libfmt-dev, nlohmann-json3-dev, libsodium-dev, nettle-dev, libqrencode-dev, libexpected-dev, pkg-config")
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_RECOMMENDS ${xlsxwriter_package})
set(CPACK_DEBIAN_DEVELOPMENT_PACKAGE_SUGGESTS "cmake, g++ | clang")
include(CPack)
