# How every part of Ringout is compiled: one library and one test program a folder, all warnings are errors.

set(CMAKE_CXX_STANDARD 20)
set(CMAKE_CXX_STANDARD_REQUIRED ON)
set(CMAKE_CXX_EXTENSIONS OFF)
set(CMAKE_EXPORT_COMPILE_COMMANDS ON)

option(RINGOUT_SANITIZE "Address and undefined-behaviour sanitizers" OFF)
option(RINGOUT_THREAD_SANITIZE "Thread sanitizer" OFF)
option(RINGOUT_FUZZ "Build the fuzz targets (needs clang)" OFF)

find_program(CCACHE_PROGRAM ccache)
if(CCACHE_PROGRAM)
  set(CMAKE_C_COMPILER_LAUNCHER "${CCACHE_PROGRAM}")
  set(CMAKE_CXX_COMPILER_LAUNCHER "${CCACHE_PROGRAM}")
endif()
find_program(MOLD_PROGRAM mold)
if(MOLD_PROGRAM)
  add_link_options(-fuse-ld=mold)
endif()

find_package(fmt REQUIRED)
add_library(ringout_options INTERFACE)
target_link_libraries(ringout_options INTERFACE fmt::fmt)
target_include_directories(ringout_options INTERFACE "${PROJECT_SOURCE_DIR}/src" "${PROJECT_SOURCE_DIR}")
target_compile_options(ringout_options INTERFACE -Wall -Wextra -Wpedantic -Wconversion -Wshadow -Werror)
# g++ 12 warns falsely about std::string and std::optional once it optimises (its bugs 105651, 105329 and kin).
target_compile_options(ringout_options INTERFACE
  $<$<CXX_COMPILER_ID:GNU>:-Wno-restrict;-Wno-array-bounds;-Wno-maybe-uninitialized;-Wno-stringop-overflow;-Wno-stringop-overread>)
if(RINGOUT_SANITIZE)
  target_compile_options(ringout_options INTERFACE -fsanitize=address,undefined -fno-sanitize-recover=all
                                                   -fno-omit-frame-pointer)
  target_link_options(ringout_options INTERFACE -fsanitize=address,undefined)
endif()
if(RINGOUT_THREAD_SANITIZE)
  target_compile_options(ringout_options INTERFACE -fsanitize=thread)
  target_link_options(ringout_options INTERFACE -fsanitize=thread)
endif()
# What the fuzz targets steer by is recorded in the parts they run; tests have no use for it.
add_library(ringout_part_options INTERFACE)
target_link_libraries(ringout_part_options INTERFACE ringout_options)
if(RINGOUT_FUZZ)
  target_compile_options(ringout_part_options INTERFACE -fsanitize=fuzzer-no-link)
endif()

# Most of a compilation is spent on the same library headers: they are precompiled once, for all parts and for all tests.
# tools/check_headers.py sees to it that no header of ours leans on them.
function(ringout_precompiled name options)
  add_library(${name} OBJECT "${PROJECT_SOURCE_DIR}/cmake/precompiled.cpp")
  target_link_libraries(${name} PRIVATE ${options})
  target_compile_options(${name} PUBLIC $<$<CXX_COMPILER_ID:GNU>:-fpch-preprocess>)
  target_precompile_headers(${name} PRIVATE
    <algorithm> <array> <cmath> <cstdint> <functional> <map> <memory> <optional> <span> <string> <string_view> <utility>
    <variant> <vector> <fmt/format.h> <tl/expected.hpp> ${ARGN})
endfunction()
ringout_precompiled(ringout_precompiled_parts ringout_part_options)
if(BUILD_TESTING)
  ringout_precompiled(ringout_precompiled_tests ringout_options <doctest/doctest.h>)
  add_library(ringout_test_main OBJECT "${PROJECT_SOURCE_DIR}/cmake/doctest_main.cpp")
  target_link_libraries(ringout_test_main PRIVATE ringout_options)
endif()

# ringout_slow(TEST TARGET …): a test too long to run with sanitizers, and the programs it needs. `./dev test` runs these
# optimised (ctest -L slow) and all others with sanitizers (ctest -LE slow), so that each runs once.
add_custom_target(ringout_slow_tests)
function(ringout_slow test)
  set_property(TEST ${test} APPEND PROPERTY LABELS slow)
  add_dependencies(ringout_slow_tests ${ARGN})
  foreach(program ${ARGN})
    # With sanitizers it is not run, so it is not built with them either.
    if(RINGOUT_SANITIZE AND program MATCHES "_test$")
      set_target_properties(${program} PROPERTIES EXCLUDE_FROM_ALL TRUE)
    endif()
  endforeach()
endfunction()

# ringout_library(NAME SOURCES … LINKS … TESTS …): library ringout_NAME, and ringout_NAME_test with a ctest entry.
# Headers are found from src/ ("robot/robot.h") or from the root ("wire/…", "agent/…").
function(ringout_library name)
  cmake_parse_arguments(ARG "" "" "SOURCES;LINKS;TESTS;TEST_LINKS" ${ARGN})
  if(ARG_SOURCES)
    add_library(ringout_${name} STATIC ${ARG_SOURCES})
    target_precompile_headers(ringout_${name} REUSE_FROM ringout_precompiled_parts)
    target_link_libraries(ringout_${name} PRIVATE ringout_part_options)
    set(scope PUBLIC)
  else()
    add_library(ringout_${name} INTERFACE)
    set(scope INTERFACE)
  endif()
  target_link_libraries(ringout_${name} ${scope} ringout_options ${ARG_LINKS})
  if(ARG_TESTS AND BUILD_TESTING)
    ringout_test(ringout_${name}_test SOURCES ${ARG_TESTS} LINKS ringout_${name} ${ARG_TEST_LINKS})
  endif()
endfunction()

# ringout_test(NAME SOURCES … LINKS …): a doctest program and its ctest entry, run from the root of the source tree.
function(ringout_test name)
  cmake_parse_arguments(ARG "" "" "SOURCES;LINKS" ${ARGN})
  add_executable(${name} ${ARG_SOURCES})
  target_precompile_headers(${name} REUSE_FROM ringout_precompiled_tests)
  target_link_libraries(${name} PRIVATE ringout_options ringout_test_main ${ARG_LINKS})
  target_compile_definitions(${name} PRIVATE RINGOUT_SOURCE_DIR="${PROJECT_SOURCE_DIR}"
                                             RINGOUT_BINARY_DIR="${PROJECT_BINARY_DIR}")
  add_test(NAME ${name} COMMAND ${name} WORKING_DIRECTORY "${PROJECT_SOURCE_DIR}")
endfunction()
