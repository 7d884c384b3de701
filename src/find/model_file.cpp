#include "find/model_file.h"

#include <fmt/format.h>

#include "find/model_file_checks.h"
#include "robot/document.h"
#include "robot/table_reader.h"

namespace ringout::find {

namespace {

using robot::Bounds;
using robot::Need;
using robot::Node;
using robot::TableReader;

constexpr Bounds cost_bounds{0.0, 1e9};

class ModelReader {
 public:
  ModelReader(const SourceText& text, Diagnostics& found) : text_(text), found_(found) {}

  Model read(const Node& root) {
    TableReader top(text_, root, "the model file", found_);
    if (const Node* head = top.table("model", Need::required, "{ name = \"lift does not move\" }")) header(*head);
    for (const Node* n : top.tables("part")) part(*n);
    for (const Node* n : top.tables("place")) place(*n);
    const std::vector<const Node*> checks = top.tables("check");
    for (const Node* n : checks) name_check(*n);
    for (std::size_t i = 0; i < checks.size(); ++i) check(*checks[i], model_.observations[i]);
    for (const Node* n : top.tables("repair")) repair(*n);
    for (const Node* n : top.tables("state")) state(*n);
    for (const Node* n : top.tables("symptom")) symptom(*n);
    top.finish();
    return std::move(model_);
  }
  [[nodiscard]] Span header_place() const { return header_; }

 private:
  void header(const Node& node) {
    header_ = node.span;
    TableReader r(text_, node, "[model]", found_);
    r.text("name", Need::required, "lift does not move", model_.name);
    if (const auto goal = r.choice("goal", Need::optional, {"repair", "identify"}))
      model_.goal = *goal == 0 ? Goal::repair : Goal::identify;
    if (const auto faults = r.choice("faults", Need::optional, {"exactly one", "independent", "listed"}))
      model_.faults = static_cast<Faults>(*faults);
    std::int64_t most = model_.max_faults;
    r.integer("max_faults", Need::optional, 1, 4, most);
    model_.max_faults = static_cast<int>(most);
    double call = 0;
    if (r.number("call_cost", Need::optional, cost_bounds, call)) model_.call_cost = call;
    r.number("check_cost", Need::optional, cost_bounds, model_.check_cost);
    r.finish();
  }

  void part(const Node& node) {
    TableReader r(text_, node, "a part", found_);
    Part p;
    p.at = node.span;
    r.text("name", Need::required, "lift motor", p.name);
    r.rename(fmt::format("part \"{}\"", robot::shown(p.name)));
    const auto index = static_cast<Index>(model_.parts.size());
    model_.parts.push_back(p);
    Mode only{"", index, 1.0, node.span};
    const bool alone = r.number("prior", Need::optional, {0.0, 1e12}, only.prior);
    const std::vector<const Node*> faults = r.tables("fault");
    if (alone || faults.empty()) model_.modes.push_back(only);
    if (alone && !faults.empty())
      r.error("prior", "model.two-priors", "a part has either one prior or faults with their own", "leave one out");
    for (const Node* f : faults) {
      TableReader each(text_, *f, "a fault", found_);
      Mode m{"", index, 1.0, f->span};
      each.text("name", Need::required, "open", m.name);
      each.number("prior", Need::optional, {0.0, 1e12}, m.prior);
      each.finish();
      model_.modes.push_back(m);
    }
    r.finish();
  }

  void place(const Node& node) {
    TableReader r(text_, node, "a place", found_);
    Place p;
    p.at = node.span;
    r.text("name", Need::required, "cover", p.name);
    p.inside = reference(r, "inside", Need::optional, names(model_.places), "place");
    r.number("open_cost", Need::required, cost_bounds, p.open_cost);
    r.number("close_cost", Need::optional, cost_bounds, p.close_cost);
    if (const auto state = r.choice("at_check", Need::optional, {"may stay open", "is closed"}))
      p.at_check = *state == 0 ? Place::AtCheck::may_stay_open : Place::AtCheck::is_closed;
    r.finish();
    model_.places.push_back(p);
  }

