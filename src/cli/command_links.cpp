#include <fmt/format.h>

#include "cli/commands.h"
#include "cli/json_paper.h"
#include "os/port_list.h"

namespace ringout::cli {

Outcome run(const LinksCommand&, const Folders&, const Terminal& terminal) {
  std::vector<ReachableLink> links;
  for (const auto& port : os::list_serial_ports()) {
    std::string description = port.description;
    if (!port.usb_identity.empty()) description += fmt::format(" (USB {})", port.usb_identity);
    if (!port.serial_number.empty()) description += ", number " + port.serial_number;
    links.push_back({port.path, description, port.problem});
  }
  const std::size_t devices = links.size();
  links.push_back({"twin", "the robot as drawn, simulated with the agent in one process", {}});
  links.push_back({"twin:FILE", "the same with the deviations of a file", {}});
  links.push_back({"emulated", "the firmware on an emulated controller chip, wired to the simulated robot", {}});
  links.push_back({"emulated:FILE", "the same with the deviations of a file", {}});
  std::size_t widest = 0;
  for (const auto& link : links) widest = std::max(widest, link.on.size());
  std::string text = devices == 0 ? "no serial device is connected; simulated controllers:\n" : "";
  for (const auto& link : links) {
    text += "  " + padded(link.on, widest + 2) + link.description + "\n";
    if (!link.problem.empty()) text += "  " + padded("", widest + 2) + "cannot be opened: " + link.problem + "\n";
  }
  terminal.print(text);
  return {ExitStatus::in_order, json_links(links), {}};
}

}  // namespace ringout::cli
