// Which parts bear on the complaint, and how each may fail.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "find/robot/derivation.h"

namespace ringout::faults {

namespace {

// So many partners of one lead are told apart; the likeliest first.
constexpr std::size_t most_partners = 12;
constexpr std::size_t most_partners_beside = 3;  // of a sensor that is not complained of itself
// How much likelier a lead goes into a socket that its plug fits, and that is reached at the same place.
constexpr double other_plug = 0.1;
constexpr double other_place = 0.5;

class Parts {
 public:
  explicit Parts(Derivation& d) : d_(d), robot_(d.robot) {}

  void all() {
    controller();
    if (d_.whole_robot || !d_.outputs.empty() || !d_.inputs.empty()) supply();
    for (const robot::Output* o : d_.outputs) output(*o);
    for (const robot::Input* i : d_.inputs) input(*i);
    for (const robot::Output* o : d_.outputs) exchanges_of(*o);
    for (const robot::Input* i : d_.inputs) exchanges_of(*i, most_partners);
    for (const robot::Output* o : d_.outputs) {
      for (const robot::Input& i : robot_.inputs) {
        const bool complained = std::find(d_.inputs.begin(), d_.inputs.end(), &i) != d_.inputs.end();
        if (i.senses_output == o->name && !complained) exchanges_of(i, most_partners_beside);
      }
    }
  }

 private:
  // One part with all modes that have a row; `with` says whose it is.
  void part(const std::string& name, Fault with, const std::string& device = {}, const std::string& point = {},
            std::span<const Mode> leave_out = {}) {
    if (!made_.insert(name).second) return;
    std::vector<std::pair<Mode, const FaultRow*>> modes;
    for (const Mode mode : modes_of(with.kind)) {
      if (std::find(leave_out.begin(), leave_out.end(), mode) != leave_out.end()) continue;
      const FaultRow* row = d_.rows.fault(with.kind, mode, device, point);
      if (row != nullptr && row->prior > 0) modes.emplace_back(mode, row);
    }
    for (const auto& [mode, row] : modes) {
      with.mode = mode;
      mode_of(name, with, row->prior, row->source);
    }
  }

  // A mode of the part of that name, which is added where it is new.
  void mode_of(const std::string& name, const Fault& fault, double prior, const std::string& source) {
    find::Model& model = d_.out.model;
    const FaultOrigin origin = origin_of(d_, fault, name);
    if (model.parts.empty() || model.parts.back().name != name) model.parts.push_back({name, origin.at});
    const auto part = static_cast<find::Index>(model.parts.size() - 1);
    model.modes.push_back({std::string(name_of(fault.mode)), part, prior, origin.at});
    d_.faults.push_back(fault);
    d_.out.faults.push_back(origin);
    d_.out.faults.back().source = source;
  }

  void supply() {
    part(robot_.battery.name, {.kind = PartKind::battery}, robot_.battery.device, robot_.battery.name);
    Fault wire{.kind = PartKind::supply_wire};
    wire.battery_wire = true;
    part(robot_.battery.name + " supply wire", wire, {}, robot_.battery.name);
    feed(robot_.board_fed_by);
    Fault board_wire{.kind = PartKind::supply_wire};
    board_wire.board_wire = true;
    part("board supply wire", board_wire);
  }

  void feed(const std::string& protection) {
    for (const robot::Protection* p : robot_.feed_chain(protection)) {
      part(p->name + " supply wire", {.kind = PartKind::supply_wire, .protection = p}, {}, p->name);
      const auto* device = robot_.device_of(p->device).as<robot::ProtectionDevice>();
      const PartKind kind = device->kind == robot::ProtectionKind::fuse      ? PartKind::fuse
                            : device->kind == robot::ProtectionKind::breaker ? PartKind::breaker
                                                                             : PartKind::resettable;
      part(p->name, {.kind = kind, .protection = p}, p->device, p->name);
    }
  }

  void controller() {
    part("board", {.kind = PartKind::board}, robot_.board.name);
    // What the computer needs the controller for, the robot does not: without a link they explain no point.
    if (d_.controller == Controller::answers || d_.whole_robot) {
      part("link", {.kind = PartKind::link});
      part("firmware", {.kind = PartKind::firmware});
    }
    if (d_.outputs.empty() && d_.inputs.empty()) return;
    part("program", {.kind = PartKind::program});
    part("point table", {.kind = PartKind::table});
  }

  void output(const robot::Output& o) {
    feed(o.fed_by);
    const robot::BoardPort& port = robot_.port_of(o.port);
    if (!port.bank.empty()) {
      Fault bank{.kind = PartKind::bank};
      bank.bank = port.bank;
      part("bank " + port.bank, bank);
    }
    const Fault own{.output = &o};
    const auto of = [&](PartKind kind) {
      Fault f = own;
      f.kind = kind;
      return f;
    };
    const bool turns = o.kind == robot::PointKind::bridge_motor || o.kind == robot::PointKind::servo;
    part(o.name + " in the program", of(PartKind::command), {}, o.name,
         turns ? std::span<const Mode>{not_of_turning} : std::span<const Mode>{not_of_switched});
    part("port " + o.port, of(PartKind::port), robot_.board.name, o.name);
    part(o.name + " wire", of(PartKind::wire), {}, o.name,
         turns ? std::span<const Mode>{} : std::span<const Mode>{only_reversed});
    if (!o.connector.empty()) part(o.name + " connector", of(PartKind::connector), o.connector, o.name);
    const PartKind device = turns ? PartKind::motor : PartKind::load;
    part(o.name + (turns ? " motor" : " load"), of(device), o.device, o.name);
    if (o.mechanism) {
      part(o.name + " gear", of(PartKind::gear), {}, o.name);
      part(o.name + " mechanism", of(PartKind::mechanism), {}, o.name);
    }
    for (const robot::Input& i : robot_.inputs) {
      if (i.senses_output == o.name) sensor(i);
    }
  }

