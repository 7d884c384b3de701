#include "prove/unclear.h"

#include <fmt/format.h>

namespace ringout::prove {

namespace {

std::string may_be(Condition c, const std::string& name) {
  switch (c) {
    case Condition::answers:
      return fmt::format("{} is as drawn", name);
    case Condition::weak:
      return fmt::format("{} moves too little (friction, load, another motor, gear or sensor, a worn motor)", name);
    case Condition::strong:
      return fmt::format("{} does more than drawn (another device, gear or sensor)", name);
    case Condition::intermittent:
      return fmt::format("the lead of {} comes and goes (move it while it is watched)", name);
    case Condition::jammed:
      return fmt::format("{} is held (supply off, turn it by hand)", name);
    case Condition::drags:
      return fmt::format("{} drags (supply off, turn it by hand)", name);
    case Condition::slips:
      return fmt::format("the coupling of {} slips (set screw, key, belt, gear)", name);
    case Condition::shorted:
      return fmt::format("the leads of {} touch (unplug it and measure across them)", name);
    case Condition::no_current:
      return fmt::format("no current reaches {}", name);
    case Condition::silent:
      return fmt::format("{} says nothing", name);
    case Condition::one_channel_dead:
      return fmt::format("one channel of {} is dead", name);
    case Condition::stuck:
      return fmt::format("{} does not follow", name);
    case Condition::other_motor:
      return fmt::format("{} is another motor than drawn", name);
    case Condition::something_else:
      return fmt::format("what answers for {} is not drawn", name);
    case Condition::untested:
      break;
  }
  return fmt::format("{} was not tested", name);
}

}  // namespace

std::string unclear_words(const Finding& f) {
  std::string words = fmt::format("prove {} again: the answer was not clear", f.point);
  if (f.or_else.empty() && f.condition == Condition::answers) return words;
  words += (f.or_else.empty() ? "; perhaps " : "; ") + may_be(f.condition, f.point);
  for (const Condition c : f.or_else) words += ", or " + may_be(c, f.point);
  return words;
}

}  // namespace ringout::prove
