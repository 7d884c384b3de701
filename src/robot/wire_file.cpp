#include "robot/wire_file.h"

#include <fmt/format.h>

#include "physics/wire.h"

namespace ringout::robot {

bool read_wire_size(TableReader& in, const char* key, Need need, Wire& wire) {
  std::string size;
  if (!in.text(key, need, "18 AWG", size)) return false;
  if (const auto awg = read_awg(size)) {
    wire.awg = *awg;
    wire.cross_section = physics::awg_area(*awg);
    return true;
  }
  if (size.find("AWG") != std::string::npos || size.find("awg") != std::string::npos) {
    in.error(key, "robot.bad-wire-size", fmt::format("\"{}\" is no wire size", shown(size)),
             "write a whole number from 1 to 40, for example \"18 AWG\", or a cross-section, \"0.75 mm2\"");
    return false;
  }
  return in.exact_quantity(key, need, Dimension::area, {1e-9, 1e-3}, wire.cross_section.si);
}

void read_wire(TableReader& in, Need need, Wire& wire) {
  const Node* node = in.table("wire", need, "{ size = \"18 AWG\", length = \"0.8 m\" }");
  if (node == nullptr) return;
  TableReader table(in.source(), *node, fmt::format("the wire of {}", in.what()), in.found());
  table.tolerances_like(in, "wire");
  read_wire_size(table, "size", Need::required, wire);
  table.quantity("length", Need::required, Dimension::length, {0.0, 1000.0}, wire.length.si);
  Temperature insulation;
  if (table.exact_quantity("insulation", Need::optional, Dimension::temperature, material_range, insulation.si)) {
    wire.insulation = insulation;
  }
  bool bundle = false;
  if (table.truth("bundle", bundle) && bundle) wire.laying = Laying::bundled;
  table.finish();
}

}  // namespace ringout::robot
