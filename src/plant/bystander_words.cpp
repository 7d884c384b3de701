#include "plant/bystander_words.h"

#include <sstream>

namespace ringout::plant {
namespace {

std::string answer(const Result<void>& done, const std::string& said) {
  return done ? said : "cannot: " + done.error().message;
}

std::string describe(const std::vector<Seen>& all) {
  if (all.empty()) return "nothing moved";
  std::string text;
  for (const Seen& seen : all) {
    std::ostringstream line;
    line << seen.point;
    if (seen.direction == 0) {
      line << " was on for " << seen.amount << " s";
    } else {
      line << " moved " << (seen.direction > 0 ? "its positive way, " : "its negative way, ") << seen.amount;
    }
    if (!text.empty()) text += '\n';
    text += line.str();
  }
  return text;
}

}  // namespace

std::string follow(Bystander& bystander, const std::string& line) {
  std::istringstream words(line);
  std::string verb, object, more;
  words >> verb >> object >> more;
  if (verb.empty()) return {};
  const bool one_object = !object.empty() && more.empty();
  if (verb == "press" && one_object) return answer(bystander.work_by_hand(object, true), "pressed " + object);
  if (verb == "release" && one_object) return answer(bystander.work_by_hand(object, false), "released " + object);
  if (verb == "open" && object == "disconnect" && more.empty()) {
    return answer(bystander.open_disconnect(true), "disconnect open");
  }
  if (verb == "close" && object == "disconnect" && more.empty()) {
    return answer(bystander.open_disconnect(false), "disconnect closed");
  }
  if (verb == "reset" && one_object) return answer(bystander.reset_breaker(object), "reset " + object);
  if (verb == "look" && object.empty()) {
    const auto seen = bystander.look();
    return seen ? describe(*seen) : "cannot: " + seen.error().message;
  }
  return "not understood: write press NAME, release NAME, open disconnect, close disconnect, reset NAME or look";
}

}  // namespace ringout::plant
