#include "reach/link_name.h"

#include "base/diagnostic.h"

namespace ringout::reach {
namespace {

Result<LinkName> simulated(LinkTo to, const std::string& text, std::size_t word) {
  LinkName name{to, {}, std::nullopt};
  if (text.size() == word) return name;
  if (text.size() == word + 1) {
    return failure(ErrorKind::bad_input, "link.deviations-missing", "no deviations file after the colon of " + text,
                   "write " + text + "FILE.toml, or " + text.substr(0, word) + " for the robot as drawn");
  }
  name.deviations = text.substr(word + 1);
  return name;
}

std::string advice(const std::string& text, const std::vector<std::string>& ports) {
  for (const std::string& port : ports) {
    if (port.ends_with("/" + text)) return "did you mean " + port + "?";
  }
  std::vector<std::string> candidates{"none", "twin", "emulated"};
  candidates.insert(candidates.end(), ports.begin(), ports.end());
  const std::size_t colon = text.find(':');
  const std::string near = nearest(text.substr(0, colon), candidates);
  const bool takes_file = near == "twin" || near == "emulated";
  if (!near.empty() && (takes_file || colon == std::string::npos)) {
    return "did you mean " + near + (colon == std::string::npos ? "" : text.substr(colon)) + "?";
  }
  std::string all = "write a serial device's path, twin, twin:FILE.toml, emulated, emulated:FILE.toml or none";
  if (!ports.empty()) all += "; serial devices here:";
  for (const std::string& port : ports) all += " " + port;
  return all;
}

}  // namespace

Result<LinkName> read_link_name(const std::string& text, const std::vector<std::string>& ports) {
  if (text == "none") return LinkName{};
  const auto is_word = [&](const std::string& word) { return text == word || text.starts_with(word + ":"); };
  if (is_word("twin")) return simulated(LinkTo::twin, text, 4);
  if (is_word("emulated")) return simulated(LinkTo::emulated, text, 8);
  if (text.find('/') != std::string::npos && text.find(':') == std::string::npos) {
    return LinkName{LinkTo::serial_port, text, std::nullopt};
  }
  // A path with a colon is a device only where it is an absolute one: /dev/serial/by-path names have them.
  if (text.starts_with("/")) return LinkName{LinkTo::serial_port, text, std::nullopt};
  return failure(ErrorKind::bad_input, "link.unknown-name", "there is no link named " + (text.empty() ? "\"\"" : text),
                 advice(text, ports));
}

}  // namespace ringout::reach
