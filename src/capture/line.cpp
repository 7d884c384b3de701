#include "capture/line.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <limits>
#include <vector>

namespace ringout::capture {

namespace {

constexpr std::array<const char*, 9> phase_names = {"bump_quiet",  "bump_over",       "hands_away",
                                                    "hand_holds",  "hand_let_go",     "hand_over",
                                                    "hand_cannot", "turned_positive", "turned_negative"};

constexpr std::array kinds = {robot::PointKind::bridge_motor, robot::PointKind::servo,
                              robot::PointKind::on_off,       robot::PointKind::light,
                              robot::PointKind::switch_input, robot::PointKind::analogue,
                              robot::PointKind::encoder,      robot::PointKind::bus_device};

// As in the robot file, in one word: "bridge_motor".
std::string word_of(robot::PointKind kind) {
  std::string word = robot::name_of(kind);
  for (char& c : word) c = c == ' ' ? '_' : c;
  return word;
}

template <class Number>
std::string join(const std::vector<Number>& values) {
  std::string out;
  for (const Number v : values) {
    if (!out.empty()) out += ',';
    out += std::to_string(v);
  }
  return out.empty() ? "-" : out;
}

std::vector<std::string_view> split(std::string_view text, char at) {
  std::vector<std::string_view> words;
  std::size_t begin = 0;
  for (;;) {
    const std::size_t end = text.find(at, begin);
    words.push_back(text.substr(begin, end - begin));
    if (end == std::string_view::npos) return words;
    begin = end + 1;
  }
}

template <class Number>
bool parse(std::string_view word, Number& value, int base = 10) {
  const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), value, base);
  return error == std::errc{} && end == word.data() + word.size();
}

template <class Number>
bool parse_list(std::string_view word, int count, std::vector<Number>& values) {
  values.clear();
  if (word == "-") return count == 0;
  for (const std::string_view part : split(word, ',')) {
    Number value = 0;
    if (!parse(part, value)) return false;
    values.push_back(value);
    if (static_cast<int>(values.size()) > count) return false;
  }
  return static_cast<int>(values.size()) == count;
}

bool good_name(std::string_view name) {
  if (name.empty() || name.size() > max_name_bytes) return false;
  for (const char c : name) {
    if (c <= ' ' || c == '~' || c == 127) return false;
  }
  return true;
}

std::string name_or_dash(const std::string& name) {
  return good_name(name) ? name : "-";
}

using Words = std::vector<std::string_view>;

std::optional<Entry> parse_sample(const Words& w, const Header& h) {
  Sample s;
  if (w.size() != 8 || !parse(w[1], s.clock_us) || !parse(w[2], s.lost_before) || s.lost_before < 0) return {};
  if (!parse_list(w[3], h.bridges, s.levels_permille) || !parse_list(w[4], h.encoders, s.encoders)) return {};
  if (!parse(w[5], s.switches, 16) || !parse_list(w[6], h.adc_channels, s.adc) || !parse(w[7], s.state)) return {};
  return s;
}

std::optional<Entry> parse_started(const Words& w, const Header& h) {
  BumpStarted b;
  if (w.size() != 6 || !parse(w[1], b.clock_us) || !parse(w[2], b.command.bridge)) return {};
  if (!parse(w[3], b.command.level_permille) || !parse(w[4], b.command.slope_permille_per_ms)) return {};
  if (!parse(w[5], b.command.duration_ms) || b.command.bridge >= h.bridges) return {};
  return b;
}

std::optional<Entry> parse_ended(const Words& w, const Header& h) {
  BumpEnded b;
  if (w.size() != 4 || !parse(w[1], b.clock_us) || !parse(w[2], b.bridge) || b.bridge >= h.bridges) return {};
  const auto cause = end_cause(w[3]);
  if (!cause) return {};
  b.cause = *cause;
  return b;
}

std::optional<Entry> parse_phase(const Words& w) {
  PhaseMark m;
  if (w.size() != 4 || !parse(w[1], m.clock_us) || !good_name(w[3])) return {};
  for (std::size_t i = 0; i < phase_names.size(); ++i) {
    if (w[2] != phase_names[i]) continue;
    m.phase = static_cast<Phase>(i);
    if (w[3] != "-") m.input = std::string(w[3]);
    return m;
  }
  return {};
}

std::optional<Entry> parse_answer(const Words& w, const Header& h) {
  AnswerGiven a;
  if (w.size() != 6 || !parse(w[1], a.clock_us) || !parse(w[2], a.bridge) || a.bridge >= h.bridges) return {};
  if (w[3] != "device" && w[3] != "nothing" && w[3] != "something_else") return {};
  a.saw = std::string(w[3]);
  if (!good_name(w[4]) || !parse(w[5], a.direction) || a.direction < -1 || a.direction > 1) return {};
  if (w[4] != "-") a.point = std::string(w[4]);
  return a;
}

std::optional<Entry> parse_carried(const Words& w) {
  PointCarried p;
  if (w.size() != 5 || !good_name(w[1])) return {};
  p.name = std::string(w[1]);
  const auto kind = std::find_if(kinds.begin(), kinds.end(), [&](robot::PointKind k) { return word_of(k) == w[2]; });
  if (kind == kinds.end()) return {};
  p.kind = *kind;
  if (w[3] == "-") return p;
  PointCarried::Place place;
  if (!parse(w[3], place.port) || (w[4] != "0" && w[4] != "1")) return {};
  place.reversed = w[4] == "1";
  p.place = place;
  return p;
}

