// A team's program in a process of its own, as the twin runs it: main, and the calls of agent/program.hpp as messages.
#include <sys/prctl.h>
#include <sys/socket.h>

#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <cstring>

#include "agent/ports/host/program_talk.h"

namespace {

using ringout::program_talk::Kind;
using ringout::program_talk::Message;

int twin = -1;
bool waiting = false;  // a read within a wait does not move the line that is shown

// Without a twin at the other end there is nothing left to do, wherever the program stands.
void send(const Message& message) {
  if (::send(twin, &message, sizeof message, MSG_NOSIGNAL) != static_cast<ssize_t>(sizeof message)) std::_Exit(3);
}

Message receive() {
  Message message;
  if (::recv(twin, &message, sizeof message, 0) != static_cast<ssize_t>(sizeof message)) std::_Exit(3);
  return message;
}

Message ask(const Message& message) {
  send(message);
  return receive();
}

Message call(Kind kind, std::uint16_t line) {
  Message message;
  message.kind = kind;
  message.line = line;
  return message;
}

void tell_points() {
  Message points = call(Kind::points, 0);
  points.point = ringout::program_points.count;
  points.number = ringout::program_points.fingerprint;
  send(points);
  for (std::uint8_t i = 0; i < ringout::program_points.count; ++i) {
    Message name = call(Kind::name, 0);
    name.point = static_cast<std::uint8_t>(ringout::point_names[i].kind);
    std::memcpy(name.text, ringout::point_names[i].name, sizeof name.text);
    send(name);
  }
}

}  // namespace

namespace ringout {
namespace runner {

void set_level(uint8_t point, float level, uint16_t line) {
  Message message = call(Kind::set, line);
  message.point = point;
  message.value = level;
  send(message);
}

float read_value(uint8_t point, uint16_t line) {
  Message message = call(Kind::read, waiting ? 0 : line);
  message.point = point;
  return ask(message).value;
}

void all_off(uint16_t line) {
  send(call(Kind::all_off, line));
}

void name_step(const char* name, uint16_t line) {
  Message message = call(Kind::step, line);
  std::strncpy(message.text, name, sizeof message.text - 1);
  send(message);
}

void wait_time(uint32_t milliseconds, uint16_t line) {
  Message message = call(Kind::wait_time, line);
  message.wait = Wait::time;
  message.number = milliseconds;
  ask(message);
}

void begin_wait(Wait kind, uint8_t point, uint32_t time_limit_ms, uint16_t line) {
  Message message = call(Kind::begin_wait, line);
  message.wait = kind;
  message.point = point;
  message.number = time_limit_ms;
  send(message);
  waiting = true;
}

bool next_tick() {
  return ask(call(Kind::next_tick, 0)).value != 0.0F;
}

void end_wait() {
  waiting = false;
  send(call(Kind::end_wait, 0));
}

}  // namespace runner
}  // namespace ringout

int main() {
  const char* number = std::getenv(ringout::program_talk::socket_variable);
  if (number == nullptr) {
    std::fputs("this is a robot program built for the twin; start it with: ringout run --on twin\n", stderr);
    return 2;
  }
  prctl(PR_SET_PDEATHSIG, SIGKILL);  // an endless loop must not outlive the twin
  twin = std::atoi(number);
  tell_points();
  if (receive().kind != Kind::go) return 3;
  program();
  send(call(Kind::ended, 0));
  return 0;
}
