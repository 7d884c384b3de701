#include "trial/pool.h"

#include <set>

#include "base/check.h"

namespace ringout::trial {

namespace {

template <class Points>
void add_troubles(const Points& points, std::vector<faults::Trouble>& into) {
  for (const auto& p : points) {
    for (const faults::Symptom s : faults::symptoms_of(p.kind)) into.push_back({p.name, s});
  }
}

}  // namespace

std::optional<find::FaultSet> Complained::set_of(const std::vector<TrueFault>& faults) const {
  find::FaultSet out;
  for (const TrueFault& f : faults) {
    bool known = false;
    for (find::Index m = 0; m < model.model.modes.size() && !known; ++m) {
      known = find::full_name(model.model, m) == f.name;
      if (known) out.add(m);
    }
    if (!known) return std::nullopt;
  }
  return out;
}

const Complained& Pool::complained(const faults::Trouble& trouble) const {
  for (const auto& c : complaints) {
    if (c->trouble.point == trouble.point && c->trouble.symptom == trouble.symptom) return *c;
  }
  RINGOUT_CHECK(false && "a complaint that suits no point");
  return *complaints.front();
}

Pool pool_of(const robot::Robot& robot, const faults::FaultRows& rows) {
  std::vector<faults::Trouble> troubles;
  add_troubles(robot.outputs, troubles);
  add_troubles(robot.inputs, troubles);
  for (const faults::Symptom s : faults::symptoms_of_the_robot()) troubles.push_back({{}, s});
  Pool pool;
  std::set<std::string> known;
  for (const faults::Trouble& t : troubles) {
    auto c = std::make_unique<Complained>();
    c->trouble = t;
    c->model = faults::robot_model(robot, rows, {{t}});
    c->likelihood = std::make_unique<find::Likelihood>(c->model.model);
    for (find::Index m = 0; m < c->model.model.modes.size(); ++m) {
      const std::string name = find::full_name(c->model.model, m);
      if (known.insert(name).second) pool.faults.push_back({name, c->model.faults[m], c->model.model.modes[m].prior});
    }
    pool.complaints.push_back(std::move(c));
  }
  return pool;
}

}  // namespace ringout::trial
