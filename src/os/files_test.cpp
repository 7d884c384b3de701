#include "os/files.h"

#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/stat.h>

#include <cstdlib>
#include <filesystem>

#include "os/descriptor.h"

using namespace ringout;
using namespace ringout::os;
namespace fs = std::filesystem;

namespace {

struct Folder {
  Folder() {
    std::string name = (fs::temp_directory_path() / "ringout-files-XXXXXX").string();
    REQUIRE(mkdtemp(name.data()) != nullptr);
    path = name;
  }
  ~Folder() { fs::remove_all(path); }
  [[nodiscard]] std::string operator/(const std::string& name) const { return (path / name).string(); }
  fs::path path;
};

}  // namespace

TEST_CASE("what was written is read back, folders are made, nothing else is left behind") {
  const Folder folder;
  const std::string file = folder / ".ringout/found.txt";
  REQUIRE(write_atomically(file, "first").has_value());
  REQUIRE(write_atomically(file, std::string_view("second\0line", 11)).has_value());
  const auto text = read_text(file);
  REQUIRE(text.has_value());
  CHECK(*text == std::string("second\0line", 11));
  CHECK(files_in((folder.path / ".ringout").string(), "").size() == 1);
  struct stat about {};
  REQUIRE(stat(file.c_str(), &about) == 0);
  CHECK((about.st_mode & S_IRUSR) != 0);
  CHECK((about.st_mode & S_IXUSR) == 0);
}

TEST_CASE("an empty file and one at its limit are read, one beyond is refused") {
  const Folder folder;
  REQUIRE(write_atomically(folder / "empty", "").has_value());
  CHECK(read_text(folder / "empty").value() == "");
  REQUIRE(write_atomically(folder / "full", std::string(1000, 'x')).has_value());
  CHECK(read_text(folder / "full", 1000).value().size() == 1000);
  const auto beyond = read_text(folder / "full", 999);
  REQUIRE_FALSE(beyond.has_value());
  CHECK(beyond.error().id == "file.too-large");
  CHECK(read_bytes(folder / "full", 1000).value().at(999) == 'x');
}

TEST_CASE("missing files, folders and unwritable places are said plainly") {
  const Folder folder;
  const auto missing = read_text(folder / "robot.toml");
  REQUIRE_FALSE(missing.has_value());
  CHECK(missing.error().id == "file.not-found");
  CHECK(missing.error().kind == ErrorKind::bad_input);
  CHECK(read_text(folder.path.string()).error().id == "file.is-a-folder");
  REQUIRE(write_atomically(folder / "plain", "x").has_value());
  CHECK(write_atomically(folder / "plain/inside", "x").error().id == "file.cannot-write");
}

TEST_CASE("a failed write leaves the old file whole") {
  const Folder folder;
  REQUIRE(write_atomically(folder / "kept", "old").has_value());
  fs::create_directory(folder / "taken");
  CHECK_FALSE(write_atomically(folder / "taken", "x").has_value());
  CHECK(read_text(folder / "kept").value() == "old");
  CHECK(files_in(folder.path.string(), "").size() == 1);
}

TEST_CASE("files of a folder come sorted and by ending") {
  const Folder folder;
  for (const char* name : {"b.toml", "a.toml", "c.txt"}) REQUIRE(write_atomically(folder / name, "x").has_value());
  CHECK(files_in(folder.path.string(), ".toml") == std::vector<std::string>{folder / "a.toml", folder / "b.toml"});
  CHECK(files_in(folder / "nowhere", ".toml").empty());
}

TEST_CASE("a file is locked by whoever opened it first, until that descriptor is closed") {
  const Folder folder;
  const std::string file = folder / "a.case";
  REQUIRE(write_atomically(file, "one").has_value());
  Descriptor first(::open(file.c_str(), O_RDWR | O_CLOEXEC));
  const Descriptor second(::open(file.c_str(), O_RDWR | O_CLOEXEC));
  CHECK(lock_alone(first.get()) == Locked::yes);
  CHECK(lock_alone(first.get()) == Locked::yes);
  CHECK(lock_alone(second.get()) == Locked::by_another);
  first.close();
  CHECK(lock_alone(second.get()) == Locked::yes);
  CHECK(lock_alone(-1) == Locked::not_to_be_had);
}
