// The host's end of the wire: requests with replies, permission to move, table, samples, events, over a TimedStream.
// One thread; nothing happens between calls. Every call returns within a bounded time on the stream's own clock, and
// while a permission is live every call that waits keeps holding it.
#pragma once

#include <array>
#include <cstdint>
#include <functional>
#include <optional>
#include <random>
#include <span>
#include <string>
#include <vector>

#include "link/clock_estimate.h"
#include "link/controller.h"
#include "link/sample_reader.h"
#include "link/send_window.h"
#include "link/timed_stream.h"
#include "wire/frame.h"

namespace ringout::link {

struct Times {
  Duration hello = Duration::milliseconds(3000);  // opening a port resets many boards; their start takes a while
  Duration reply = Duration::milliseconds(40);
  int repeats = 5;                                    // how often an unanswered request is sent
  Duration motion_life = Duration::milliseconds(25);  // a motion frame that comes later than this moves nothing
  Duration busy = Duration::milliseconds(15000);      // a table takes its time to be written
};

// Something sent that can cause motion, or end it: what the host meant, and until when. For tests and records.
struct Intent {
  Instant at{};
  std::uint8_t type = 0;  // wire::FrameType
  int port = wire::no_port;
  int level_permille = 0;
  Instant not_after{};  // on the host's clock
  Duration lasts{};     // bump: its duration
};

// Whether the person still wants the motion; asked every 10 ms while something may move.
enum class Wanted { go_on, let_go };
using StillWanted = std::function<Wanted()>;

class Permission;

class Client {
 public:
  // `seed` makes the nonces; it should differ from session to session.
  Client(TimedStream& stream, std::uint64_t seed, Times times = {});
  Client(const Client&) = delete;
  Client& operator=(const Client&) = delete;

  // Opens the session; voids any permission. Errors: no answer, not the agent, another major version, closed.
  [[nodiscard]] Result<Controller> hello();
  [[nodiscard]] const Controller& controller() const { return controller_; }

  [[nodiscard]] Result<AgentStatus> status();
  [[nodiscard]] Result<std::vector<PointName>> point_names();
  [[nodiscard]] Result<void> clear_faults();
  [[nodiscard]] Result<void> stop_program();

  // Writes the table, reads it back, compares, and says hello again so that controller() is true afterwards.
  [[nodiscard]] Result<void> load_table(std::span<const std::uint8_t> table);
  // Bytes of the newest whole table, in force or not; empty where there is none.
  [[nodiscard]] Result<std::vector<std::uint8_t>> read_table();

  // Period in whole milliseconds; zero: no samples any more.
  [[nodiscard]] Result<void> stream_samples(Duration period, std::uint16_t content = wire::sample_all);
  [[nodiscard]] const SampleReader& samples() const { return reader_; }

  // Fresh permission to move, with its own token; ends the one before.
  [[nodiscard]] Result<Permission> permit(StillWanted wanted);
  // Always possible; sent several times and confirmed by the controller's state.
  [[nodiscard]] Result<void> stop();
  // Handles what arrives, holding where there is a live permission; the error of a closed stream or a lost permission.
  [[nodiscard]] Result<void> run_until(Instant deadline);

  // The last output that the controller turned off alone, since the last drive: at an end of its travel, or after the
  // longest time of an unproved output.
  [[nodiscard]] const std::optional<Stopped>& output_stopped() const { return output_stopped_; }

  [[nodiscard]] Instant now() const { return stream_.now(); }
  [[nodiscard]] Duration last_round_trip() const { return last_round_trip_; }

  std::function<void(const Sample&)> on_sample;
  std::function<void(const ControllerEvent&)> on_event;
  std::function<void(const Intent&)> on_intent;

 private:
  friend class Permission;

  struct Reply {
    wire::ReplyHeader header;
    std::vector<std::uint8_t> payload;
  };
  struct Awaited {
    std::uint8_t tag;
    std::uint8_t type;
    std::optional<Reply> reply;
  };
  struct Live {
    std::uint32_t token;
    std::uint32_t sequence = 0;
    StillWanted wanted;
    Instant next_hold;
    Instant last_answer;
    std::optional<Error> lost;
  };
  struct Heard {
    std::uint64_t bytes = 0;
    std::uint64_t frames = 0;
    std::uint64_t damaged = 0;
  };

