#include "os/port_list.h"

#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <filesystem>

#include "os/files.h"
#include "os/serial_port.h"

namespace ringout::os {
namespace {

namespace fs = std::filesystem;

std::string first_line(const fs::path& file) {
  const auto text = read_text(file.string(), 4096);
  return text ? text->substr(0, text->find('\n')) : std::string();
}

// The USB device is one of the folders above the port's own device folder: the one that carries its identity.
fs::path usb_device_above(fs::path folder) {
  std::error_code ignored;
  for (int level = 0; level < 6 && folder.has_relative_path(); ++level) {
    if (fs::exists(folder / "idVendor", ignored)) return folder;
    folder = folder.parent_path();
  }
  return {};
}

// Legacy port numbers exist whether or not a chip answers; the kernel gives those without one the type 0.
bool has_hardware(const fs::path& port) {
  std::error_code ignored;
  if (!fs::exists(port / "device" / "driver", ignored)) return false;
  return first_line(port / "type") != "0";
}

// Newer kernels put devices of their own ("port", "ctrl") between a port and the driver that people know.
std::string driver_above(fs::path device) {
  std::error_code ignored;
  for (int level = 0; level < 6 && device.has_relative_path(); ++level) {
    const std::string name = fs::canonical(device / "driver", ignored).filename().string();
    if (!name.empty() && name != "port" && name != "ctrl") return name;
    device = device.parent_path();
  }
  return {};
}

PortSeen describe(const fs::path& port, const fs::path& device_file) {
  std::error_code ignored;
  PortSeen seen;
  seen.path = device_file.string();
  if (access(seen.path.c_str(), R_OK | W_OK) != 0) seen.problem = opening_error(seen.path, errno).message;
  const fs::path device = fs::canonical(port / "device", ignored);
  const fs::path usb = usb_device_above(device);
  if (usb.empty()) {
    seen.description = driver_above(device);
    return seen;
  }
  seen.usb_identity = first_line(usb / "idVendor") + ":" + first_line(usb / "idProduct");
  seen.serial_number = first_line(usb / "serial");
  const std::string maker = first_line(usb / "manufacturer");
  const std::string product = first_line(usb / "product");
  seen.description = maker.empty() || product.empty() ? maker + product : maker + ", " + product;
  return seen;
}

}  // namespace

std::vector<PortSeen> list_serial_ports(const std::string& system_folder, const std::string& device_folder) {
  std::vector<PortSeen> found;
  std::error_code error;
  for (const auto& entry : fs::directory_iterator(system_folder, error)) {
    const fs::path device_file = fs::path(device_folder) / entry.path().filename();
    std::error_code ignored;
    if (!has_hardware(entry.path()) || !fs::exists(device_file, ignored)) continue;
    found.push_back(describe(entry.path(), device_file));
  }
  std::sort(found.begin(), found.end(), [](const PortSeen& a, const PortSeen& b) { return a.path < b.path; });
  return found;
}

}  // namespace ringout::os
