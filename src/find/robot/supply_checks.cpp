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
    at_battery();
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
    lead(p.name, p.access, [&](const Fault& f) { return f.protection == &p; });
    into(p);
    if (!is(p, robot::ProtectionKind::resettable)) {
      const bool fuse = is(p, robot::ProtectionKind::fuse);
      Draft look =
          draft(CheckKind::look_indicator, p.name, {Shown::as_should, Shown::out}, "look at " + p.name, p.access);
      look.instructions =
          fuse ? fmt::format("Look at the element of {} through its window: whole, or melted?", p.name)
               : fmt::format("Look at {}: does its handle or button stand as when it is closed?", p.name);
      add_check(d_, look, [&](const Fault& f) {
        // Worn contacts are not seen from outside.
        return !fuse && f.mode == Mode::dead && f.protection == &p ? Shows{} : open_seen(f, p, 0.1);
      });
    }
    Draft across =
        draft(CheckKind::meter_fuse, p.name, {Shown::as_should, Shown::out}, "meter across " + p.name, p.access);
    across.instructions = fmt::format(
        "Supply off. Measure ohms across {}, one lead of it taken off or the fuse pulled: nearly none, or open?",
        p.name);
    add_check(d_, across, [&](const Fault& f) { return open_seen(f, p, 0.4); });
  }

  // Looks at a supply lead and pulls at its terminals.
  void lead(const std::string& of, const robot::Access& access, const std::function<bool(const Fault&)>& its) {
    Draft x =
        draft(CheckKind::tug, {}, {Shown::as_should, Shown::something_seen}, "tug at the supply wire of " + of, access);
    x.instructions = fmt::format(
        "Supply off, battery unplugged. Pull gently at both ends of each conductor that feeds {}: does one give?", of);
    add_check(d_, x, [&](const Fault& f) -> Shows {
      if (f.kind != PartKind::supply_wire || !its(f)) return {};
      const double seen = f.mode == Mode::intermittent ? 0.85 : 0.75;
      return {{Shown::something_seen, seen}, {Shown::as_should, 1 - seen}};
    });
  }

  // What reaches a protection, from the battery on.
  void into(const robot::Protection& p) {
    Draft x = volts_draft(CheckKind::meter_feed, p.name, "meter before " + p.name, p.access);
    x.instructions = fmt::format(
        "Supply on, nothing commanded. Measure the voltage on the battery's side of {} to the battery's "
        "negative terminal.",
        p.name);
    add_check(d_, x, [&](const Fault& f) -> Shows {
      const Feeding feed = feeding(robot_, f, p.name);
      const bool behind = f.protection == &p && f.kind != PartKind::supply_wire;
      return behind || feed == Feeding::maybe_blown ? Shows{} : of_volts(f, feed);
    });
  }

  void at_battery() {
    const robot::Battery& b = robot_.battery;
    lead(b.name, b.access, [](const Fault& f) { return f.battery_wire; });
    lead("the board", robot_.board_access, [](const Fault& f) { return f.board_wire; });
    Draft x = volts_draft(CheckKind::meter_supply, {}, "meter at the battery", b.access);
    x.instructions = fmt::format("Measure the voltage between the terminals of {} itself.", b.name);
    add_check(d_, x, [&](const Fault& f) -> Shows {
      if (f.kind != PartKind::battery) return {};
      return f.mode == Mode::dead ? Shows{{Shown::none, 1.0}} : of_volts(f, Feeding::low);
    });
  }

  void at_board() {
    Draft x = volts_draft(CheckKind::meter_supply, robot_.board_fed_by, "meter at the board's supply terminal",
                          robot_.board_access);
    x.instructions = "Supply on, nothing commanded. Measure the voltage at the board's own supply terminal.";
    add_check(d_, x, [&](const Fault& f) { return of_volts(f, board_feeding(robot_, f)); });
  }

  void feed_of(const robot::Output& o) {
    Draft x = volts_draft(CheckKind::meter_feed, o.fed_by, fmt::format("meter at {}'s supply terminal", o.port),
                          robot_.board_access);
    x.origin.point = o.name;
    x.instructions = fmt::format(
        "Supply on, nothing commanded. Measure the voltage at the supply terminal of {}, behind {}.", o.port, o.fed_by);
    add_check(d_, x, [&](const Fault& f) { return of_volts(f, feeding(robot_, f, o.fed_by)); });
  }

  void other_cable() {
    Draft x = draft_of(CheckKind::look_link, Draft::Commands::nobody, {}, {Shown::as_should, Shown::still_wrong},
                       "another cable and computer port");
    x.instructions = "Connect the controller with a cable that is known to work, at another port of the computer.";
    x.caution = "The controller starts anew by it: nobody within reach of what its program may move.";
    add_check(d_, x, [&](const Fault& f) -> Shows {
      if (f.kind == PartKind::board) return {{Shown::still_wrong, 1.0}};
      if (f.kind == PartKind::firmware) return {{Shown::still_wrong, 0.5}, {Shown::as_should, 0.5}};
      if (!robot_.board.usb_powered && board_feeding(robot_, f) == Feeding::open) return {{Shown::still_wrong, 1.0}};
      return {};
    });
  }

  Draft draft(CheckKind kind, const std::string& protection, std::vector<Shown> outcomes, std::string name,
              const robot::Access& access) const {
    Draft out = draft_of(kind, Draft::Commands::nobody, {}, std::move(outcomes), std::move(name));
    out.origin.protection = protection;
    out.access = &access;
    return out;
  }
  Draft volts_draft(CheckKind kind, const std::string& protection, std::string name,
                    const robot::Access& access) const {
    Draft out = draft(kind, protection, {Shown::as_should, Shown::low, Shown::none}, std::move(name), access);
    out.caution = caution::live;
    return out;
  }

  Derivation& d_;
  const robot::Robot& robot_;
};

}  // namespace

void add_supply_checks(Derivation& d) {
  SupplyChecks(d).all();
}

}  // namespace ringout::faults
