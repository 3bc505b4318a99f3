# Builds the program once more, by g++, whose warnings are errors here, and without sanitizers:
#     cmake -D from=SOURCE -D to=BUILD -D launcher=ccache -P plain_build.cmake
set(launch)
if(launcher)
  set(launch -DCMAKE_CXX_COMPILER_LAUNCHER=${launcher})
endif()
execute_process(COMMAND ${CMAKE_COMMAND} -S ${from} -B ${to} -G Ninja -DCMAKE_BUILD_TYPE=Debug
                        "-DCMAKE_CXX_FLAGS_DEBUG=-O0 -g0" -DCMAKE_CXX_COMPILER=g++ -DTAREBOOK_WERROR=ON -DTAREBOOK_TESTS=OFF -DTAREBOOK_PCH=ON -DTAREBOOK_UNITY=ON ${launch}
                COMMAND_ERROR_IS_FATAL ANY)
execute_process(COMMAND ${CMAKE_COMMAND} --build ${to} --target tarebook_cli COMMAND_ERROR_IS_FATAL ANY)