  void input(const robot::Input& i) {
    sensor(i);
    part(i.name + " in the program", {.kind = PartKind::command, .input = &i}, {}, i.name, no_output_modes);
  }

  void sensor(const robot::Input& i) {
    const bool contact = i.kind == robot::PointKind::switch_input;
    if (!contact) part("board sensor supply", {.kind = PartKind::sensor_supply}, robot_.board.name);
    const auto of = [&](PartKind kind) { return Fault{.kind = kind, .input = &i}; };
    const PartKind kind = i.kind == robot::PointKind::encoder    ? PartKind::encoder
                          : contact                              ? PartKind::contact
                          : i.kind == robot::PointKind::analogue ? PartKind::analogue_sensor
                                                                 : PartKind::bus_device;
    part(i.name + " sensor", of(kind), i.device, i.name);
    if (!i.connector.empty()) part(i.name + " connector", of(PartKind::connector), i.connector, i.name);
    part(i.name + " wire", of(PartKind::sensor_wire), {}, i.name);
    part("port " + i.port, of(PartKind::sensor_port), robot_.board.name, i.name);
  }

  template <class Point>
  std::vector<std::pair<const Point*, double>> partners(const Point& of, const std::vector<Point>& among,
                                                        std::size_t most) const {
    std::vector<std::pair<const Point*, double>> out;
    for (const Point& p : among) {
      if (&p == &of || robot_.port_of(p.port).kind != robot_.port_of(of.port).kind) continue;
      const double plug = p.connector == of.connector ? 1.0 : other_plug;
      out.emplace_back(&p, plug * (p.access.place == of.access.place ? 1.0 : other_place));
    }
    std::stable_sort(out.begin(), out.end(), [](const auto& a, const auto& b) { return a.second > b.second; });
    if (out.size() > most) out.resize(most);
    return out;
  }

  std::vector<std::string> spare(robot::PortKind kind) const {
    std::vector<std::string> out;
    for (const robot::BoardPort* port : robot_.board.of_kind(kind)) {
      const auto sits = [&](const auto& point) { return point.port == port->name; };
      if (std::none_of(robot_.outputs.begin(), robot_.outputs.end(), sits) &&
          std::none_of(robot_.inputs.begin(), robot_.inputs.end(), sits))
        out.push_back(port->name);
    }
    return out;
  }

  void exchanges_of(const robot::Output& o) {
    Fault f{.kind = PartKind::place, .mode = Mode::exchanged, .output = &o};
    exchange(o, robot_.outputs, most_partners, f, [&](const robot::Output* other) { f.other_output = other; });
  }
  void exchanges_of(const robot::Input& i, std::size_t most) {
    Fault f{.kind = PartKind::place, .mode = Mode::exchanged, .input = &i};
    exchange(i, robot_.inputs, most, f, [&](const robot::Input* other) { f.other_input = other; });
  }

  template <class Point, class SetOther>
  void exchange(const Point& p, const std::vector<Point>& among, std::size_t most, Fault& f, SetOther set_other) {
    const FaultRow* row = d_.rows.fault(PartKind::place, Mode::exchanged, {}, p.name);
    const auto found = partners(p, among, most);
    double sum = 0;
    for (const auto& [other, weight] : found) sum += weight;
    for (const auto& [other, weight] : found) {
      const std::string name = std::min(p.name, other->name) + " and " + std::max(p.name, other->name);
      if (row == nullptr || row->prior <= 0 || !made_.insert(name).second) continue;
      set_other(other);
      mode_of(name, f, row->prior * weight / sum, row->source);
    }
    std::vector<std::string> free = spare(robot_.port_of(p.port).kind);
    const FaultRow* moved = d_.rows.fault(PartKind::place, Mode::moved, {}, p.name);
    if (free.empty() || moved == nullptr || moved->prior <= 0) return;
    Fault to_spare = f;
    to_spare.mode = Mode::moved;
    to_spare.other_output = nullptr;
    to_spare.other_input = nullptr;
    to_spare.spare_ports = std::move(free);
    mode_of(p.name + " lead", to_spare, moved->prior, moved->source);
  }

  static constexpr Mode not_of_turning[] = {Mode::reads_wrongly};
  static constexpr Mode not_of_switched[] = {Mode::reads_wrongly, Mode::sends_wrong_sign};
  static constexpr Mode no_output_modes[] = {Mode::sends_nothing, Mode::sends_little, Mode::sends_wrong_sign,
                                             Mode::sends_unasked};
  static constexpr Mode only_reversed[] = {Mode::reversed};

  Derivation& d_;
  const robot::Robot& robot_;
  std::set<std::string> made_;
};

}  // namespace

void add_parts(Derivation& d) {
  Parts(d).all();
}

}  // namespace ringout::faults
