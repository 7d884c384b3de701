#include "find/robot/complaint.h"

#include <array>

#include "base/check.h"

namespace ringout::faults {

namespace {

struct Named {
  Symptom symptom;
  std::string_view name;
  std::string_view words;
};
constexpr std::array<Named, 9> names{{{Symptom::nothing, "nothing", "does nothing"},
                                      {Symptom::wrong_way, "wrong way", "moves the wrong way"},
                                      {Symptom::another_acts, "another acts", "another thing acts instead"},
                                      {Symptom::weak, "weak", "is weak or slow"},
                                      {Symptom::stops, "stops", "stops by itself"},
                                      {Symptom::unasked, "unasked", "acts without being told"},
                                      {Symptom::unchanging, "unchanging", "does not change"},
                                      {Symptom::reads_wrong, "reads wrong", "reads wrong"},
                                      {Symptom::nothing_answers, "nothing answers", "nothing at all answers"}}};

}  // namespace

std::string_view name_of(Symptom symptom) {
  for (const Named& n : names) {
    if (n.symptom == symptom) return n.name;
  }
  RINGOUT_CHECK(false);
}

std::string_view words_of(Symptom symptom) {
  for (const Named& n : names) {
    if (n.symptom == symptom) return n.words;
  }
  RINGOUT_CHECK(false);
}

std::optional<Symptom> symptom_named(std::string_view name) {
  for (const Named& n : names) {
    if (n.name == name) return n.symptom;
  }
  return std::nullopt;
}

std::vector<Symptom> symptoms_of(robot::PointKind kind) {
  if (!robot::is_output(kind)) return {Symptom::unchanging, Symptom::reads_wrong};
  if (kind == robot::PointKind::bridge_motor || kind == robot::PointKind::servo)
    return {Symptom::nothing, Symptom::wrong_way, Symptom::another_acts,
            Symptom::weak,    Symptom::stops,     Symptom::unasked};
  return {Symptom::nothing, Symptom::another_acts, Symptom::weak, Symptom::stops, Symptom::unasked};
}

std::vector<Symptom> symptoms_of_the_robot() {
  return {Symptom::nothing_answers};
}

}  // namespace ringout::faults
