#include "os/child_process.h"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>

#include "os/clock.h"

namespace ringout::os {
namespace {

enum class ErrorOutput { ours, joined };

Result<pid_t> spawn(const std::vector<std::string>& words, int line, ErrorOutput error_output) {
  std::vector<char*> arguments;
  for (const std::string& word : words) arguments.push_back(const_cast<char*>(word.c_str()));
  arguments.push_back(nullptr);
  posix_spawn_file_actions_t actions;
  posix_spawn_file_actions_init(&actions);
  posix_spawn_file_actions_adddup2(&actions, line, STDIN_FILENO);
  posix_spawn_file_actions_adddup2(&actions, line, STDOUT_FILENO);
  if (error_output == ErrorOutput::joined) posix_spawn_file_actions_adddup2(&actions, line, STDERR_FILENO);
  // A group of its own: an interrupt at the terminal is for us to pass on in order, not for both at once.
  posix_spawnattr_t attributes;
  posix_spawnattr_init(&attributes);
  posix_spawnattr_setflags(&attributes, POSIX_SPAWN_SETPGROUP);
  posix_spawnattr_setpgroup(&attributes, 0);
  pid_t id = 0;
  const int error = posix_spawnp(&id, words[0].c_str(), &actions, &attributes, arguments.data(), environ);
  posix_spawnattr_destroy(&attributes);
  posix_spawn_file_actions_destroy(&actions);
  if (error == ENOENT) {
    return failure(ErrorKind::bad_input, "child.not-found", "there is no program " + words[0]);
  }
  if (error != 0) {
    return failure(ErrorKind::bad_input, "child.cannot-start",
                   "cannot start " + words[0] + ": " + std::strerror(error));
  }
  return id;
}

struct Line {
  Descriptor ours;
  Descriptor theirs;
};

Result<Line> make_line() {
  std::array<int, 2> ends{};
  if (socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, ends.data()) != 0) {
    return failure(ErrorKind::unreachable, "child.no-line", std::string("cannot make a pipe: ") + std::strerror(errno));
  }
  return Line{Descriptor(ends[0]), Descriptor(ends[1])};
}

Ended collect(pid_t id) {
  int status = 0;
  while (waitpid(id, &status, 0) < 0 && errno == EINTR) {
  }
  if (WIFEXITED(status)) return {WEXITSTATUS(status), std::nullopt};
  return {std::nullopt, WTERMSIG(status)};
}

}  // namespace

ChildProcess::ChildProcess(pid_t id, Descriptor line, std::string name)
    : id_(id),
      line_(std::move(line)),
      watch_(static_cast<int>(syscall(SYS_pidfd_open, id, 0))),
      name_(std::move(name)) {}

ChildProcess& ChildProcess::operator=(ChildProcess&& other) noexcept {
  if (this == &other) return *this;
  if (watch_.open()) stop();
  id_ = other.id_;
  line_ = std::move(other.line_);
  watch_ = std::move(other.watch_);
  name_ = std::move(other.name_);
  return *this;
}

ChildProcess::~ChildProcess() {
  if (watch_.open()) stop();
}

Result<ChildProcess> ChildProcess::start(const std::vector<std::string>& words) {
  auto line = make_line();
  if (!line) return tl::unexpected(line.error());
  const auto id = spawn(words, line->theirs.get(), ErrorOutput::ours);
  if (!id) return tl::unexpected(id.error());
  ChildProcess child(*id, std::move(line->ours), words[0]);
  if (!child.watch_.open()) {
    ::kill(*id, SIGKILL);
    collect(*id);
    return failure(ErrorKind::unreachable, "child.cannot-start", "cannot watch over " + words[0]);
  }
  return child;
}

Error ChildProcess::gone() const {
  return {ErrorKind::unreachable, "child.gone", name_ + " has ended", "what it printed last says why"};
}

Result<void> ChildProcess::write(std::span<const std::uint8_t> bytes) {
  while (!bytes.empty()) {
    const ssize_t put = send(line_.get(), bytes.data(), bytes.size(), MSG_NOSIGNAL);
    if (put < 0 && errno == EINTR) continue;
    if (put < 0) return tl::unexpected(gone());
    bytes = bytes.subspan(static_cast<std::size_t>(put));
  }
  return {};
}

Result<std::vector<std::uint8_t>> ChildProcess::read_exactly(std::size_t count, Instant deadline) {
  std::vector<std::uint8_t> all(count);
  std::size_t done = 0;
  while (done < count) {
    const ssize_t got = recv(line_.get(), all.data() + done, count - done, MSG_DONTWAIT);
    if (got > 0) {
      done += static_cast<std::size_t>(got);
      continue;
    }
    if (got < 0 && errno == EINTR) continue;
    if (got == 0 || errno != EAGAIN) return tl::unexpected(gone());
    switch (wait_readable(line_.get(), deadline)) {
      case Readiness::readable:
        break;
      case Readiness::closed:
        return tl::unexpected(gone());
      case Readiness::deadline:
        return failure(ErrorKind::unreachable, "child.silent", name_ + " does not answer");
    }
  }
  return all;
}

bool ChildProcess::ended_before(Instant deadline) {
  return wait_readable(watch_.get(), deadline) != Readiness::deadline;
}

Ended ChildProcess::stop(Duration patience) {
  line_.close();
  if (!ended_before(monotonic_now() + patience)) {
    ::kill(id_, SIGTERM);
    if (!ended_before(monotonic_now() + patience)) ::kill(id_, SIGKILL);
  }
  watch_.close();
  return collect(id_);
}

Result<Finished> run_to_end(const std::vector<std::string>& words, Duration patience, std::size_t limit) {
  auto line = make_line();
  if (!line) return tl::unexpected(line.error());
  const auto id = spawn(words, line->theirs.get(), ErrorOutput::joined);
  if (!id) return tl::unexpected(id.error());
  line->theirs.close();
  shutdown(line->ours.get(), SHUT_WR);
  const Instant deadline = monotonic_now() + patience;
  Finished finished;
  while (true) {
    std::array<char, 4096> buffer;
    const ssize_t got = recv(line->ours.get(), buffer.data(), buffer.size(), MSG_DONTWAIT);
    if (got > 0) {
      const std::size_t room = limit - finished.output.size();
      finished.output.append(buffer.data(), std::min(room, static_cast<std::size_t>(got)));
      continue;
    }
    if (got == 0 || (errno != EAGAIN && errno != EINTR)) break;
    if (wait_readable(line->ours.get(), deadline) == Readiness::deadline) {
      ::kill(-*id, SIGKILL);  // the group we made for it: what it started ends with it
      break;
    }
  }
  finished.how = collect(*id);
  return finished;
}

}  // namespace ringout::os
