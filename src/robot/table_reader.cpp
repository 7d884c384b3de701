#include "robot/table_reader.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace ringout::robot {

namespace {

std::string joined(const std::vector<std::string>& words) {
  std::string out;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) out += i + 1 == words.size() ? " or " : ", ";
    out += '"' + words[i] + '"';
  }
  return out;
}

std::string range_text(Dimension dimension, Bounds bounds) {
  if (bounds.high >= 1e12) return bounds.low > 0 ? "above zero" : bounds.low == 0 ? "zero or above" : "finite";
  if (dimension == Dimension::fraction)
    return fmt::format("from {:g} % to {:g} %", bounds.low * 100, bounds.high * 100);
  if (dimension == Dimension::temperature) {
    return fmt::format("from {:g} °C to {:g} °C", bounds.low - 273.15, bounds.high - 273.15);
  }
  return fmt::format("from {:g} to {:g} {}", bounds.low, bounds.high, si_unit_of(dimension));
}

const char* tolerance_hint(Dimension dimension) {
  if (dimension == Dimension::temperature) return "write for example: +-5 K behind the value";
  return "write for example: +-10 % behind the value, or +- and the same unit as the value has";
}

bool has_tolerance(const std::string& text) {
  return text.find("+-") != std::string::npos || text.find("\u00b1") != std::string::npos;
}

bool is_number(const Node& node) {
  return node.kind == Node::Kind::integer || node.kind == Node::Kind::real;
}

}  // namespace

std::string shown(const std::string& text) {
  std::string out;
  for (const char c : text) {
    const bool starts_code_point = (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
    if (out.size() >= 60 && starts_code_point) return out + "...";
    const bool control = static_cast<unsigned char>(c) < 0x20U || c == 0x7F;
    out += control ? '?' : c;
  }
  return out;
}

void pass_on(const Diagnostics& from, Diagnostics& to) {
  const auto clean = [](std::string& text) {
    std::replace_if(
        text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20U || c == 0x7F; }, '?');
  };
  for (Diagnostic d : from.all()) {
    clean(d.message);
    clean(d.hint);
    to.add(std::move(d));
  }
}

TableReader::TableReader(const SourceText& text, const Node& table, std::string what, Diagnostics& found)
    : text_(text), table_(table), what_(std::move(what)), found_(found) {
  places_.whole = table.span;
}

const Node* TableReader::find(const char* key) {
  if (std::find(known_.begin(), known_.end(), key) == known_.end()) known_.emplace_back(key);
  const Node* node = table_.member(key);
  if (node != nullptr) places_.keys[key] = node->span;
  return node;
}

void TableReader::error(const char* key, std::string id, std::string message, std::string hint) {
  found_.error(text_, places_.of(key), std::move(id), std::move(message), std::move(hint));
}

const Node* TableReader::want(const char* key, Need need, const std::string& example) {
  const Node* node = find(key);
  if (node == nullptr && need == Need::required) {
    found_.error(text_, table_.span, "file.missing-key", fmt::format("{} lacks the key \"{}\"", what_, key),
                 fmt::format("write for example: {} = {}", key, example));
  }
  return node;
}

void TableReader::wrong_kind(const char* key, const Node& node, const std::string& wanted, const std::string& example) {
  found_.error(text_, node.span, "file.wrong-type",
               fmt::format("\"{}\" of {} is {}, but {} belongs here", key, what_, name_of(node.kind), wanted),
               fmt::format("write for example: {} = {}", key, example));
}

bool TableReader::text(const char* key, Need need, const char* example, std::string& into) {
  const std::string quoted = fmt::format("\"{}\"", example);
  const Node* node = want(key, need, quoted);
  if (node == nullptr) return false;
  if (node->kind != Node::Kind::text) {
    wrong_kind(key, *node, "a text in quotes", quoted);
    return false;
  }
  if (need == Need::required && node->text.empty()) {
    found_.error(text_, node->span, "file.empty-text", fmt::format("\"{}\" of {} is empty", key, what_),
                 fmt::format("write for example: {} = {}", key, quoted));
    places_.keys.erase(key);
    return false;
  }
  into = node->text;
  return true;
}

void TableReader::tolerances_into(std::vector<Tolerance>& tolerances, std::string path) {
  tolerances_ = &tolerances;
  path_ = std::move(path);
}