  // All checks are named first, so that each can need any other.
  void name_check(const Node& node) {
    Observation o;
    o.at = node.span;
    if (const Node* name = node.member("name"); name != nullptr && name->kind == Node::Kind::text) o.name = name->text;
    if (const Node* list = node.member("outcomes"); list != nullptr && list->kind == Node::Kind::array) {
      for (const Node& item : list->items) o.outcomes.push_back(item.kind == Node::Kind::text ? item.text : "");
    }
    model_.observations.push_back(o);
  }

  void check(const Node& node, Observation& o) {
    TableReader r(text_, node, "a check", found_);
    r.text("name", Need::required, "measure at the port", o.name);
    r.rename(fmt::format("check \"{}\"", robot::shown(o.name)));
    r.number("cost", Need::required, cost_bounds, o.cost);
    o.place = reference(r, "place", Need::optional, names(model_.places), "place");
    o.outcomes = r.texts("outcomes", Need::required, "[\"good\", \"bad\"]");
    o.healthy.assign(o.outcomes.size(), 0.0);
    if (!o.healthy.empty()) o.healthy.front() = 1.0;
    if (r.find("healthy") != nullptr) o.healthy = numbers(r, "healthy", r.what());
    if (const auto rule = r.choice("several", Need::optional, {"worst", "noisy", "first"}))
      o.combination = static_cast<Combination>(*rule);
    for (const Node* n : r.tables("sees")) effect(*n, o, r.what());
    o.needs = needs(r);
    std::int64_t line = o.line;
    r.integer("line", Need::optional, 1, 9, line);
    o.line = static_cast<int>(line);
    r.text("path", Need::optional, "lift", o.path);
    r.text("instructions", Need::optional, "…", o.instructions);
    r.text("caution", Need::optional, "supply off before hands go in", o.caution);
    r.finish();
  }

  void effect(const Node& node, Observation& o, const std::string& of) {
    TableReader r(text_, node, of + ", what it sees", found_);
    const FaultSet faults = fault_set(r, "faults", "fault");
    const std::vector<double> chance = numbers(r, "chance", r.what());
    r.finish();
    if (faults.size() == 1) o.effects.push_back({*faults.begin(), chance, node.span});
    if (faults.size() > 1) o.joint.push_back({faults, chance, node.span});
  }

  void repair(const Node& node) {
    TableReader r(text_, node, "a repair", found_);
    Repair out;
    out.at = node.span;
    r.text("name", Need::required, "replace the lift motor", out.name);
    r.rename(fmt::format("repair \"{}\"", robot::shown(out.name)));
    r.number("cost", Need::required, cost_bounds, out.cost);
    out.place = reference(r, "place", Need::optional, names(model_.places), "place");
    for (const Node* n : r.tables("mends")) {
      TableReader each(text_, *n, r.what() + ", what it mends", found_);
      Mend m;
      each.number("chance", Need::optional, robot::up_to_one, m.chance);
      for (const Index mode : fault_set(each, "faults", "fault")) out.mends.push_back({mode, m.chance});
      each.finish();
    }
    out.needs = needs(r);
    r.text("instructions", Need::optional, "…", out.instructions);
    r.text("caution", Need::optional, "…", out.caution);
    r.finish();
    model_.repairs.push_back(std::move(out));
  }

  void state(const Node& node) {
    TableReader r(text_, node, "a state", found_);
    ListedState s;
    s.at = node.span;
    r.number("weight", Need::required, {0.0, 1e12}, s.weight);
    const Node* list = r.find("faults");
    if (list == nullptr || !list->items.empty()) s.faults = fault_set(r, "faults", "fault");
    r.finish();
    model_.states.push_back(s);
  }

  void symptom(const Node& node) {
    TableReader r(text_, node, "a symptom", found_);
    const auto check = reference(r, "check", Need::required, names(model_.observations), "check");
    if (check) {
      const auto outcome = reference(r, "outcome", Need::required, model_.observations[*check].outcomes, "outcome");
      if (outcome) model_.symptoms.push_back({*check, *outcome, node.span});
    }
    if (check) r.finish();
  }

