// One repair for each part and way of mending it.
#include <fmt/format.h>

#include "find/robot/cautions.h"
#include "find/robot/derivation.h"
#include "find/robot/repair_kinds.h"

namespace ringout::faults {

namespace {

std::string name_of_repair(RepairKind kind, const FaultOrigin& origin) {
  switch (kind) {
    case RepairKind::reset:
      return origin.kind == PartKind::breaker ? "close " + origin.part : "let " + origin.part + " cool";
    case RepairKind::renew:
      if (origin.kind == PartKind::port || origin.kind == PartKind::bank || origin.kind == PartKind::sensor_supply)
        return "renew the board for " + origin.part;
      return origin.kind == PartKind::link ? "change the cable" : "renew " + origin.part;
    case RepairKind::charge:
      return "charge " + origin.part;
    case RepairKind::reconnect:
      return "reconnect " + origin.part;
    case RepairKind::mend:
      return "mend " + origin.part;
    case RepairKind::turn_round:
      return (origin.kind == PartKind::encoder ? "exchange the two channels of " : "turn round the leads of ") +
             origin.point;
    case RepairKind::put_back:
      return origin.mode == Mode::exchanged ? "exchange the leads of " + origin.part + " back"
                                            : "put the lead of " + origin.point + " back on its port";
    case RepairKind::move_over:
      return "move " + origin.point + " from " + origin.part + " to a spare one";
    case RepairKind::free:
      return "free " + origin.part;
    case RepairKind::ease:
      return "ease " + origin.part;
    case RepairKind::tighten:
      return "tighten " + origin.part;
    case RepairKind::adjust:
      return "adjust " + origin.part;
    case RepairKind::load_table:
      return "load the point table";
    case RepairKind::load_firmware:
      return "build the firmware with this Ringout and load the table";
    case RepairKind::rebuild:
      return "build the program against this robot file and load the table";
    case RepairKind::edit_program:
      return "correct what the program does with " + origin.point;
  }
  return {};
}

// What is mended may have failed in several ways: the sentence about one of them, but where another asks for more.
std::string instructions_of(RepairKind kind, const FaultOrigin& origin) {
  if (kind != RepairKind::mend) return origin.change;
  return fmt::format(
      "Renew or join {}. Where it is shorted: find where it chafes, and renew the fuse that it has blown.",
      origin.part);
}

const robot::Access* access_of(const Derivation& d, const Fault& f) {
  if (f.protection != nullptr) return &f.protection->access;
  switch (f.kind) {
    case PartKind::battery:
      return &d.robot.battery.access;
    case PartKind::supply_wire:
      return f.battery_wire ? &d.robot.battery.access : &d.robot.board_access;
    case PartKind::board:
    case PartKind::bank:
    case PartKind::sensor_supply:
    case PartKind::port:
    case PartKind::sensor_port:
    case PartKind::place:
      return &d.robot.board_access;
    case PartKind::link:
    case PartKind::firmware:
    case PartKind::program:
    case PartKind::table:
    case PartKind::command:
      return nullptr;
    default:
      break;
  }
  if (f.input != nullptr) return &f.input->access;
  return f.output != nullptr ? &f.output->access : nullptr;
}

// A lead between the battery and what opens it: the supply disconnect does not make it dead.
bool is_live_always(const Fault& f) {
  return f.battery_wire || (f.protection != nullptr && f.protection->fed_from == "battery");
}

// What it is on moves between ends, and may be held up only by what is worked at.
bool may_fall(const robot::Robot& robot, const Fault& f) {
  const robot::Output* output = f.output;
  if (output == nullptr && f.input != nullptr) output = robot.output(f.input->senses_output);
  return output != nullptr && output->mechanism && output->mechanism->travel;
}

const char* caution_by_part(const Fault& f, RepairKind kind) {
  switch (f.kind) {
    case PartKind::battery:
      return caution::battery;
    case PartKind::supply_wire:
      return is_live_always(f) ? caution::battery_off : caution::supply_off;
    case PartKind::fuse:
      return caution::fuse;
    case PartKind::breaker:
    case PartKind::resettable:
      return kind == RepairKind::reset ? caution::closes : caution::fuse;
    case PartKind::gear:
    case PartKind::mechanism:
      return caution::loaded;
    case PartKind::table:
      return caution::new_table;
    case PartKind::firmware:
    case PartKind::program:
    case PartKind::command:
    case PartKind::link:
      return caution::moves;
    default:
      return caution::supply_off;
  }
}

std::string caution_of(const robot::Robot& robot, const Fault& f, RepairKind kind) {
  const std::string_view by_part = caution_by_part(f, kind);
  const bool hands_off = by_part == caution::loaded || by_part == caution::moves;
  std::string out = (may_fall(robot, f) && !hands_off ? std::string(caution::falls) + " " : "") + std::string(by_part);
  return f.kind == PartKind::motor ? out + " " + caution::hot : out;
}

}  // namespace

void add_repairs(Derivation& d) {
  find::Model& model = d.out.model;
  std::map<std::pair<std::string, RepairKind>, std::size_t> made;
  for (find::Index m = 0; m < d.faults.size(); ++m) {
    const Fault& f = d.faults[m];
    const FaultOrigin& origin = d.out.faults[m];
    const RepairKind kind = repair_of(f.kind, f.mode);
    const RepairRow& row = d.rows.repair(kind, f.kind);
    const auto [at, fresh] = made.emplace(std::pair{origin.part, kind}, model.repairs.size());
    if (fresh) {
      if (model.repairs.size() >= find::max_repairs) {
        made.erase(at);
        continue;
      }
      const robot::Access* access = access_of(d, f);
      const Derivation::Reached reached = access != nullptr ? d.reach(*access) : Derivation::Reached{};
      find::Repair r;
      r.name = name_of_repair(kind, origin);
      r.cost = row.minutes + reached.extra;
      r.place = reached.place;
      r.instructions = instructions_of(kind, origin);
      r.caution = caution_of(d.robot, f, kind);
      r.at = origin.at;
      model.repairs.push_back(r);
      d.out.repairs.push_back({kind, f.kind, origin.part, origin.point, origin.discipline, origin.owner,
                               access != nullptr ? access->place : std::string{}});
    }
    model.repairs[at->second].mends.push_back({m, row.succeeds});
  }
  // New firmware or another program needs its table loaded after it, so that is done with them.
  for (find::Index m = 0; m < d.faults.size(); ++m) {
    if (d.faults[m].mode != Mode::stale) continue;
    for (find::Index r = 0; r < model.repairs.size(); ++r) {
      const RepairKind kind = d.out.repairs[r].kind;
      if (kind != RepairKind::rebuild && kind != RepairKind::load_firmware) continue;
      model.repairs[r].mends.push_back({m, model.repairs[r].mends.front().chance});
    }
  }
}

}  // namespace ringout::faults
