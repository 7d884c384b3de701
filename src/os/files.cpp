#include "os/files.h"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <filesystem>

#include "os/descriptor.h"

namespace ringout::os {
namespace {

namespace fs = std::filesystem;

tl::unexpected<Error> cannot_read(const std::string& path, int error) {
  if (error == ENOENT) {
    return failure(ErrorKind::bad_input, "file.not-found", "there is no file " + path,
                   "check the path; it is taken from the folder the command runs in");
  }
  if (error == EACCES) {
    return failure(ErrorKind::bad_input, "file.permission-denied", "no permission to read " + path);
  }
  return failure(ErrorKind::bad_input, "file.cannot-read", "cannot read " + path + ": " + std::strerror(error));
}

tl::unexpected<Error> cannot_write(const std::string& path, int error) {
  return failure(ErrorKind::bad_input, "file.cannot-write", "cannot write " + path + ": " + std::strerror(error),
                 "check the folder's permissions and the space left on the disk");
}

template <class Bytes>
Result<Bytes> read_whole(const std::string& path, std::size_t limit) {
  const Descriptor file(::open(path.c_str(), O_RDONLY | O_CLOEXEC));
  if (!file.open()) return cannot_read(path, errno);
  struct stat about {};
  if (fstat(file.get(), &about) != 0) return cannot_read(path, errno);
  if (S_ISDIR(about.st_mode)) {
    return failure(ErrorKind::bad_input, "file.is-a-folder", path + " is a folder, not a file");
  }
  Bytes all;
  while (true) {
    const std::size_t old = all.size();
    all.resize(old + 65536);
    const ssize_t got = ::read(file.get(), all.data() + old, 65536);
    if (got < 0 && errno == EINTR) {
      all.resize(old);
      continue;
    }
    if (got < 0) return cannot_read(path, errno);
    all.resize(old + static_cast<std::size_t>(got));
    if (all.size() > limit) {
      return failure(ErrorKind::bad_input, "file.too-large",
                     path + " is larger than the " + std::to_string(limit) + " bytes such a file may have");
    }
    if (got == 0) return all;
  }
}

}  // namespace

Result<std::string> read_text(const std::string& path, std::size_t limit) {
  return read_whole<std::string>(path, limit);
}

Result<std::vector<std::uint8_t>> read_bytes(const std::string& path, std::size_t limit) {
  return read_whole<std::vector<std::uint8_t>>(path, limit);
}

Result<void> write_atomically(const std::string& path, std::span<const std::uint8_t> bytes) {
  const fs::path target(path);
  std::error_code made;
  if (target.has_parent_path()) fs::create_directories(target.parent_path(), made);
  if (made) return cannot_write(path, made.value());

  std::string name = path + ".XXXXXX";
  Descriptor file(mkostemp(name.data(), O_CLOEXEC));
  if (!file.open()) return cannot_write(path, errno);
  const auto give_up = [&](int error) {
    ::unlink(name.c_str());
    return cannot_write(path, error);
  };
  std::size_t done = 0;
  while (done < bytes.size()) {
    const ssize_t put = ::write(file.get(), bytes.data() + done, bytes.size() - done);
    if (put < 0 && errno == EINTR) continue;
    if (put < 0) return give_up(errno);
    done += static_cast<std::size_t>(put);
  }
  // A temporary file is private by default; the target gets what any new file of this person would get.
  const mode_t mask = ::umask(0);
  ::umask(mask);
  if (fchmod(file.get(), 0666 & ~mask) != 0) return give_up(errno);
  if (fsync(file.get()) != 0) return give_up(errno);
  file.close();
  if (std::rename(name.c_str(), path.c_str()) != 0) return give_up(errno);
  return {};
}

Result<void> write_atomically(const std::string& path, std::string_view text) {
  return write_atomically(path, std::span(reinterpret_cast<const std::uint8_t*>(text.data()), text.size()));
}

Locked lock_alone(int descriptor) {
  int failed = 0;
  do {
    failed = ::flock(descriptor, LOCK_EX | LOCK_NB);
  } while (failed != 0 && errno == EINTR);
  if (failed == 0) return Locked::yes;
  return errno == EWOULDBLOCK ? Locked::by_another : Locked::not_to_be_had;
}

bool is_file(const std::string& path) {
  std::error_code ignored;
  return fs::is_regular_file(path, ignored);
}

bool is_folder(const std::string& path) {
  std::error_code ignored;
  return fs::is_directory(path, ignored);
}

std::vector<std::string> files_in(const std::string& folder, std::string_view ending) {
  std::vector<std::string> found;
  std::error_code error;
  for (const auto& entry : fs::directory_iterator(folder, error)) {
    std::error_code ignored;
    const std::string name = entry.path().filename().string();
    if (name.ends_with(ending) && entry.is_regular_file(ignored)) found.push_back(entry.path().string());
  }
  std::sort(found.begin(), found.end());
  return found;
}

}  // namespace ringout::os