void TableReader::tolerances_like(const TableReader& outer, const std::string& key) {
  tolerances_ = outer.tolerances_;
  path_ = outer.path_ + "." + key;
}

void TableReader::carry_tolerance(const char* key, const char* as, double factor) {
  if (tolerances_ == nullptr || tolerances_->empty() || tolerances_->back().path != path_ + "." + key) return;
  tolerances_->back().path = path_ + "." + as;
  tolerances_->back().half_width *= factor;
}

// Bounds hold for the whole of [value - half width, value + half width]; a tolerance is taken down where it may be.
bool TableReader::figure(const char* key, const Node& node, const QuantityReading& reading, Bounds bounds,
                         const std::string& allowed, double& into) {
  const double value = *reading.si;
  const bool inside = value >= bounds.low && value <= bounds.high;
  if (!inside || value - reading.half_width < bounds.low || value + reading.half_width > bounds.high) {
    found_.error(text_, node.span, "file.out-of-range",
                 fmt::format("\"{}\" of {} must be {}{}", key, what_, allowed,
                             inside ? ", over the whole of its tolerance" : ""));
    return false;
  }
  into = value;
  if (reading.half_width > 0.0) {
    tolerances_->push_back({path_ + "." + key, reading.half_width, node.span, text_.name()});
  }
  return true;
}

bool TableReader::refuse_tolerance(const char* key, const Node* node) {
  if (node == nullptr || node->kind != Node::Kind::text) return false;
  if (!has_tolerance(node->text)) return false;
  found_.error(text_, node->span, "file.no-tolerance-here", fmt::format("\"{}\" of {} takes no tolerance", key, what_),
               "write the value alone");
  return true;
}

bool TableReader::quantity(const char* key, Need need, Dimension dimension, Bounds bounds, double& into) {
  const std::string example = fmt::format("\"{}\"", example_of(dimension));
  const Node* node = want(key, need, example);
  if (node == nullptr) return false;
  if (tolerances_ == nullptr && refuse_tolerance(key, node)) return false;
  QuantityReading reading;
  if (dimension == Dimension::fraction && is_number(*node)) {
    reading.si = node->real;
  } else if (node->kind == Node::Kind::text) {
    reading = read_tolerated(node->text, dimension);
  } else {
    wrong_kind(key, *node, fmt::format("{} as text with its unit", name_of(dimension)), example);
    return false;
  }
  if (!reading.si) {
    static constexpr const char* ids[] = {"file.no-number",       "file.no-unit",   "file.unknown-unit",
                                          "file.wrong-dimension", "file.no-number", "file.bad-tolerance"};
    const bool tolerance = reading.fault.kind == QuantityFault::Kind::bad_tolerance;
    found_.error(text_, node->span, ids[static_cast<std::size_t>(reading.fault.kind)],
                 fmt::format("{} (\"{}\" of {})", reading.fault.message, key, what_),
                 tolerance ? tolerance_hint(dimension) : fmt::format("write for example: {} = {}", key, example));
    return false;
  }
  return figure(key, *node, reading, bounds, range_text(dimension, bounds), into);
}

bool TableReader::exact_quantity(const char* key, Need need, Dimension dimension, Bounds bounds, double& into) {
  return !refuse_tolerance(key, find(key)) && quantity(key, need, dimension, bounds, into);
}

bool TableReader::number(const char* key, Need need, Bounds bounds, double& into) {
  const Node* node = want(key, need, "1.5");
  if (node == nullptr) return false;
  if (tolerances_ == nullptr && refuse_tolerance(key, node)) return false;
  QuantityReading reading;
  if (is_number(*node)) {
    reading.si = node->real;
  } else if (node->kind == Node::Kind::text && has_tolerance(node->text)) {
    reading = read_tolerated_number(node->text);
    if (!reading.si && reading.fault.kind == QuantityFault::Kind::bad_tolerance) {
      found_.error(text_, node->span, "file.bad-tolerance",
                   fmt::format("{} (\"{}\" of {})", reading.fault.message, key, what_),
                   fmt::format("write for example: {} = \"1.5 +-10 %\"", key));
      return false;
    }
  }
  if (!reading.si) {
    wrong_kind(key, *node, "a plain number", "1.5");
    return false;
  }
  return figure(key, *node, reading, bounds, fmt::format("a number from {:g} to {:g}", bounds.low, bounds.high), into);
}

