// Servos, lights and bus devices: the agent neither drives nor reads them, so that a person who has seen one act under
// the team's program, or with its own tester, is all that proves it.
#include "prove/hand_proof.h"
#include "session/session.h"

namespace ringout::session {
namespace {

struct Undriven {
  std::string point;
  robot::PointKind kind;
  std::string port;
  std::string as_drawn;  // what a person sees or hears; may be empty
};

std::vector<Undriven> undriven_points(const robot::Robot& robot) {
  std::vector<Undriven> all;
  for (const robot::Output& o : robot.outputs) {
    if (!robot::agent_works(o.kind))
      all.push_back({o.name, o.kind, o.port, o.positive_means.empty() ? o.visible_sign : o.positive_means});
  }
  for (const robot::Input& i : robot.inputs) {
    if (!robot::agent_works(i.kind)) all.push_back({i.name, i.kind, i.port, ""});
  }
  return all;
}

Question question_of(const Undriven& u) {
  return {.id = "acts." + u.point,
          .topic = Topic::seen_before,
          .text = "'" + u.point + "' is a " + robot::name_of(u.kind) + " on " + u.port +
                  ", which the controller does not work by itself. Has somebody seen it act as drawn" +
                  (u.as_drawn.empty() ? "" : " (a positive value: " + u.as_drawn + ")") +
                  ", under the team's program or with a tester of its own?",
          .choices = {{"yes", "yes, as drawn"}, {"no", "it was tried and does not"}, {"not_yet", "not yet"}},
          .unless_said = "not_yet"};
}

}  // namespace

Result<void> Session::ask_of_undriven(Proving& proving) {
  for (const Undriven& u : undriven_points(setup_.robot)) {
    const Result<std::string> answer = ask(question_of(u));
    if (!answer) return tl::unexpected<Error>(answer.error());
    if (*answer == "not_yet") continue;
    const bool acts = *answer == "yes";
    tell(PersonTold{.point = u.point, .acts = acts});
    proving.told.push_back(prove::told_by_person(u.point, u.port, acts));
  }
  return {};
}

}  // namespace ringout::session
