// Every message of the link as a person sees it.
#include "link/words.h"

#include <doctest/doctest.h>

#include "link/client.h"
#include "link/scripted_agent.h"
#include "tests/golden.h"
#include "wire/point_table.h"

namespace ringout::link {
namespace {

using testing::shown;
using Then = ScriptedAgent::Then;

constexpr Duration ms(std::int64_t n) {
  return Duration::milliseconds(n);
}

std::string causes() {
  std::string text = "# What stopped the outputs\n";
  for (int cause = 0; cause <= 17; ++cause) {
    text += std::to_string(cause) + ": " + words_for(static_cast<wire::StopCause>(cause)) + "\n";
  }
  text += "\n# What reset the controller\n";
  for (int cause = 0; cause <= 5; ++cause) {
    text += std::to_string(cause) + ": " + words_for(static_cast<wire::ResetCause>(cause)) + "\n";
  }
  text += "\n# States of the program\n";
  for (int state = 0; state <= 5; ++state) {
    text += std::to_string(state) + ": " + name_of(static_cast<wire::ProgramState>(state)) + "\n";
  }
  text += "\n# Latched faults\n";
  for (int bit = 0; bit <= 8; ++bit) text += std::to_string(bit) + ": " + words_for_faults(1U << bit) + "\n";
  return text + "0 and 2: " + words_for_faults(5) + "\n";
}

wire::ReplyHeader refused(wire::Status status, int detail) {
  return {.status = status, .detail = static_cast<std::uint16_t>(detail)};
}

std::string refusals() {
  std::string text = "# Refusals\n";
  for (int status = 1; status <= 21; ++status) {
    if (static_cast<wire::Status>(status) == wire::Status::out_of_bounds) continue;
    text += std::to_string(status) + ": " + shown(refusal("the bump", refused(static_cast<wire::Status>(status), 5)));
  }
  text += "header: " + shown(refusal("the point table", refused(wire::Status::table_refused_content, wire::no_point)));
  const auto bug = static_cast<int>(wire::StopCause::bug);
  text += "halted: " + shown(refusal("to clear the faults", refused(wire::Status::inhibited, bug)));
  for (int bound = 0; bound <= 8; ++bound) {
    text += "bound " + std::to_string(bound) + ": " +
            shown(refusal("the bump", refused(wire::Status::out_of_bounds, bound)));
  }
  text += "\n# Stopped\n";
  for (const auto cause : {wire::StopCause::hold_lapsed, wire::StopCause::supply_low}) {
    text += shown(stopped_by(cause, "the bump of OUT3"));
  }
  return text;
}

// One thing that goes wrong, on a link that is otherwise as it should be.
struct Failure {
  const char* name;
  std::function<Error(ScriptedAgent&, Client&)> make;
};

template <class Value>
Error error_of(const Result<Value>& result) {
  REQUIRE_FALSE(result);
  return result.error();
}

Error hello_with(ScriptedAgent& agent, Client& client, std::function<void()> instead) {
  agent.on[wire::type_hello] = [instead](const auto&) {
    if (instead) instead();
    return Then::stay_silent;
  };
  return error_of(client.hello());
}

Error moving(ScriptedAgent& agent, Client& client, const std::function<Error(Permission&)>& move) {
  REQUIRE(client.hello());
  auto permission = client.permit([] { return Wanted::go_on; });
  REQUIRE(permission);
  agent.on[wire::type_bump] = [](const auto&) { return Then::stay_silent; };
  return move(*permission);
}

const Failure failures[] = {
    {"silence", [](ScriptedAgent& agent, Client& client) { return hello_with(agent, client, {}); }},
    {"something else on the line",
     [](ScriptedAgent& agent, Client& client) {
       return hello_with(agent, client, [&] { agent.line.arrive({'b', 'o', 'o', 't', 0}, ms(1)); });
     }},
    {"frames, but no answer to the hello",
     [](ScriptedAgent& agent, Client& client) {
       return hello_with(agent, client, [&] { agent.send(wire::type_stopped, 0, wire::StoppedEvent{}, ms(1)); });
     }},
    {"a newer agent",
     [](ScriptedAgent& agent, Client& client) {
       agent.hello.major = 2;
       return error_of(client.hello());
     }},
    {"an older agent",
     [](ScriptedAgent& agent, Client& client) {
       agent.hello.major = 0;
       return error_of(client.hello());
     }},
    {"more ports than there can be",
     [](ScriptedAgent& agent, Client& client) {
       agent.hello.bridges = 200;
       return error_of(client.hello());
     }},
    {"no reply",
     [](ScriptedAgent& agent, Client& client) {
       REQUIRE(client.hello());
       agent.on[wire::type_status] = [](const auto&) { return Then::stay_silent; };
       return error_of(client.status());
     }},
    {"no reply to something to be done",
     [](ScriptedAgent& agent, Client& client) {
       REQUIRE(client.hello());
       agent.on[wire::type_clear_faults] = [](const auto&) { return Then::stay_silent; };
       return error_of(client.clear_faults());
     }},
    {"silence while outputs are held",
     [](ScriptedAgent& agent, Client& client) {
       return moving(agent, client, [&](Permission& held) {
         agent.on[wire::type_hold] = [](const auto&) { return Then::stay_silent; };
         return error_of(held.wait_until(client.now() + ms(500)));
       });
     }},
    {"a stop that is not confirmed",
     [](ScriptedAgent& agent, Client& client) {
       REQUIRE(client.hello());
       agent.on[wire::type_status] = [](const auto&) { return Then::stay_silent; };
       return error_of(client.stop());
     }},
    {"a bump that is not answered",
     [](ScriptedAgent& agent, Client& client) {
       return moving(agent, client, [](Permission& held) { return error_of(held.bump(wire::Bump())); });
     }},
    {"a bump whose order was lost",
     [](ScriptedAgent& agent, Client& client) {
       return moving(agent, client, [&](Permission& held) {
         agent.last_bump = {.port = 1, .clock_us = agent.clock_us() - 500'000};
         agent.on[wire::type_bump] = [](const auto&) { return Then::stay_silent; };
         return error_of(held.bump(wire::Bump()));
       });
     }},
    {"everything stopped while moving",
     [](ScriptedAgent& agent, Client& client) {
       return moving(agent, client, [&](Permission& held) {
         const auto cause = static_cast<std::uint8_t>(wire::StopCause::end_switch);
         agent.send(wire::type_stopped, 0, wire::StoppedEvent{.cause = cause}, ms(1));
         return error_of(held.wait_until(client.now() + ms(50)));
       });
     }},
    {"a permission that has ended",
     [](ScriptedAgent& agent, Client& client) {
       return moving(agent, client, [&](Permission& held) {
         static_cast<void>(client.permit({}));
         return error_of(held.drive(1, 100));
       });
     }},
    {"a table that is too long",
     [](ScriptedAgent&, Client& client) {
       REQUIRE(client.hello());
       return error_of(client.load_table(std::vector<std::uint8_t>(wire::max_table_bytes + 1U)));
     }},
};

}  // namespace

TEST_CASE("the link's words for causes, faults and refusals are as in the golden file") {
  testing::check_golden("link/words.txt", causes() + "\n" + refusals());
}

TEST_CASE("what goes wrong on a line is said as in the golden file") {
  std::string text;
  for (const Failure& failure : failures) {
    CAPTURE(failure.name);
    ScriptedAgent agent;
    Client client(agent.line, 1, {.hello = ms(300)});
    text += std::string("# ") + failure.name + "\n" + shown(failure.make(agent, client));
  }
  testing::check_golden("link/failures.txt", text);
}

}  // namespace ringout::link
