#include "link/client.h"

#include <doctest/doctest.h>

#include "link/scripted_agent.h"

namespace ringout::link {
namespace {

using Then = ScriptedAgent::Then;

constexpr Duration ms(std::int64_t n) {
  return Duration::milliseconds(n);
}

TEST_CASE("hello takes over the controller's facts") {
  ScriptedAgent agent;
  agent.hello.firmware_minor = 3;
  agent.hello.program_fp = 0x12345678;
  agent.hello.identity[0] = 0xAB;
  Client client(agent.line, 1);
  const auto controller = client.hello();
  REQUIRE(controller);
  CHECK(controller->bridges == 8);
  CHECK(controller->firmware.text() == "0.3.0");
  CHECK(controller->program_fingerprint == 0x12345678);
  CHECK(controller->identity_text() == "ab00000000000000");
}

TEST_CASE("an agent of another major version is refused with both versions named") {
  for (const std::uint8_t major : {std::uint8_t{0}, std::uint8_t{2}}) {
    CAPTURE(major);
    ScriptedAgent agent;
    agent.hello.major = major;
    Client client(agent.line, 1);
    const auto controller = client.hello();
    REQUIRE_FALSE(controller);
    CHECK(controller.error().kind == ErrorKind::refused);
    CHECK(controller.error().id == (major > wire::protocol_major ? "link.newer-agent" : "link.older-agent"));
    CHECK(controller.error().message.find(std::to_string(major) + ".0") != std::string::npos);
  }
}

TEST_CASE("silence, foreign bytes and a dead line are three different answers, each in bounded time") {
  struct Case {
    const char* name;
    const char* id;
    std::function<void(ScriptedAgent&)> make;
  };
  const Case cases[] = {
      {"silence", "link.no-answer",
       [](ScriptedAgent& agent) { agent.on[wire::type_hello] = [](const auto&) { return Then::stay_silent; }; }},
      {"foreign bytes", "link.not-the-agent",
       [](ScriptedAgent& agent) {
         agent.on[wire::type_hello] = [&agent](const auto&) {
           agent.line.arrive({'b', 'o', 'o', 't', '>', ' ', 0, 'x', 0}, ms(1));
           return Then::stay_silent;
         };
       }},
      {"closed", "test.closed",
       [](ScriptedAgent& agent) {
         agent.line.close({ErrorKind::unreachable, "test.closed", "gone", ""});
       }},
  };
  for (const Case& c : cases) {
    CAPTURE(c.name);
    ScriptedAgent agent;
    c.make(agent);
    Client client(agent.line, 1, {.hello = ms(500)});
    const auto controller = client.hello();
    REQUIRE_FALSE(controller);
    CHECK(controller.error().kind == ErrorKind::unreachable);
    CHECK(controller.error().id == c.id);
    CHECK(agent.line.now() <= Instant{} + ms(600));
  }
}

TEST_CASE("a lost reply is asked for again, a dead link ends in bounded time") {
  ScriptedAgent agent;
  Client client(agent.line, 1);
  REQUIRE(client.hello());
  int ignored = 0;
  agent.status.supply_mv = 12345;
  agent.on[wire::type_status] = [&](const auto&) { return ++ignored <= 2 ? Then::stay_silent : Then::answer; };
  const auto status = client.status();
  REQUIRE(status);
  CHECK(status->supply.in(volts(1)) == doctest::Approx(12.345));
  CHECK(agent.count(wire::type_status) == 3);

  agent.on[wire::type_status] = [](const auto&) { return Then::stay_silent; };
  const Instant before = client.now();
  const auto lost = client.status();
  REQUIRE_FALSE(lost);
  CHECK(lost.error().kind == ErrorKind::unreachable);
  CHECK(client.now() - before <= ms(400));
}

TEST_CASE("a live permission is held every ten milliseconds, with rising sequence and a deadline ahead") {
  ScriptedAgent agent;
  Client client(agent.line, 1);
  REQUIRE(client.hello());
  auto permission = client.permit([] { return Wanted::go_on; });
  REQUIRE(permission);
  const Instant from = client.now();
  REQUIRE(permission->wait_until(from + ms(500)));
  const int holds = agent.count(wire::type_hold);
  CHECK(holds >= 49);
  CHECK(holds <= 52);
  std::uint32_t last_sequence = 0;
  for (const auto& request : agent.requests) {
    if (request.type != wire::type_hold) continue;
    const auto hold = request.as<wire::Hold>();
    CHECK(hold.motion.token == 1001);
    CHECK(hold.motion.sequence > last_sequence);
    last_sequence = hold.motion.sequence;
    const auto agent_then = static_cast<std::uint32_t>(request.at.ns / 1000 + 123'456);
    const auto life = static_cast<std::int32_t>(hold.motion.not_after_us - agent_then);
    CHECK(life > 20'000);
    CHECK(life <= 25'000);
  }
  REQUIRE(permission->release());
  const int after = agent.count(wire::type_hold);
  REQUIRE(client.run_until(client.now() + ms(100)));
  CHECK(agent.count(wire::type_hold) == after);
}

TEST_CASE("letting go ends the holding at once and is said as such") {
  ScriptedAgent agent;
  Client client(agent.line, 1);
  REQUIRE(client.hello());
  Instant until = client.now() + ms(100);
  auto permission = client.permit([&] { return client.now() < until ? Wanted::go_on : Wanted::let_go; });
  REQUIRE(permission);
  const auto waited = permission->wait_until(client.now() + ms(1000));
  REQUIRE_FALSE(waited);
  CHECK(waited.error().id == "link.let-go");
  CHECK(client.now() < until + ms(20));
}

TEST_CASE("an unanswered drive goes again as a new frame; an unanswered bump never does") {
  ScriptedAgent agent;
  Client client(agent.line, 1);
  REQUIRE(client.hello());
  {
    auto permission = client.permit({});
    REQUIRE(permission);
    int ignored = 0;
    agent.on[wire::type_drive] = [&](const auto&) { return ++ignored <= 2 ? Then::stay_silent : Then::answer; };
    REQUIRE(permission->drive(3, 250));
    std::vector<std::uint32_t> sequences;
    for (const auto& request : agent.requests) {
      if (request.type == wire::type_drive) sequences.push_back(request.as<wire::Drive>().motion.sequence);
    }
    REQUIRE(sequences.size() == 3);
    CHECK(sequences[0] < sequences[1]);
    CHECK(sequences[1] < sequences[2]);

    agent.on[wire::type_bump] = [](const auto&) { return Then::stay_silent; };
    wire::Bump order;
    order.port = 2;
    order.level_permille = 200;
    order.duration_ms = 60;
    const auto ended = permission->bump(order);
    REQUIRE_FALSE(ended);
    CHECK(ended.error().id == "link.bump-unanswered");
    CHECK(agent.count(wire::type_bump) == 1);
  }
  CHECK(agent.count(wire::type_stop) >= 3);  // the permission went out of scope with its motion in doubt
}

TEST_CASE("a bump's end comes with its cause, also when a low supply stopped everything") {
  ScriptedAgent agent;
  Client client(agent.line, 1);
  REQUIRE(client.hello());
  auto permission = client.permit({});
  REQUIRE(permission);
  agent.on[wire::type_bump] = [&](const ScriptedAgent::Request& request) {
    const auto bump = request.as<wire::Bump>();
    const bool early = bump.port == 5;
    const auto cause = static_cast<std::uint8_t>(early ? wire::StopCause::supply_low : wire::StopCause::duration_over);
    if (early) agent.send(wire::type_stopped, 0, wire::StoppedEvent{.cause = cause}, ms(20));
    agent.send(wire::type_bump_ended, 0,
               wire::BumpEndedEvent{
                   .port = bump.port, .cause = cause, .clock_us = agent.clock_us() + 20'000, .duration_ms = 20},
               ms(21));
    return Then::answer;
  };
  wire::Bump order;
  order.duration_ms = 80;
  order.port = 1;
  const auto whole = permission->bump(order);
  REQUIRE(whole);
  CHECK(whole->cause == wire::StopCause::duration_over);
  order.port = 5;
  const auto cut = permission->bump(order);
  REQUIRE(cut);
  CHECK(cut->cause == wire::StopCause::supply_low);
  const auto next = permission->bump(order);
  REQUIRE_FALSE(next);
  CHECK(next.error().kind == ErrorKind::stopped);
}

TEST_CASE("a bump's end that the line lost is asked for, and that of an earlier bump is not taken for it") {
  ScriptedAgent agent;
  Client client(agent.line, 1);
  REQUIRE(client.hello());
  auto permission = client.permit({});
  REQUIRE(permission);
  std::uint32_t ended_at = 0;
  agent.on[wire::type_bump] = [&](const ScriptedAgent::Request& request) {
    ended_at = agent.clock_us() + 12'000;
    agent.last_bump = {.port = request.as<wire::Bump>().port,
                       .cause = static_cast<std::uint8_t>(wire::StopCause::end_switch),
                       .clock_us = ended_at,
                       .duration_ms = 12};
    return Then::answer;
  };
  wire::Bump order;
  order.duration_ms = 80;
  order.port = 1;
  const auto cut = permission->bump(order);
  REQUIRE(cut);
  CHECK(cut->cause == wire::StopCause::end_switch);
  CHECK(cut->clock_us == ended_at);
  CHECK(cut->lasted == ms(12));
  const auto error_of_next = [&](Then then) {
    agent.on[wire::type_bump] = [then](const ScriptedAgent::Request&) { return then; };
    const auto next = permission->bump(order);
    return next ? std::string("none") : next.error().id;
  };
  CHECK(error_of_next(Then::stay_silent) == "link.bump-lost");  // the controller knows of none after the one above
  CHECK(error_of_next(Then::answer) == "link.bump-unanswered");
  agent.last_bump.clock_us = agent.clock_us() + 1'800'000'000;  // as the clock stood 41 minutes ago, or a reset since
  CHECK(error_of_next(Then::stay_silent) == "link.bump-unanswered");
  agent.last_bump.port = wire::no_port;
  agent.last_bump.clock_us = 0;
  CHECK(error_of_next(Then::stay_silent) == "link.bump-unanswered");  // it may have been reset since
}

TEST_CASE("a bump that a switch ended at once is not taken for a lost order, however uneven the line is") {
  ScriptedAgent agent;
  Client client(agent.line, 1);
  REQUIRE(client.hello());
  auto permission = client.permit({});
  REQUIRE(permission);
  REQUIRE(permission->wait_until(client.now() + ms(200)));
  agent.latency = ms(20);  // back; what the agent's clock is now is known to 20 ms only
  REQUIRE(permission->wait_until(client.now() + ms(200)));
  agent.on[wire::type_bump] = [&](const ScriptedAgent::Request& request) {
    agent.last_bump = {.port = request.as<wire::Bump>().port,
                       .cause = static_cast<std::uint8_t>(wire::StopCause::end_switch),
                       .clock_us = agent.clock_us() + 1'000,
                       .duration_ms = 1};
    return Then::stay_silent;
  };
  wire::Bump order;
  order.port = 1;
  order.duration_ms = 60;
  const auto ended = permission->bump(order);
  REQUIRE(ended);
  CHECK(ended->cause == wire::StopCause::end_switch);
}

TEST_CASE("the end of an earlier bump that comes late is not taken for that of the next one on the same port") {
  ScriptedAgent agent;
  Client client(agent.line, 1);
  REQUIRE(client.hello());
  auto permission = client.permit({});
  REQUIRE(permission);
  REQUIRE(permission->wait_until(client.now() + ms(200)));
  agent.on[wire::type_bump] = [&](const ScriptedAgent::Request& request) {
    const std::uint8_t port = request.as<wire::Bump>().port;
    const auto send = [&](wire::StopCause cause, std::uint32_t clock_us, Duration later) {
      agent.send(wire::type_bump_ended, 0,
                 wire::BumpEndedEvent{.port = port, .cause = static_cast<std::uint8_t>(cause), .clock_us = clock_us},
                 later);
    };
    send(wire::StopCause::end_switch, agent.clock_us() - 100'000, ms(5));
    send(wire::StopCause::duration_over, agent.clock_us() + 60'000, ms(61));
    return Then::answer;
  };
  wire::Bump order;
  order.port = 1;
  order.duration_ms = 60;
  const auto ended = permission->bump(order);
  REQUIRE(ended);
  CHECK(ended->cause == wire::StopCause::duration_over);
}

TEST_CASE("a program whose start was answered into a lossy line is not said to be refused") {
  for (const bool runs : {true, false}) {
    CAPTURE(runs);
    ScriptedAgent agent;
    Client client(agent.line, 1);
    REQUIRE(client.hello());
    auto permission = client.permit({});
    REQUIRE(permission);
    agent.status.program_state =
        static_cast<std::uint8_t>(runs ? wire::ProgramState::running : wire::ProgramState::ready);
    agent.refuse_motion = wire::Status::busy;
    int starts = 0;
    agent.on[wire::type_program_start] = [&](const auto&) { return ++starts == 1 ? Then::stay_silent : Then::answer; };
    const auto started = permission->start_program();
    CHECK(started.has_value() == runs);
    CHECK(starts == 2);
    CHECK_FALSE(permission->start_program());  // busy at the first attempt: it is another's program
  }
}

TEST_CASE("a table that is not there or not whole is not read") {
  for (const auto state : {wire::TableState::none, wire::TableState::damaged}) {
    ScriptedAgent agent;
    agent.hello.table_state = static_cast<std::uint8_t>(state);
    Client client(agent.line, 1);
    REQUIRE(client.hello());
    const auto table = client.read_table();
    REQUIRE(table);
    CHECK(table->empty());
    CHECK(agent.count(wire::type_table_read) == 0);
  }
}

TEST_CASE("an output that reached its end is off alone; a stop of everything ends the permission") {
  ScriptedAgent agent;
  Client client(agent.line, 1);
  REQUIRE(client.hello());
  auto permission = client.permit({});
  REQUIRE(permission);
  REQUIRE(permission->drive(3, 100));
  CHECK_FALSE(client.output_stopped());
  const auto send = [&](wire::StopCause cause, std::uint8_t port) {
    agent.send(wire::type_stopped, 0, wire::StoppedEvent{.cause = static_cast<std::uint8_t>(cause), .port = port},
               ms(1));
  };
  send(wire::StopCause::end_switch, 3);
  REQUIRE(permission->wait_until(client.now() + ms(50)));
  REQUIRE(client.output_stopped());
  CHECK(client.output_stopped()->port == 3);
  send(wire::StopCause::bank_current, 1);  // a bank's number, and everything is off
  const auto lost = permission->wait_until(client.now() + ms(50));
  REQUIRE_FALSE(lost);
  CHECK(lost.error().kind == ErrorKind::stopped);
}

TEST_CASE("every status has words, a stable id and a way out") {
  for (int status = 1; status <= 21; ++status) {
    CAPTURE(status);
    ScriptedAgent agent;
    Client client(agent.line, 1);
    REQUIRE(client.hello());
    auto permission = client.permit({});
    REQUIRE(permission);
    agent.refuse_motion = static_cast<wire::Status>(status);
    const auto refused = permission->drive(1, 100);
    REQUIRE_FALSE(refused);
    CHECK(refused.error().id.starts_with("link."));
    CHECK(refused.error().message.size() > 30);
    CHECK(!refused.error().hint.empty());
  }
}

TEST_CASE("samples are unwrapped and losses counted") {
  ScriptedAgent agent;
  agent.hello.bridges = 1;
  agent.hello.encoders = 1;
  agent.hello.adc_channels = 1;
  Client client(agent.line, 1);
  REQUIRE(client.hello());
  std::vector<Sample> seen;
  client.on_sample = [&](const Sample& sample) { seen.push_back(sample); };
  REQUIRE(client.stream_samples(ms(2)));
  const auto send = [&](std::uint16_t sequence, std::uint32_t clock, std::uint16_t count) {
    wire::FrameBuilder builder;
    wire::Writer to = builder.begin(wire::type_sample, 0);
    to.u16(sequence);
    to.u32(clock);
    to.i16(-250);
    to.u16(count);
    to.u16(0x00FE);
    to.u16(512);
    to.u8(1);
    const std::uint16_t size = builder.close(to);
    agent.line.arrive({builder.bytes(), builder.bytes() + size}, ms(1));
    REQUIRE(client.run_until(client.now() + ms(2)));
  };
  send(65534, 0xFFFFF000U, 0xFFFE);
  send(65535, 0xFFFFF7D0U, 0x0003);
  send(2, 0x00000770U, 0x0005);
  send(1, 0x00000370U, 0x0004);  // older than the last: not taken
  REQUIRE(seen.size() == 3);
  CHECK(seen[0].encoders[0] == -2);
  CHECK(seen[1].encoders[0] == 3);
  CHECK(seen[2].encoders[0] == 5);
  CHECK(seen[2].lost_before == 2);
  CHECK(seen[2].clock_us - seen[0].clock_us == 0x1770);
  CHECK(seen[0].levels_permille[0] == -250);
  CHECK(seen[0].adc[0] == 512);
  CHECK(client.samples().lost() == 2);
}

TEST_CASE("no more bytes are ever on the way than the window allows") {
  ScriptedAgent agent;
  agent.hello.window = 60;
  agent.latency = ms(8);
  Client client(agent.line, 1);
  REQUIRE(client.hello());
  auto permission = client.permit({});
  REQUIRE(permission);
  for (int i = 0; i < 20; ++i) {
    REQUIRE(permission->drive(i % 8, 100));
    REQUIRE(permission->wait_until(client.now() + ms(3)));
  }
  // Whatever was sent within one latency had not been answered.
  for (std::size_t i = 0; i < agent.requests.size(); ++i) {
    std::size_t on_the_way = 0;
    for (std::size_t j = 0; j <= i; ++j) {
      if (agent.requests[j].at + agent.latency > agent.requests[i].at) {
        on_the_way += agent.requests[j].payload.size() + 8;
      }
    }
    CHECK(on_the_way <= 60);
  }
}

}  // namespace
}  // namespace ringout::link
