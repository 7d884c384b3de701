#include "os/port_list.h"

#include <doctest/doctest.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>

#include "os/files.h"

using namespace ringout::os;
namespace fs = std::filesystem;

namespace {

// A small copy of the kernel's tree: a USB port, legacy ports with a chip, without one and without a device file, and a
// virtual console.
struct Tree {
  Tree() {
    std::string name = (fs::temp_directory_path() / "ringout-ports-XXXXXX").string();
    REQUIRE(mkdtemp(name.data()) != nullptr);
    root = name;
    put("devices/usb1/1-2/idVendor", "1209\n");
    put("devices/usb1/1-2/idProduct", "0001\n");
    put("devices/usb1/1-2/manufacturer", "Seed nursery\n");
    put("devices/usb1/1-2/product", "Carrier board\n");
    put("devices/usb1/1-2/serial", "A17\n");
    fs::create_directories(root / "drivers/cdc_acm");
    fs::create_directories(root / "drivers/serial8250");
    port("ttyACM0", "devices/usb1/1-2/1-2:1.0", "cdc_acm");
    fs::create_directories(root / "drivers/port");
    port("ttyS0", "devices/serial0/00:01.0", "port");
    fs::create_directory_symlink(root / "drivers/serial8250", root / "devices/serial0/driver");
    put("class/ttyS0/type", "4\n");
    port("ttyS1", "devices/serial1", "serial8250");
    put("class/ttyS1/type", "0\n");
    port("ttyS2", "devices/serial2", "serial8250");
    put("class/ttyS2/type", "4\n");
    fs::create_directories(root / "class/tty7");
    for (const char* file : {"ttyACM0", "ttyS0", "ttyS1", "tty7"}) put(std::string("dev/") + file, "");
  }
  ~Tree() { fs::remove_all(root); }
  void put(const std::string& file, const std::string& text) {
    REQUIRE(write_atomically((root / file).string(), text).has_value());
  }
  void port(const std::string& name, const std::string& device, const std::string& driver) {
    fs::create_directories(root / device);
    fs::create_directories(root / "class" / name);
    fs::create_directory_symlink(root / device, root / "class" / name / "device");
    fs::create_directory_symlink(root / "drivers" / driver, root / device / "driver");
  }
  std::vector<PortSeen> ports() const { return list_serial_ports((root / "class").string(), (root / "dev").string()); }
  fs::path root;
};

}  // namespace

TEST_CASE("ports with hardware behind them are listed with their identity") {
  const Tree tree;
  const auto ports = tree.ports();
  REQUIRE(ports.size() == 2);
  CHECK(ports[0].path == (tree.root / "dev/ttyACM0").string());
  CHECK(ports[0].usb_identity == "1209:0001");
  CHECK(ports[0].serial_number == "A17");
  CHECK(ports[0].description == "Seed nursery, Carrier board");
  CHECK(ports[1].path == (tree.root / "dev/ttyS0").string());
  CHECK(ports[1].usb_identity.empty());
  CHECK(ports[1].description == "serial8250");
}

TEST_CASE("a port that may not be opened is listed with the reason") {
  const Tree tree;
  CHECK(tree.ports().at(0).problem.empty());
  fs::permissions(tree.root / "dev/ttyACM0", fs::perms::none);
  const std::string problem = tree.ports().at(0).problem;
  const bool may_all = geteuid() == 0;  // the superuser may open it all the same
  CHECK((problem.find("no permission") != std::string::npos) == !may_all);
}

TEST_CASE("a machine without the kernel's tree has no ports") {
  CHECK(list_serial_ports("/nowhere").empty());
}