  std::vector<find::Need> needs(TableReader& r) {
    std::vector<find::Need> out;
    for (const Node* n : r.tables("needs")) {
      TableReader each(text_, *n, r.what() + ", what it needs", found_);
      const auto check = reference(each, "check", Need::required, names(model_.observations), "check");
      std::optional<Index> outcome;
      if (check) outcome = reference(each, "outcome", Need::optional, model_.observations[*check].outcomes, "outcome");
      if (check) out.push_back({*check, outcome});
      if (check) each.finish();
    }
    return out;
  }

  template <class Named>
  static std::vector<std::string> names(const std::vector<Named>& all) {
    std::vector<std::string> out;
    for (const Named& n : all) out.push_back(n.name);
    return out;
  }

  std::optional<Index> look_up(TableReader& r, Span at, const std::string& name, const std::vector<std::string>& known,
                               const char* what) {
    const auto found = std::find(known.begin(), known.end(), name);
    if (found != known.end()) return static_cast<Index>(found - known.begin());
    const std::string near = nearest(name, known);
    r.found().error(
        text_, at, "model.unknown-name", fmt::format("there is no {} \"{}\"", what, robot::shown(name)),
        near.empty() ? fmt::format("name one that this file describes") : fmt::format("did you mean \"{}\"?", near));
    return std::nullopt;
  }

  std::optional<Index> reference(TableReader& r, const char* key, Need need, const std::vector<std::string>& known,
                                 const char* what) {
    std::string name;
    if (!r.text(key, need, "its name", name)) return std::nullopt;
    return look_up(r, r.place(key), name, known, what);
  }

  // `one` = "…" or `several` = ["…", "…"], names of faults.
  FaultSet fault_set(TableReader& r, const char* several, const char* one) {
    if (mode_names_.size() != model_.modes.size()) {
      mode_names_.clear();
      for (Index m = 0; m < model_.modes.size(); ++m) mode_names_.push_back(full_name(model_, m));
    }
    std::vector<std::string> wanted;
    const char* key = several;
    if (r.find(several) != nullptr) {
      wanted = r.texts(several, Need::required, "[\"part.fault\"]");
    } else {
      key = one;
      wanted.resize(1);
      if (!r.text(one, Need::required, "part.fault", wanted.front())) return {};
    }
    FaultSet out;
    for (const std::string& name : wanted) {
      const auto mode = look_up(r, r.place(key), name, mode_names_, "fault");
      if (!mode) continue;
      if (out.size() == FaultSet::capacity) {
        r.error(key, "model.too-large", fmt::format("more than {} faults at once", FaultSet::capacity));
        break;
      }
      out.add(*mode);
    }
    return out;
  }

  std::vector<double> numbers(TableReader& r, const char* key, const std::string& what) {
    std::vector<double> out;
    const Node* node = r.find(key);
    bool good = node != nullptr && node->kind == Node::Kind::array;
    for (std::size_t i = 0; good && i < node->items.size(); ++i) {
      const Node& item = node->items[i];
      good = item.kind == Node::Kind::integer || item.kind == Node::Kind::real;
      out.push_back(item.real);
    }
    if (!good)
      r.error(key, "model.numbers", fmt::format("{} needs \"{}\", a list of numbers", what, key),
              "write for example: [0.1, 0.9]");
    return out;
  }

  const SourceText& text_;
  Diagnostics& found_;
  Model model_;
  Span header_;
  std::vector<std::string> mode_names_;
};

}  // namespace

std::optional<Model> read_model(const SourceText& text, Diagnostics& found) {
  const std::optional<Node> root = robot::read_document(text, found);
  if (!root) return std::nullopt;
  Diagnostics here;
  ModelReader reader(text, here);
  Model model = reader.read(*root);
  check_model(model, text, reader.header_place(), here);
  here.sort_by_place();
  robot::pass_on(here, found);
  if (here.has_errors()) return std::nullopt;
  return model;
}

}  // namespace ringout::find
