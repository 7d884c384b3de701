// What a person looks at and measures along the supply.
#include <fmt/format.h>

#include <set>

#include "find/robot/behaviour.h"
#include "find/robot/cautions.h"
#include "find/robot/derivation.h"

namespace ringout::faults {

namespace {

Shows of_volts(const Fault& f, Feeding feeding) {
  if (f.kind == PartKind::battery && f.mode == Mode::weak) return {{Shown::as_should, 0.8}, {Shown::low, 0.2}};
  switch (feeding) {
    case Feeding::open:
      return {{Shown::none, 1.0}};
    case Feeding::at_times:
      return {{Shown::as_should, 0.5}, {Shown::none, 0.5}};
    case Feeding::low:
      return {{Shown::low, 1.0}};
    case Feeding::maybe_blown:
      return {{Shown::as_should, 0.6}, {Shown::none, 0.4}};
    case Feeding::untouched:
      break;
  }
  return {};
}

class SupplyChecks {
 public:
  explicit SupplyChecks(Derivation& d) : d_(d), robot_(d.robot) {}

  void all() {
    std::set<const robot::Protection*> done;
    const auto chain = [&](const std::string& of) {
      for (const robot::Protection* p : robot_.feed_chain(of)) {
        if (done.insert(p).second) protection(*p);
      }
    };
    chain(robot_.board_fed_by);
    for (const robot::Output* o : d_.outputs) chain(o->fed_by);
    at_board();
    std::set<std::string> fed;
    for (const robot::Output* o : d_.outputs) {
      if (fed.insert(o->fed_by).second) feed_of(*o);
    }
    if (d_.whole_robot) other_cable();
  }

 private:
  bool is(const robot::Protection& p, robot::ProtectionKind kind) const {
    return robot_.device_of(p.device).as<robot::ProtectionDevice>()->kind == kind;
  }

  Shows open_seen(const Fault& f, const robot::Protection& p, double when_loose) const {
    if (f.protection == &p && f.kind != PartKind::supply_wire) {
      if (f.mode == Mode::intermittent) return {{Shown::out, when_loose}, {Shown::as_should, 1 - when_loose}};
      return {{Shown::out, 1.0}};
    }
    if (f.mode == Mode::shorted && f.output != nullptr && f.output->fed_by == p.name)
      return {{Shown::out, 0.4}, {Shown::as_should, 0.6}};
    return {};
  }

  void protection(const robot::Protection& p) {
    if (!is(p, robot::ProtectionKind::resettable)) {
      const bool fuse = is(p, robot::ProtectionKind::fuse);
      Draft look;
      look.origin = {CheckKind::look_indicator, Witness::person, Moves::no, {}, p.name, {Shown::as_should, Shown::out}};
      look.name = "look at " + p.name;
      look.access = &p.access;
      look.instructions =
          fuse ? fmt::format("Look at the element of {} through its window: whole, or melted?", p.name)
               : fmt::format("Look at {}: does its handle or button stand as when it is closed?", p.name);
      look.caution = caution::supply_off;
      add_check(d_, look, [&](const Fault& f) {
        // Worn contacts are not seen from outside.
        return !fuse && f.mode == Mode::dead && f.protection == &p ? Shows{} : open_seen(f, p, 0.1);
      });
    }
    Draft across;
    across.origin = {CheckKind::meter_fuse, Witness::person, Moves::no, {}, p.name, {Shown::as_should, Shown::out}};
    across.name = "meter across " + p.name;
    across.access = &p.access;
    across.instructions = fmt::format(
        "Supply off. Measure ohms across {}, one lead of it taken off or the fuse pulled: nearly none, or open?",
        p.name);
    across.caution = caution::supply_off;
    add_check(d_, across, [&](const Fault& f) { return open_seen(f, p, 0.4); });
  }

  void at_board() {
    Draft draft;
    draft.origin = {CheckKind::meter_supply,
                    Witness::person,
                    Moves::no,
                    {},
                    robot_.board_fed_by,
                    {Shown::as_should, Shown::low, Shown::none}};
    draft.name = "meter at the board's supply terminal";
    draft.access = &robot_.board_access;
    draft.instructions = "Supply on, nothing commanded. Measure the voltage at the board's own supply terminal.";
    draft.caution = caution::live;
    add_check(d_, draft, [&](const Fault& f) { return of_volts(f, board_feeding(robot_, f)); });
  }

  void feed_of(const robot::Output& o) {
    Draft draft;
    draft.origin = {CheckKind::meter_feed,
                    Witness::person,
                    Moves::no,
                    o.name,
                    o.fed_by,
                    {Shown::as_should, Shown::low, Shown::none}};
    draft.name = fmt::format("meter at {}'s supply terminal", o.port);
    draft.access = &robot_.board_access;
    draft.instructions = fmt::format(
        "Supply on, nothing commanded. Measure the voltage at the supply terminal of {}, behind {}.", o.port, o.fed_by);
    draft.caution = caution::live;
    add_check(d_, draft, [&](const Fault& f) { return of_volts(f, feeding(robot_, f, o.fed_by)); });
  }

  void other_cable() {
    Draft draft;
    draft.origin = {CheckKind::look_link, Witness::both, Moves::no, {}, {}, {Shown::as_should, Shown::still_wrong}};
    draft.name = "another cable and computer port";
    draft.instructions = "Connect the controller with a cable that is known to work, at another port of the computer.";
    draft.caution = "The controller starts anew by it: nobody within reach of what its program may move.";
    add_check(d_, draft, [&](const Fault& f) -> Shows {
      if (f.kind == PartKind::board) return {{Shown::still_wrong, 1.0}};
      if (f.kind == PartKind::firmware) return {{Shown::still_wrong, 0.5}, {Shown::as_should, 0.5}};
      if (!robot_.board.usb_powered && board_feeding(robot_, f) == Feeding::open) return {{Shown::still_wrong, 1.0}};
      return {};
    });
  }

  Derivation& d_;
  const robot::Robot& robot_;
};

}  // namespace

void add_supply_checks(Derivation& d) {
  SupplyChecks(d).all();
}

}  // namespace ringout::faults
