#include "agent/ports/host/program_process.h"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <utility>

namespace ringout {
namespace {

using program_talk::Kind;
using program_talk::Message;

// Processor time that a process has used so far.
std::int64_t processor_time_ns(pid_t process) {
  clockid_t clock{};
  timespec used{};
  if (clock_getcpuclockid(process, &clock) != 0 || clock_gettime(clock, &used) != 0) return 0;
  return static_cast<std::int64_t>(used.tv_sec) * 1'000'000'000 + used.tv_nsec;
}

// A process that sleeps, or is stopped, while a call is due from it: it waits for something that is not ours.
bool sleeps(pid_t process) {
  const std::string path = "/proc/" + std::to_string(process) + "/stat";
  std::FILE* file = std::fopen(path.c_str(), "r");
  if (file == nullptr) return false;
  char text[512] = {};
  const std::size_t size = std::fread(text, 1, sizeof text - 1, file);
  std::fclose(file);
  const char* after_name = size > 0 ? std::strrchr(text, ')') : nullptr;
  return after_name != nullptr && (after_name[2] == 'S' || after_name[2] == 'T');
}

// In the child, between fork and exec: only what is allowed there.
[[noreturn]] void become(const char* executable, char** surroundings, int own_end) {
  ::fcntl(own_end, F_SETFD, 0);  // this one stays open
  char* const arguments[] = {const_cast<char*>(executable), nullptr};
  ::execve(executable, arguments, surroundings);
  ::_exit(127);
}

}  // namespace

ProgramProcess::~ProgramProcess() {
  stop();
}

ProgramProcess::State ProgramProcess::fail(std::string why) {
  stop();
  problem_ = std::move(why);
  state_ = State::absent;
  return state_;
}

ProgramProcess::State ProgramProcess::open(const std::string& executable) {
  stop();
  problem_.clear();
  points_.clear();
  if (::access(executable.c_str(), X_OK) != 0) return fail(executable + ": " + std::strerror(errno));
  int ends[2];
  if (::socketpair(AF_UNIX, SOCK_SEQPACKET | SOCK_CLOEXEC, 0, ends) != 0) return fail(std::strerror(errno));

  std::string variable = std::string(program_talk::socket_variable) + "=" + std::to_string(ends[1]);
  std::vector<char*> surroundings;
  for (char** entry = environ; *entry != nullptr; ++entry) surroundings.push_back(*entry);
  surroundings.push_back(variable.data());
  surroundings.push_back(nullptr);

  child_ = ::fork();
  if (child_ == 0) become(executable.c_str(), surroundings.data(), ends[1]);
  ::close(ends[1]);
  socket_ = ends[0];
  if (child_ < 0) return fail(std::strerror(errno));
  processor_ns_ = 0;

  Message message;
  if (hear(message) != Heard::message || message.kind != Kind::points)
    return fail(executable + ": not a robot program built for the twin");
  fingerprint_ = message.number;
  for (int left = message.point; left > 0; --left) {
    if (hear(message) != Heard::message || message.kind != Kind::name) return fail(executable + ": ended at its start");
    PointName point{};
    point.kind = static_cast<PointKind>(message.point);
    std::memcpy(point.name, message.text, sizeof point.name);
    points_.push_back(point);
  }
  state_ = State::ready;
  return state_;
}

bool ProgramProcess::go() {
  if (state_ != State::ready) return false;
  Message message;
  message.kind = Kind::go;
  if (::send(socket_, &message, sizeof message, MSG_NOSIGNAL) < 0) {
    leave(State::died);
    return false;
  }
  ticks_ = 0;
  asleep_ = false;
  state_ = State::running;
  return true;
}

void ProgramProcess::stop() {
  if (child_ > 0) {
    ::kill(child_, SIGKILL);
    while (::waitpid(child_, nullptr, 0) < 0 && errno == EINTR) {
    }
  }
  if (socket_ >= 0) ::close(socket_);
  child_ = -1;
  socket_ = -1;
  if (state_ == State::ready || state_ == State::running || state_ == State::hung) state_ = State::stopped;
}

ProgramProcess::State ProgramProcess::leave(State state) {
  stop();
  state_ = state;
  return state_;
}

// Waits for the child's next message, however long this machine takes over it: what is bounded is the processor time
// the child uses. One that sleeps uses none, so a few looks that all find it asleep count as well.
ProgramProcess::Heard ProgramProcess::hear(Message& message) {
  constexpr int look_ms = 5;
  constexpr int sleeping_looks = 200;
  int asleep = 0;
  for (;;) {
    pollfd watched{socket_, POLLIN, 0};
    const int ready = ::poll(&watched, 1, look_ms);
    if (ready < 0 && errno == EINTR) continue;
    if (ready > 0) {
      const ssize_t size = ::recv(socket_, &message, sizeof message, 0);
      if (size != static_cast<ssize_t>(sizeof message)) return Heard::gone;
      message.text[sizeof message.text - 1] = '\0';
      return Heard::message;
    }
    if (processor_time_ns(child_) - processor_ns_ > hung_after_ns) return Heard::hung;
    asleep = sleeps(child_) ? asleep + 1 : 0;
    if (asleep > sleeping_looks) return Heard::hung;
  }
}

void ProgramProcess::sleep(std::uint32_t ticks) {
  slept_at_ = ticks_;
  sleep_for_ = ticks;
  asleep_ = true;
}

void ProgramProcess::answer(float value) {
  Message message;
  message.kind = Kind::value;
  message.value = value;
  asleep_ = false;
  // A child that is gone shows when it is next listened to.
  static_cast<void>(::send(socket_, &message, sizeof message, MSG_NOSIGNAL));
}

ProgramProcess::State ProgramProcess::tick(ProgramCalls& agent) {
  if (state_ != State::running) return state_;
  ++ticks_;
  if (asleep_ && ticks_ - slept_at_ < sleep_for_) return state_;
  if (asleep_) answer(1.0F);
  for (int calls = 0; calls < calls_per_tick && !asleep_; ++calls) {
    Message message;
    switch (hear(message)) {
      case Heard::hung:
        ::kill(child_, SIGSTOP);  // it must not come back at a moment that virtual time does not know
        state_ = State::hung;
        return state_;
      case Heard::gone:
        return leave(State::died);
      case Heard::message:
        break;
    }
    // Read only here, after a message: the time between two calls is the child's own work.
    processor_ns_ = processor_time_ns(child_);
    if (!serve(message, agent)) return leave(State::ended);
  }
  return state_;
}

// Acts on one message; false when program() has returned.
bool ProgramProcess::serve(const Message& message, ProgramCalls& agent) {
  if (message.line != 0) {
    line_ = message.line;
    const bool waits = message.wait != runner::Wait::nothing;
    agent.stands_at(line_, message.wait, waits ? message.point : runner::no_point);
  }
  switch (message.kind) {
    case Kind::set:
      agent.set_level(message.point, message.value);
      break;
    case Kind::read:
      answer(agent.read_value(message.point));
      break;
    case Kind::all_off:
      agent.all_off();
      break;
    case Kind::step:
      agent.name_step(message.text);
      break;
    case Kind::begin_wait:
      wait_began_ = ticks_;
      wait_limit_ = message.number;
      break;
    case Kind::next_tick:
      if (ticks_ - wait_began_ >= wait_limit_) {
        answer(0.0F);
      } else {
        sleep(1);
      }
      break;
    case Kind::wait_time:
      if (message.number == 0) {
        answer(1.0F);
      } else {
        sleep(message.number);
      }
      break;
    case Kind::end_wait:
      agent.stands_at(line_, runner::Wait::nothing, runner::no_point);
      break;
    case Kind::ended:
      return false;
    default:
      break;  // points and names come only before go
  }
  return true;
}

}  // namespace ringout
