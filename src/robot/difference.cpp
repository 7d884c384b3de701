#include "robot/difference.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace ringout::robot {

namespace {

struct Touches {
  bool table = false;
  bool program = false;
  bool proof = false;
};
constexpr Touches nothing{};
constexpr Touches proof{.proof = true};
constexpr Touches table{.table = true};
constexpr Touches table_and_proof{.table = true, .proof = true};
constexpr Touches all{.table = true, .program = true, .proof = true};

// One thing of a robot as a person reads it, and what its change touches.
struct Item {
  std::string key;
  std::string value;
  Touches touches;
};
using Items = std::vector<Item>;

std::string number(double v) {
  return fmt::format("{:g}", v);
}
std::string yes_no(bool v) {
  return v ? "true" : "false";
}

std::string celsius_text(Temperature t) {
  return fmt::format("{:g} °C", t.si - 273.15);
}

std::string size_of(const Wire& w) {
  if (w.awg > 0) return fmt::format("{} AWG", w.awg);
  return w.cross_section.si > 0 ? fmt::format("{:g} mm2", w.cross_section.si * 1e6) : std::string();
}

constexpr int wire_items = 4;  // that add_wire adds

void add_wire(Items& items, const Wire& w, Touches size) {
  items.push_back({"wire.size", size_of(w), size});
  items.push_back({"wire.length", fmt::format("{:g} m", w.length.si), nothing});
  items.push_back({"wire.insulation", w.insulation ? celsius_text(*w.insulation) : std::string(), nothing});
  items.push_back({"wire.bundle", yes_no(w.laying == Laying::bundled), nothing});
}

void add_access(Items& items, const Access& a) {
  items.push_back(
      {"access", a.place.empty() ? a.place : fmt::format("{}, {:g} min", a.place, a.effort.si / 60.0), nothing});
}

void add_mechanism(Items& items, const std::optional<Mechanism>& m) {
  if (!m) {
    items.push_back({"mechanism", "none", all});
    return;
  }
  const char* way = m->travel_is_length ? "m" : "rad";
  items.push_back({"mechanism.gear_ratio", number(m->gear_ratio), table_and_proof});
  items.push_back(
      {"mechanism.radius", m->radius ? fmt::format("{:g} m/rad", m->radius->si) : std::string(), table_and_proof});
  items.push_back({"mechanism.travel",
                   m->travel ? fmt::format("{:g} to {:g} {}", m->travel->low, m->travel->high, way) : std::string(),
                   table});
  items.push_back({"mechanism.bump_clearance", fmt::format("{:g} {}", m->bump_clearance, way), table});
  items.push_back({"mechanism.gear_efficiency", number(m->gear_efficiency), nothing});
  items.push_back({"mechanism.backlash", fmt::format("{:g} rad", m->backlash.si), nothing});
  items.push_back({"mechanism.inertia", fmt::format("{:g} kg*m2", m->inertia.si), nothing});
  items.push_back({"mechanism.friction", fmt::format("{:g} N*m", m->friction.si), nothing});
  items.push_back({"mechanism.viscous", fmt::format("{:g} N*m*s/rad", m->viscous.si), nothing});
  items.push_back({"mechanism.lifted", fmt::format("{:g} kg", m->lifted.si), nothing});
  items.push_back({"mechanism.self_locking", yes_no(m->self_locking), nothing});
  items.push_back({"mechanism.asked_speed",
                   m->asked_speed ? fmt::format("{:g} {}/s", *m->asked_speed, way) : std::string(), nothing});
}

Items items_of(const Output& o) {
  Items items{{"kind", name_of(o.kind), all},
              {"device", o.device, table_and_proof},
              {"port", o.port, table_and_proof},
              {"fed_by", o.fed_by, proof},
              {"connector", o.connector, proof},
              {"reversed", yes_no(o.reversed), table_and_proof},
              {"off", o.off == Off::brake ? "brake" : "coast", table},
              {"max_level", fmt::format("{:g} %", o.max_level * 100.0), table},
              {"low_switch", o.low_switch.value_or(""), table_and_proof},
              {"high_switch", o.high_switch.value_or(""), table_and_proof},
              {"positive_means", o.positive_means, proof},
              {"visible_sign", o.visible_sign, nothing},
              {"owner", o.owner, nothing}};
  add_wire(items, o.wire, proof);
  add_access(items, o.access);
  add_mechanism(items, o.mechanism);
  return items;
}

const char* word_of(SensesWhat what) {
  switch (what) {
    case SensesWhat::nothing:
      return "";
    case SensesWhat::output_motion:
      return "motion";
    case SensesWhat::travel_low_end:
      return "low end";
    case SensesWhat::travel_high_end:
      return "high end";
    case SensesWhat::surroundings:
      return "surroundings";
  }
  return "";
}

Items items_of(const Input& i) {
  Items items{{"kind", name_of(i.kind), all},
              {"device", i.device, table_and_proof},
              {"port", i.port, table_and_proof},
              {"connector", i.connector, proof},
              {"reversed", yes_no(i.reversed), table_and_proof},
              {"senses", word_of(i.senses), table_and_proof},
              {"of", i.senses_output, table_and_proof},
              {"shaft", i.on_motor_shaft ? "motor" : "output", table_and_proof},
              {"hand_action", i.hand_action, nothing},
              {"owner", i.owner, nothing}};
  add_wire(items, i.wire, proof);
  add_access(items, i.access);
  return items;
}

Items items_of(const Protection& p) {
  Items items{{"device", p.device, proof}, {"fed_from", p.fed_from, proof}};
  add_wire(items, p.wire, proof);
  add_access(items, p.access);
  return items;
}

Items robot_items(const Robot& r) {
  Items items{
      {"name", r.name, nothing},
      {"description", r.description, nothing},
      {"invented", yes_no(r.invented), nothing},
      {"ambient", celsius_text(r.ambient), nothing},
      {"board", r.board.name, table_and_proof},
      {"board.fed_by", r.board_fed_by, nothing},
      {"battery", r.battery.name, nothing},
      {"battery.device", r.battery.device, nothing},
      {"battery.state_of_charge",
       r.battery.state_of_charge ? fmt::format("{:g} %", *r.battery.state_of_charge * 100.0) : std::string(), nothing}};
  add_wire(items, r.battery.wire, nothing);
  for (auto at = items.end() - wire_items; at != items.end(); ++at) at->key = "battery." + at->key;
  add_wire(items, r.board_wire, nothing);
  for (auto at = items.end() - wire_items; at != items.end(); ++at) at->key = "board." + at->key;
  for (const Discipline d : {Discipline::mechanics, Discipline::wiring, Discipline::programming}) {
    const auto person = r.owners.find(name_of(d));
    items.push_back({fmt::format("owners.{}", name_of(d)), person == r.owners.end() ? "" : person->second, nothing});
  }
  return items;
}

Change change(const std::string& point, std::string what, std::string before, std::string after, Touches t) {
  return {point, std::move(what), std::move(before), std::move(after), t.table, t.program, t.proof};
}

// Both lists hold the same keys in the same order, but for a mechanism that one side lacks.
void compare(const std::string& point, const Items& before, const Items& after, std::vector<Change>& out) {
  const auto value_in = [](const Items& items, const std::string& key) {
    const auto at = std::find_if(items.begin(), items.end(), [&](const Item& i) { return i.key == key; });
    return at == items.end() ? std::string() : at->value;
  };
  for (const Item& item : before) {
    const std::string now = value_in(after, item.key);
    if (now != item.value) out.push_back(change(point, item.key, item.value, now, item.touches));
  }
  for (const Item& item : after) {
    const bool known = std::any_of(before.begin(), before.end(), [&](const Item& i) { return i.key == item.key; });
    if (!known && !item.value.empty()) out.push_back(change(point, item.key, "", item.value, item.touches));
  }
}

template <class Named>
const Named* by_name(const std::vector<Named>& in, const std::string& name) {
  const auto at = std::find_if(in.begin(), in.end(), [&](const Named& n) { return n.name == name; });
  return at == in.end() ? nullptr : &*at;
}

template <class Point>
void compare_points(const std::vector<Point>& before, const std::vector<Point>& after, std::vector<Change>& out) {
  for (const Point& p : before) {
    const Point* now = by_name(after, p.name);
    if (now == nullptr) {
      out.push_back(change(p.name, "point", "drawn", "gone", all));
    } else {
      compare(p.name, items_of(p), items_of(*now), out);
    }
  }
  for (const Point& p : after) {
    if (by_name(before, p.name) == nullptr) out.push_back(change(p.name, "point", "", "new", all));
  }
}

void compare_protections(const Robot& a, const Robot& b, std::vector<Change>& out) {
  std::vector<Change> found;
  std::vector<std::string> changed;
  for (const Protection& p : a.protections) {
    const Protection* now = b.protection(p.name);
    const std::size_t already = found.size();
    if (now == nullptr) {
      found.push_back(change("", "", "drawn", "gone", proof));
    } else {
      compare("", items_of(p), items_of(*now), found);
    }
    bool counts = false;
    for (std::size_t i = already; i < found.size(); ++i) {
      Change& c = found[i];
      c.what = "protection " + p.name + (c.what.empty() ? "" : "." + c.what);
      counts = counts || c.loses_proof;
      c.loses_proof = false;  // told for each point below
      out.push_back(c);
    }
    if (counts) changed.push_back(p.name);
  }
  for (const Protection& p : b.protections) {
    if (a.protection(p.name) == nullptr) out.push_back(change("", "protection " + p.name, "", "new", nothing));
  }
  for (const Output& o : b.outputs) {
    for (const Protection* p : b.feed_chain(o.fed_by)) {
      if (std::find(changed.begin(), changed.end(), p->name) == changed.end()) continue;
      out.push_back(change(o.name, "feed", p->name, p->name + " (changed)", proof));
    }
  }
}

std::string text_of(const std::vector<OutputLoad>& loads) {
  std::string out;
  for (const OutputLoad& l : loads) {
    out += fmt::format("{}{} {}", out.empty() ? "" : ", ", l.output, name_of(l.loading));
    if (l.level != 1.0) out += fmt::format(" {:g} %", l.level * 100.0);
    if (l.loading == Loading::at_speed) out += fmt::format(" {:g}", l.speed);
  }
  return out;
}

Items items_of(const LoadCase& c) {
  return {{"description", c.description, nothing},
          {"state_of_charge", c.state_of_charge ? fmt::format("{:g} %", *c.state_of_charge * 100.0) : std::string(),
           nothing},
          {"ambient", c.ambient ? celsius_text(*c.ambient) : std::string(), nothing},
          {"loads", text_of(c.loads), nothing}};
}

Items items_of(const DutyCycle& c) {
  std::string steps;
  for (const DutyStep& s : c.steps) steps += fmt::format("{:g} s: {}; ", s.duration.si, text_of(s.loads));
  return {{"description", c.description, nothing},
          {"repeats_per_day", number(c.repeats_per_day), nothing},
          {"step", steps, nothing}};
}

// Load cases or duty cycles, by their names.
template <class Named>
void compare_plans(const std::string& what, const std::vector<Named>& before, const std::vector<Named>& after,
                   std::vector<Change>& out) {
  for (const Named& one : before) {
    const Named* now = by_name(after, one.name);
    if (now == nullptr) {
      out.push_back(change("", what + " " + one.name, "drawn", "gone", nothing));
      continue;
    }
    const std::size_t already = out.size();
    compare("", items_of(one), items_of(*now), out);
    for (std::size_t i = already; i < out.size(); ++i) out[i].what = what + " " + one.name + "." + out[i].what;
  }
  for (const Named& one : after) {
    if (by_name(before, one.name) == nullptr) out.push_back(change("", what + " " + one.name, "", "new", nothing));
  }
}

void compare_tolerances(const Robot& before, const Robot& after, std::vector<Change>& out) {
  const auto items = [](const Robot& r) {
    Items widths;
    for (const Tolerance& t : r.tolerances) widths.push_back({"tolerance " + t.path, number(t.half_width), nothing});
    return widths;
  };
  compare("", items(before), items(after), out);
}

std::string order_of(const Robot& r, const Robot& other) {
  std::string out;
  for (const Output& o : r.outputs) {
    if (other.output(o.name) != nullptr) out += (out.empty() ? "" : ", ") + o.name;
  }
  for (const Input& i : r.inputs) {
    if (other.input(i.name) != nullptr) out += (out.empty() ? "" : ", ") + i.name;
  }
  return out;
}

}  // namespace

std::vector<Change> difference(const Robot& before, const Robot& after) {
  std::vector<Change> out;
  compare("", robot_items(before), robot_items(after), out);
  compare_protections(before, after, out);
  compare_points(before.outputs, after.outputs, out);
  compare_points(before.inputs, after.inputs, out);
  compare_plans("load case", before.load_cases, after.load_cases, out);
  compare_plans("duty cycle", before.duty_cycles, after.duty_cycles, out);
  compare_tolerances(before, after, out);
  const std::string order = order_of(before, after);
  const std::string order_now = order_of(after, before);
  // Points are indexed by their order: names in another order need program and table anew, though no wire moved.
  if (order != order_now) out.push_back(change("", "order of the points", order, order_now, {true, true, false}));
  return out;
}

}  // namespace ringout::robot