// The text may hold spaces, so it is taken from the body itself.
std::optional<Entry> parse_about(std::string_view body, const Words& w) {
  if (w.size() < 3 || !good_name(w[1])) return {};
  const std::string_view text = body.substr(w[0].size() + w[1].size() + 2);
  if (text.size() > max_about_bytes) return {};
  return About{std::string(w[1]), std::string(text)};
}

// What would end the line or its check early has no place in a text.
std::string one_line(std::string text) {
  for (char& c : text) c = static_cast<unsigned char>(c) < ' ' || c == 127 ? ' ' : c;
  if (text.size() > max_about_bytes) text.resize(max_about_bytes);
  return text;
}

struct EntryBody {
  std::string operator()(const Sample& s) const {
    return fmt::format("s {} {} {} {} {:x} {} {}", s.clock_us, s.lost_before, join(s.levels_permille), join(s.encoders),
                       s.switches, join(s.adc), s.state);
  }
  std::string operator()(const BumpStarted& b) const {
    return fmt::format("bump {} {} {} {} {}", b.clock_us, b.command.bridge, b.command.level_permille,
                       b.command.slope_permille_per_ms, b.command.duration_ms);
  }
  std::string operator()(const BumpEnded& b) const {
    return fmt::format("ended {} {} {}", b.clock_us, b.bridge, name_of(b.cause));
  }
  std::string operator()(const PhaseMark& m) const {
    return fmt::format("phase {} {} {}", m.clock_us, phase_names[static_cast<std::size_t>(m.phase)],
                       name_or_dash(m.input));
  }
  std::string operator()(const AnswerGiven& a) const {
    return fmt::format("answer {} {} {} {} {}", a.clock_us, a.bridge, a.saw, name_or_dash(a.point), a.direction);
  }
  std::string operator()(const PointCarried& p) const {
    const std::string port = p.place ? std::to_string(p.place->port) : "-";
    return fmt::format("carried {} {} {} {}", name_or_dash(p.name), word_of(p.kind), port,
                       p.place && p.place->reversed ? 1 : 0);
  }
  std::string operator()(const About& a) const {
    return fmt::format("about {} {}", name_or_dash(a.key), one_line(a.text));
  }
};

}  // namespace

std::uint16_t line_check(std::string_view bytes) {
  unsigned crc = 0xFFFF;
  for (const char c : bytes) {
    crc ^= static_cast<unsigned>(static_cast<unsigned char>(c)) << 8;
    for (int bit = 0; bit < 8; ++bit) crc = (crc & 0x8000U) != 0 ? (crc << 1) ^ 0x1021U : crc << 1;
    crc &= 0xFFFFU;
  }
  return static_cast<std::uint16_t>(crc);
}

std::string seal(std::string body) {
  const std::uint16_t check = line_check(body);
  return std::move(body) + fmt::format("~{:04x}\n", check);
}

std::optional<std::string_view> unseal(std::string_view line) {
  if (line.size() < 6 || line.size() > max_line_bytes || line[line.size() - 5] != '~') return std::nullopt;
  const std::string_view body = line.substr(0, line.size() - 5);
  if (line.substr(line.size() - 4) != fmt::format("{:04x}", line_check(body))) return std::nullopt;
  return body;
}

std::string body_of(const Header& h) {
  return fmt::format("header {} {} {:08x} {} {} {} {}", name_or_dash(h.robot), name_or_dash(h.board),
                     h.table_fingerprint, h.bridges, h.encoders, h.switches, h.adc_channels);
}

std::string body_of(const Entry& entry) {
  return std::visit(EntryBody{}, entry);
}

std::optional<Header> parse_header(std::string_view body) {
  const Words w = split(body, ' ');
  Header h;
  if (w.size() != 8 || w[0] != "header" || !good_name(w[1]) || !good_name(w[2])) return {};
  h.robot = std::string(w[1]);
  h.board = std::string(w[2]);
  if (!parse(w[3], h.table_fingerprint, 16)) return {};
  int* const counts[] = {&h.bridges, &h.encoders, &h.switches, &h.adc_channels};
  for (std::size_t i = 0; i < 4; ++i) {
    if (!parse(w[4 + i], *counts[i]) || *counts[i] < 0 || *counts[i] > max_channels) return {};
  }
  return h;
}

std::optional<Entry> parse_entry(std::string_view body, const Header& header, std::string& why) {
  const Words w = split(body, ' ');
  std::optional<Entry> entry;
  if (w[0] == "s") {
    entry = parse_sample(w, header);
  } else if (w[0] == "bump") {
    entry = parse_started(w, header);
  } else if (w[0] == "ended") {
    entry = parse_ended(w, header);
  } else if (w[0] == "phase") {
    entry = parse_phase(w);
  } else if (w[0] == "answer") {
    entry = parse_answer(w, header);
  } else if (w[0] == "carried") {
    entry = parse_carried(w);
  } else if (w[0] == "about") {
    entry = parse_about(body, w);
  } else {
    why = fmt::format("a line cannot begin with \"{}\"", w[0].substr(0, 20));
    return {};
  }
  if (!entry)
    why = fmt::format("this \"{}\" line does not have the fields that the header and the format ask for", w[0]);
  return entry;
}

}  // namespace ringout::capture
