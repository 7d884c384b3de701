#include "prove/finding.h"

namespace ringout::prove {

const char* name_of(Condition condition) {
  switch (condition) {
    case Condition::answers:
      return "answers";
    case Condition::weak:
      return "weak";
    case Condition::strong:
      return "strong";
    case Condition::other_motor:
      return "another motor";
    case Condition::intermittent:
      return "intermittent";
    case Condition::jammed:
      return "jammed";
    case Condition::drags:
      return "drags";
    case Condition::slips:
      return "slips";
    case Condition::shorted:
      return "shorted";
    case Condition::no_current:
      return "no current";
    case Condition::silent:
      return "silent";
    case Condition::one_channel_dead:
      return "one channel dead";
    case Condition::stuck:
      return "stuck";
    case Condition::something_else:
      return "something else";
    case Condition::untested:
      return "untested";
  }
  return "untested";
}

const char* name_of(Sign sign) {
  switch (sign) {
    case Sign::as_drawn:
      return "as drawn";
    case Sign::reversed:
      return "reversed";
    case Sign::unknown:
      return "unknown";
  }
  return "unknown";
}

}  // namespace ringout::prove