bool TableReader::exact_number(const char* key, Need need, Bounds bounds, double& into) {
  return !refuse_tolerance(key, find(key)) && number(key, need, bounds, into);
}

bool TableReader::integer(const char* key, Need need, std::int64_t low, std::int64_t high, std::int64_t& into) {
  const Node* node = want(key, need, std::to_string(std::max<std::int64_t>(low, 1)));
  if (node == nullptr) return false;
  if (node->kind != Node::Kind::integer) {
    wrong_kind(key, *node, "a whole number", std::to_string(std::max<std::int64_t>(low, 1)));
    return false;
  }
  if (node->integer < low || node->integer > high) {
    found_.error(text_, node->span, "file.out-of-range",
                 fmt::format("\"{}\" of {} must be a whole number from {} to {}", key, what_, low, high));
    return false;
  }
  into = node->integer;
  return true;
}

bool TableReader::truth(const char* key, bool& into) {
  const Node* node = find(key);
  if (node == nullptr) return false;
  if (node->kind != Node::Kind::truth) {
    wrong_kind(key, *node, "true or false (no quotes)", "true");
    return false;
  }
  into = node->truth;
  return true;
}

std::optional<std::size_t> TableReader::choice(const char* key, Need need, const std::vector<std::string>& words) {
  std::string word;
  // An empty word is no special case: like any wrong word, it is answered by the words there are.
  const std::string& example = words.front();
  if (want(key, need, fmt::format("\"{}\"", example)) == nullptr) return std::nullopt;
  if (!text(key, Need::optional, example.c_str(), word)) return std::nullopt;
  const auto at = std::find(words.begin(), words.end(), word);
  if (at != words.end()) return static_cast<std::size_t>(at - words.begin());
  const std::string near = nearest(word, words);
  error(key, "file.unknown-word", fmt::format("\"{}\" of {} cannot be \"{}\"", key, what_, shown(word)),
        near.empty() ? fmt::format("it is {}", joined(words))
                     : fmt::format("did you mean \"{}\"? It is {}", near, joined(words)));
  return std::nullopt;
}

std::vector<std::string> TableReader::texts(const char* key, Need need, const char* example) {
  std::vector<std::string> out;
  const Node* node = want(key, need, example);
  if (node == nullptr) return out;
  if (node->kind != Node::Kind::array) {
    wrong_kind(key, *node, "a list of texts", example);
    return out;
  }
  for (const Node& item : node->items) {
    if (item.kind == Node::Kind::text) {
      out.push_back(item.text);
    } else {
      wrong_kind(key, item, "a list of texts", example);
    }
  }
  return out;
}

const Node* TableReader::table(const char* key, Need need, const char* example) {
  const Node* node = want(key, need, example);
  if (node == nullptr || node->kind == Node::Kind::table) return node;
  wrong_kind(key, *node, "a table", example);
  return nullptr;
}

std::vector<const Node*> TableReader::tables(const char* key) {
  std::vector<const Node*> out;
  const Node* node = find(key);
  if (node == nullptr) return out;
  if (node->kind == Node::Kind::table) {
    found_.error(text_, node->span, "file.wrong-type", fmt::format("there can be several of [{}]", key),
                 fmt::format("write it with two brackets, [[{0}]], or as a list, {0} = [ {{ ... }} ]", key));
    return out;
  }
  const bool all_tables =
      node->kind == Node::Kind::array && std::all_of(node->items.begin(), node->items.end(),
                                                     [](const Node& item) { return item.kind == Node::Kind::table; });
  if (!all_tables) {
    wrong_kind(key, *node, fmt::format("a table under [[{}]]", key), "{ ... }");
    return out;
  }
  for (const Node& item : node->items) out.push_back(&item);
  return out;
}

void TableReader::finish() {
  for (const Member& m : table_.members) {
    if (std::find(known_.begin(), known_.end(), m.key) != known_.end()) continue;
    const std::string near = nearest(m.key, known_);
    std::vector<std::string> sorted = known_;
    std::sort(sorted.begin(), sorted.end());
    found_.error(text_, m.key_span, "file.unknown-key", fmt::format("{} has no key \"{}\"", what_, shown(m.key)),
                 near.empty() ? fmt::format("its keys are {}", fmt::join(sorted, ", "))
                              : fmt::format("did you mean \"{}\"?", near));
  }
}

}  // namespace ringout::robot