  // client_exchange.cpp: frames out and in
  [[nodiscard]] std::uint8_t next_tag();
  [[nodiscard]] Result<void> send(std::uint8_t tag, std::span<const std::uint8_t> frame);
  [[nodiscard]] Result<void> wait_for_room(std::size_t frame);
  [[nodiscard]] Result<void> step(Instant deadline);
  void take(std::span<const std::uint8_t> bytes, Instant at);
  void dispatch(const wire::Frame& frame, Instant at);
  void take_reply(const wire::Frame& frame, Instant at);
  void take_event(const wire::Frame& frame);
  void tell(const ControllerEvent& event);
  [[nodiscard]] Result<std::optional<Reply>> await(Instant deadline);
  template <class Record>
  [[nodiscard]] Result<Reply> ask(const Record& record, const std::string& what);
  template <class Record>
  [[nodiscard]] Result<Reply> ask_while_busy(const Record& record, const std::string& what);

  // client_motion.cpp: permission and motion
  void hold_if_due();
  void lose(Error why);
  [[nodiscard]] wire::MotionHeader motion_header();
  template <class Record>
  [[nodiscard]] Result<std::uint8_t> send_motion(Record record, Intent intent);
  template <class Record>
  [[nodiscard]] Result<void> move(const Record& record, Intent intent, const std::string& what);
  [[nodiscard]] Result<BumpEnded> bump(const wire::Bump& order);
  [[nodiscard]] static bool is_end_of(const wire::Bump& order, std::uint32_t heard_us, const BumpEnded& ended);
  [[nodiscard]] Result<BumpEnded> ask_bump_end(const wire::Bump& order, std::uint32_t heard_us, bool taken);
  [[nodiscard]] Result<void> release(std::uint32_t token);
  [[nodiscard]] bool is_live(std::uint32_t token) const { return live_ && live_->token == token; }
  [[nodiscard]] Result<void> require_live(std::uint32_t token) const;

  [[nodiscard]] Result<Controller> judge_hello(const Reply& reply) const;
  [[nodiscard]] Error no_hello(const Heard& before) const;
  [[nodiscard]] Error unanswered(const std::string& what) const;

  TimedStream& stream_;
  Times times_;
  std::mt19937_64 random_;
  wire::FrameDecoder decoder_;
  Controller controller_;
  ClockEstimate clock_;
  SendWindow window_;
  SampleReader reader_;
  Heard heard_;
  std::uint8_t tag_ = 0;
  std::array<std::optional<Instant>, 256> sent_at_;
  std::optional<Awaited> awaited_;
  std::optional<Live> live_;
  std::optional<BumpEnded> bump_ended_;
  std::optional<Stopped> output_stopped_;
  std::optional<Error> closed_;
  Duration last_round_trip_;
};

// A live permission to move. While it lives, the client holds it; when it goes out of scope, outputs are stopped.
class Permission {
 public:
  Permission(Permission&& other) noexcept : client_(std::exchange(other.client_, nullptr)), token_(other.token_) {}
  Permission& operator=(Permission&&) = delete;
  ~Permission();

  // Level in permille of the supply, with the sign at the port's terminals.
  [[nodiscard]] Result<void> drive(int port, int level_permille);
  // Runs one bump to its end. Whatever ended it is the answer; an error means that the link or the permission was lost.
  [[nodiscard]] Result<BumpEnded> bump(const wire::Bump& order);
  [[nodiscard]] Result<void> start_program();
  // Holds until then; the error says why the permission was lost.
  [[nodiscard]] Result<void> wait_until(Instant deadline);
  // Gives the permission back: outputs off.
  [[nodiscard]] Result<void> release();

 private:
  friend class Client;
  Permission(Client& client, std::uint32_t token) : client_(&client), token_(token) {}

  Client* client_;
  std::uint32_t token_;
};

}  // namespace ringout::link
