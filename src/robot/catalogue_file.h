// Reading catalogue files: boards ([board], [[bank]], [[port]]) and devices ([[motor]], [[fuse]], …). The format is
// described in docs/robot_file.md. One file may hold one board and any number of devices.
#pragma once

#include "base/diagnostic.h"
#include "base/source_text.h"
#include "robot/catalogue.h"
#include "robot/document.h"

namespace ringout::robot {

// Adds what one file holds; names that the catalogue already has are errors.
void read_catalogue_file(const SourceText& text, Catalogue& into, Diagnostics& found);

// The two halves of it, each in its own file; called by read_catalogue_file.
class TableReader;
void read_board(TableReader& file, Catalogue& into);
void read_devices(TableReader& file, Catalogue& into);

// The larger kinds of device, in files of their own.
[[nodiscard]] DeviceSpec read_motor(TableReader& t);
[[nodiscard]] DeviceSpec read_battery_device(TableReader& t);
[[nodiscard]] DeviceSpec read_fuse(TableReader& t);
[[nodiscard]] DeviceSpec read_breaker(TableReader& t);
[[nodiscard]] DeviceSpec read_resettable(TableReader& t);
[[nodiscard]] DeviceSpec read_connector(TableReader& t);

// The words of the files for each kind of port, in the order of enum PortKind.
[[nodiscard]] const char* name_of(PortKind kind);

}  // namespace ringout::robot
