#include "desk/reach.h"

#include <algorithm>
#include <iterator>
#include <numeric>

namespace ringout::desk {
namespace {

std::vector<std::size_t> all_of(std::size_t n) {
  std::vector<std::size_t> indices(n);
  std::iota(indices.begin(), indices.end(), std::size_t{0});
  return indices;
}

// "KIND.NAME." at the start of the path.
bool is_of(std::string_view path, std::string_view kind, std::string_view name) {
  return path.size() > kind.size() + name.size() + 1 && path.starts_with(kind) && path[kind.size()] == '.' &&
         path.substr(kind.size() + 1).starts_with(name) && path[kind.size() + 1 + name.size()] == '.';
}

bool on_in(const CaseSetting& setting, const std::vector<std::size_t>& outputs) {
  return std::any_of(outputs.begin(), outputs.end(),
                     [&](std::size_t o) { return setting.outputs[o].loading != robot::Loading::off; });
}

// Figures that a settled current does not depend on: a motor's heat and inertia, what a battery holds.
bool only_in_time(std::string_view path) {
  constexpr std::string_view ends[] = {".rotor_inertia", ".mechanism.inertia", ".capacity", ".peukert_exponent"};
  return path.find(".heat.") != std::string_view::npos ||
         std::any_of(std::begin(ends), std::end(ends), [&](std::string_view end) { return path.ends_with(end); });
}

class Reach {
 public:
  Reach(const robot::Robot& robot, const std::vector<PlannedCase>& planned) : robot_(robot), planned_(planned) {}

  [[nodiscard]] Touched of(std::string_view path) const {
    for (std::size_t c = 0; c < robot_.load_cases.size(); ++c) {
      if (is_of(path, "load_case", robot_.load_cases[c].name)) return of_load_case(c, path);
    }
    for (std::size_t d = 0; d < robot_.duty_cycles.size(); ++d) {
      if (is_of(path, "duty_cycle", robot_.duty_cycles[d].name)) return {{}, {}, {d}};
    }
    if (path.starts_with("input.")) return {};  // no sensor's wire carries current that counts here
    std::vector<std::size_t> outputs;
    for (std::size_t o = 0; o < robot_.outputs.size(); ++o) {
      const robot::Output& output = robot_.outputs[o];
      const bool its_own = is_of(path, "output", output.name) || is_of(path, "device", output.device) ||
                           is_of(path, "device", output.connector) || is_of(path, "board.port", output.port);
      if (its_own) outputs.push_back(o);
    }
    if (!outputs.empty() || path.starts_with("board.port.")) {
      Touched touched = of_outputs(std::move(outputs));
      if (only_in_time(path)) touched.cases.clear();
      return touched;
    }
    if (only_in_time(path)) return {{}, {}, all_of(robot_.duty_cycles.size())};
    return {all_of(planned_.size()), all_of(robot_.outputs.size()), all_of(robot_.duty_cycles.size())};
  }

 private:
  // The hottest ambient of all cases is in every wire's limit.
  [[nodiscard]] Touched of_load_case(std::size_t index, std::string_view path) const {
    Touched touched;
    const bool ambient = path.ends_with(".ambient");
    for (std::size_t c = 0; c < planned_.size(); ++c) {
      if (ambient || planned_[c].file_case == index) touched.cases.push_back(c);
    }
    return touched;
  }

  [[nodiscard]] Touched of_outputs(std::vector<std::size_t> outputs) const {
    Touched touched;
    for (std::size_t c = 0; c < planned_.size(); ++c) {
      if (on_in(planned_[c].setting, outputs)) touched.cases.push_back(c);
    }
    for (std::size_t d = 0; d < robot_.duty_cycles.size(); ++d) {
      const auto& steps = robot_.duty_cycles[d].steps;
      const bool used = std::any_of(steps.begin(), steps.end(), [&](const robot::DutyStep& step) {
        return std::any_of(step.loads.begin(), step.loads.end(), [&](const robot::OutputLoad& load) {
          return std::any_of(outputs.begin(), outputs.end(),
                             [&](std::size_t o) { return robot_.outputs[o].name == load.output; });
        });
      });
      if (used) touched.duties.push_back(d);
    }
    touched.outputs = std::move(outputs);
    return touched;
  }

  const robot::Robot& robot_;
  const std::vector<PlannedCase>& planned_;
};

}  // namespace

Touched reach_of(const robot::Robot& robot, const std::vector<PlannedCase>& planned, std::string_view path) {
  return Reach(robot, planned).of(path);
}

}  // namespace ringout::desk
