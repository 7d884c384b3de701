# Firmware for the ATmega2560, through avr-g++ and beside the host's build.
#
#   build/<preset>/firmware/tray_carrier.elf           the demonstration robot's firmware, its program built in
#   build/<preset>/firmware/tray_carrier_program       the same program as a process for the twin
#   build/<preset>/firmware/tray_carrier/points.hpp    what both were built with, and board.hpp
#   build/<preset>/firmware/test.elf                   a firmware with points of its own, which needs no robot file
#
# Targets: ringout_firmware (all of it). Flags and sources are the lists that `ringout build` has as well.

find_program(AVR_CXX avr-g++)
find_program(AVR_SIZE avr-size)
set(RINGOUT_FIRMWARE_DIR "${PROJECT_BINARY_DIR}/firmware")

# Reads lines of the form "word", into a list.
function(ringout_read_words file out)
  file(STRINGS "${file}" lines)
  set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS "${file}")
  set(words)
  foreach(line IN LISTS lines)
    string(REGEX REPLACE "^\"(.*)\",$" "\\1" word "${line}")
    list(APPEND words "${word}")
  endforeach()
  set(${out} "${words}" PARENT_SCOPE)
endfunction()

# ringout_firmware(NAME PROGRAM file BINDINGS folder [DEPENDS …]): build/<preset>/firmware/NAME.elf and NAME.map. The
# folder holds points.hpp and board.hpp.
function(ringout_firmware name)
  cmake_parse_arguments(ARG "" "PROGRAM;BINDINGS" "DEPENDS" ${ARGN})
  ringout_read_words("${PROJECT_SOURCE_DIR}/src/bind/firmware_flags.inc" flags)
  ringout_read_words("${PROJECT_SOURCE_DIR}/src/bind/firmware_sources.inc" sources)
  list(TRANSFORM sources PREPEND "${PROJECT_SOURCE_DIR}/")
  file(GLOB headers CONFIGURE_DEPENDS "${PROJECT_SOURCE_DIR}/wire/*.h" "${PROJECT_SOURCE_DIR}/agent/*.h"
       "${PROJECT_SOURCE_DIR}/agent/ports/avr_mega2560/*.h")  # only to know when to build again
  set(elf "${RINGOUT_FIRMWARE_DIR}/${name}.elf")
  add_custom_command(
    OUTPUT "${elf}"
    COMMAND "${AVR_CXX}" ${flags} -Werror "-Wl,-Map=${RINGOUT_FIRMWARE_DIR}/${name}.map" "-I${ARG_BINDINGS}"
            "-I${PROJECT_SOURCE_DIR}" -o "${elf}" "${ARG_PROGRAM}" ${sources}
    DEPENDS "${ARG_PROGRAM}" ${sources} ${headers} "${PROJECT_SOURCE_DIR}/agent/program.hpp" ${ARG_DEPENDS}
    COMMENT "Firmware ${name}.elf"
    VERBATIM)
  add_custom_target(ringout_firmware_${name} ALL DEPENDS "${elf}")
  add_dependencies(ringout_firmware ringout_firmware_${name})
endfunction()
