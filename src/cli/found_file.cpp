#include "cli/found_file.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <nlohmann/json.hpp>

#include "os/files.h"
#include "wire/crc.h"

namespace ringout::cli {
namespace {

using Json = nlohmann::ordered_json;

constexpr const char* format_mark = "ringout found 1";

constexpr std::array conditions = {prove::Condition::answers,  prove::Condition::weak,
                                   prove::Condition::strong,   prove::Condition::other_motor,
                                   prove::Condition::jammed,   prove::Condition::intermittent,
                                   prove::Condition::silent,   prove::Condition::no_current,
                                   prove::Condition::stuck,    prove::Condition::one_channel_dead,
                                   prove::Condition::untested, prove::Condition::something_else,
                                   prove::Condition::drags,    prove::Condition::slips,
                                   prove::Condition::shorted};
constexpr std::array signs = {prove::Sign::as_drawn, prove::Sign::reversed, prove::Sign::unknown};
constexpr std::array kinds = {robot::PointKind::bridge_motor, robot::PointKind::servo,
                              robot::PointKind::on_off,       robot::PointKind::light,
                              robot::PointKind::switch_input, robot::PointKind::analogue,
                              robot::PointKind::encoder,      robot::PointKind::bus_device};

struct Unreadable {
  std::string what;
};

template <class Value, std::size_t Count>
Value named(const std::array<Value, Count>& values, const std::string& name) {
  for (const Value value : values) {
    if (name == name_of(value)) return value;
  }
  throw Unreadable{fmt::format("\"{}\" is no word of this format", name)};
}

Json json_of(const KeptFinding& kept) {
  const prove::Finding& f = kept.finding;
  return {{"point", f.point},
          {"drawn_port", f.drawn_port},
          {"found_port", f.found_port ? Json(*f.found_port) : Json(nullptr)},
          {"sign", name_of(f.sign)},
          {"condition", name_of(f.condition)},
          {"strength", f.strength},
          {"confidence", f.confidence},
          {"person_looked", f.person_looked},
          {"evidence", f.evidence},
          {"wiring", fmt::format("{:08X}", kept.wiring)},
          {"when", kept.when},
          {"on", kept.on}};
}

std::uint32_t fingerprint_from(const Json& json) {
  const auto text = json.get<std::string>();
  std::size_t read = 0;
  const unsigned long value = std::stoul(text, &read, 16);
  if (read != text.size() || text.size() != 8) throw Unreadable{"a fingerprint is eight hexadecimal digits"};
  return static_cast<std::uint32_t>(value);
}

KeptFinding kept_from(const Json& json) {
  KeptFinding kept;
  prove::Finding& f = kept.finding;
  f.point = json.at("point");
  f.drawn_port = json.at("drawn_port");
  if (!json.at("found_port").is_null()) f.found_port = json.at("found_port").get<std::string>();
  f.sign = named(signs, json.at("sign"));
  f.condition = named(conditions, json.at("condition"));
  f.strength = json.at("strength");
  f.confidence = json.at("confidence");
  f.person_looked = json.at("person_looked");
  f.evidence = json.at("evidence");
  kept.wiring = fingerprint_from(json.at("wiring"));
  kept.when = json.at("when");
  kept.on = json.at("on");
  return kept;
}

Json json_of(const std::optional<prove::Coded>& coded) {
  if (!coded) return nullptr;
  Json points = Json::array();
  for (const auto& point : coded->points) {
    Json json{{"name", point.name}, {"kind", robot::name_of(point.kind)}, {"port", nullptr}, {"reversed", nullptr}};
    if (point.entry) {
      json["port"] = point.entry->port;
      json["reversed"] = point.entry->reversed;
    }
    points.push_back(std::move(json));
  }
  return points;
}

std::optional<prove::Coded> coded_from(const Json& json) {
  if (json.is_null()) return std::nullopt;
  prove::Coded coded;
  for (const auto& point : json) {
    prove::CodedPoint p{point.at("name"), named(kinds, point.at("kind")), {}};
    if (!point.at("port").is_null()) {
      p.entry = prove::CodedEntry{point.at("port").get<std::uint8_t>(), point.at("reversed").get<bool>()};
    }
    coded.points.push_back(std::move(p));
  }
  return coded;
}

FoundFile found_from(const Json& json) {
  if (json.at("format") != format_mark) throw Unreadable{"it is of another format or version"};
  FoundFile found;
  found.robot = json.at("robot");
  found.identity = json.at("controller");
  found.on = json.at("on");
  found.person = json.at("person");
  found.table_fingerprint = fingerprint_from(json.at("table_fingerprint"));
  for (const auto& point : json.at("points")) found.points.push_back(kept_from(point));
  found.coded = coded_from(json.at("coded"));
  return found;
}

std::uint32_t fingerprint_of(const std::string& text) {
  wire::Crc32 check;
  for (const char c : text) check.add(static_cast<std::uint8_t>(c));
  return check.value();
}

std::string wiring_text(const robot::Output& o) {
  return fmt::format("{}|{}|{}|{}|{}|{}|{}", robot::name_of(o.kind), o.port, o.reversed, o.device, o.fed_by,
                     o.low_switch.value_or(""), o.high_switch.value_or(""));
}

std::string wiring_text(const robot::Input& i) {
  return fmt::format("{}|{}|{}|{}|{}|{}|{}", robot::name_of(i.kind), i.port, i.reversed, i.device,
                     static_cast<int>(i.senses), i.senses_output, i.on_motor_shaft);
}

}  // namespace

std::vector<prove::Finding> FoundFile::findings() const {
  std::vector<prove::Finding> all;
  for (const auto& kept : points) all.push_back(kept.finding);
  return all;
}

bool is_simulated(const std::string& on) {
  return on.rfind("twin", 0) == 0 || on.rfind("emulated", 0) == 0;
}

SameMachine same_machine(const std::string& kept_on, const std::string& now_on) {
  // A serial device's path changes from day to day; its controller's identity is looked at by go/no-go.
  const bool both_real = !is_simulated(kept_on) && !is_simulated(now_on);
  return both_real || kept_on == now_on ? SameMachine::yes : SameMachine::no;
}

std::uint32_t wiring_fingerprint(const robot::Robot& robot) {
  std::string text = robot.name + "|" + robot.board.name;
  for (const auto& output : robot.outputs) text += "|" + output.name + "|" + wiring_text(output);
  for (const auto& input : robot.inputs) text += "|" + input.name + "|" + wiring_text(input);
  return fingerprint_of(text);
}

std::uint32_t wiring_fingerprint(const robot::Robot& robot, const std::string& point) {
  std::string text;
  if (const auto* output = robot.output(point)) text = wiring_text(*output);
  if (const auto* input = robot.input(point)) text = wiring_text(*input);
  return text.empty() ? 0 : fingerprint_of(text);
}

std::vector<std::string> touched_since(const robot::Robot& robot, const FoundFile& found) {
  std::vector<std::string> touched;
  for (const auto& kept : found.points) {
    const std::uint32_t now = wiring_fingerprint(robot, kept.finding.point);
    if (now != 0 && now != kept.wiring) touched.push_back(kept.finding.point);
  }
  return touched;
}

std::vector<prove::Finding> still_valid(const robot::Robot& robot, const FoundFile& found) {
  std::vector<prove::Finding> valid;
  for (const auto& kept : found.points) {
    if (wiring_fingerprint(robot, kept.finding.point) == kept.wiring) valid.push_back(kept.finding);
  }
  return valid;
}

prove::Agreement agreement_on_paper(const robot::Robot& robot, const FoundFile& found) {
  const auto findings = found.findings();
  const auto touched = touched_since(robot, found);
  return prove::agree(robot, found.coded, findings, touched);
}

void merge(FoundFile& kept, const robot::Robot& robot, const std::vector<prove::Finding>& fresh,
           const std::string& when, const std::string& on) {
  for (const auto& finding : fresh) {
    KeptFinding entry{finding, wiring_fingerprint(robot, finding.point), when, on};
    const auto at = std::find_if(kept.points.begin(), kept.points.end(),
                                 [&](const KeptFinding& k) { return k.finding.point == finding.point; });
    if (at == kept.points.end()) {
      kept.points.push_back(std::move(entry));
    } else {
      *at = std::move(entry);
    }
  }
}

Result<FoundFile> found_from(const std::string& name, const std::string& text) {
  const auto unreadable = [&name](const std::string& why) {
    return failure(ErrorKind::bad_input, "cli.found-unreadable", fmt::format("{} cannot be read: {}", name, why),
                   "move it away and prove again; captures in .ringout can be replayed");
  };
  try {
    return found_from(Json::parse(text));
  } catch (const Unreadable& wrong) {
    return unreadable(wrong.what);
  } catch (const Json::parse_error& wrong) {
    const auto end = text.begin() + static_cast<std::ptrdiff_t>(std::min(wrong.byte, text.size()));
    return unreadable(fmt::format("from line {} on it is no JSON", 1 + std::count(text.begin(), end, '\n')));
  } catch (const std::exception&) {  // a value of another kind than it must be, or a number out of range
    return unreadable("something in it is missing or of another kind than prove writes");
  }
}

Result<FoundFile> read_found_file(const std::string& path) {
  const auto text = os::read_text(path);
  if (!text) return tl::unexpected(text.error());
  return found_from(path, *text);
}

std::string found_text(const FoundFile& found) {
  Json points = Json::array();
  for (const auto& kept : found.points) points.push_back(json_of(kept));
  const Json json{{"format", format_mark},
                  {"robot", found.robot},
                  {"controller", found.identity},
                  {"on", found.on},
                  {"person", found.person},
                  {"table_fingerprint", fmt::format("{:08X}", found.table_fingerprint)},
                  {"points", points},
                  {"coded", json_of(found.coded)}};
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace ringout::cli
