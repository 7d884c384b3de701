// Permission to move: the hold that keeps it alive, and what moves under it. A motion frame is never repeated as it
// was: each has its own sequence number and its own moment after which it moves nothing.
#include <algorithm>
#include <type_traits>
#include <utility>

#include "link/client_exchange.h"

namespace ringout::link {
namespace {

constexpr Duration hold_period = Duration::milliseconds(wire::hold_period_ms);
// Nothing heard for so long: outputs are off by the agent's own rule, and the permission is of no use any more.
constexpr Duration silence = Duration::milliseconds(250);
// A bump's end is told once; when the line lost it, it is asked for after this much more.
constexpr Duration end_margin = Duration::milliseconds(30);
constexpr Duration last_word = Duration::milliseconds(10);
// The end of a bump is no older than this after the last reply before its order: silence and the longest bump.
constexpr std::uint32_t newest_us = 10'000'000;

// Encoded sizes: type, tag, motion header, check, framing; the longest motion frame has 13 bytes more.
constexpr std::size_t hold_bytes = 2 + 12 + 4 + 2;
constexpr std::size_t motion_bytes = hold_bytes + 13;

// Ports count from 0 on the wire, from 1 on boards.
std::string bridge_words(int port) {
  return "bridge port " + std::to_string(port + 1);
}

Error let_go() {
  return {ErrorKind::stopped, "link.let-go", "the run control was let go",
          "hold it for as long as the motion is wanted"};
}

}  // namespace

void Client::lose(Error why) {
  if (live_ && !live_->lost) live_->lost = std::move(why);
}

Result<void> Client::require_live(std::uint32_t token) const {
  if (closed_) return tl::unexpected<Error>(*closed_);
  if (!is_live(token)) {
    return failure(ErrorKind::refused, "link.no-permission", "the permission to move has ended",
                   "start the motion again");
  }
  if (live_->lost) return tl::unexpected<Error>(*live_->lost);
  return {};
}

wire::MotionHeader Client::motion_header() {
  return {.token = live_->token,
          .sequence = ++live_->sequence,
          .not_after_us = clock_.earliest_us(now()) + static_cast<std::uint32_t>(times_.motion_life.ns / 1000)};
}

void Client::hold_if_due() {
  if (!live_ || live_->lost || closed_ || now() < live_->next_hold) return;
  if (live_->wanted && live_->wanted() == Wanted::let_go) {
    lose(let_go());
    return;
  }
  if (now() - live_->last_answer > silence) {
    lose({ErrorKind::unreachable, "link.no-reply",
          "nothing was heard from " + stream_.name() + " for " + std::to_string(silence.ns / 1'000'000) +
              " ms while outputs were held",
          no_reply_hint});
    return;
  }
  if (!window_.has_room(hold_bytes, now())) {
    live_->next_hold = now() + Duration::milliseconds(1);
    return;
  }
  live_->next_hold = now() + hold_period;
  const auto sent = send_motion(wire::Hold{}, {});
  if (!sent) lose(sent.error());
}

template <class Record>
Result<std::uint8_t> Client::send_motion(Record record, Intent intent) {
  record.motion = motion_header();
  wire::FrameBuilder builder;
  const std::uint8_t tag = next_tag();
  const std::uint16_t size = wire::build(builder, Record::type, tag, record);
  intent.at = now();
  intent.type = Record::type;
  intent.not_after = now() + times_.motion_life;
  if (on_intent) on_intent(intent);
  if (Result<void> sent = send(tag, {builder.bytes(), size}); !sent) return tl::unexpected<Error>(sent.error());
  return tag;
}

template <class Record>
Result<void> Client::move(const Record& record, Intent intent, const std::string& what) {
  const std::uint32_t token = live_->token;
  output_stopped_.reset();
  bool unanswered_before = false;
  for (int attempt = 0; attempt < times_.repeats; ++attempt) {
    // Room first, so that the frame's deadline starts when it really leaves.
    if (Result<void> room = wait_for_room(motion_bytes); !room) return room;
    if (Result<void> live = require_live(token); !live) return live;
    awaited_.reset();
    const Result<std::uint8_t> tag = send_motion(record, intent);
    if (!tag) return tl::unexpected<Error>(tag.error());
    awaited_ = Awaited{.tag = *tag, .type = wire::reply_type(Record::type), .reply = {}};
    const Result<std::optional<Reply>> reply = await(now() + times_.reply);
    if (!reply) return tl::unexpected<Error>(reply.error());
    if (!*reply) {
      unanswered_before = true;
      continue;
    }
    const wire::Status status = (*reply)->header.status;
    if (status == wire::Status::ok) return {};
    // Late or overtaken on the line: nothing moved by it, and the wish still holds.
    if (status == wire::Status::too_late || status == wire::Status::old_sequence) continue;
    if constexpr (std::is_same_v<Record, wire::ProgramStart>) {
      // Busy with the program that an earlier attempt has started: only the answer to that one was lost.
      if (status == wire::Status::busy && unanswered_before) {
        const Result<AgentStatus> state = this->status();
        if (state && state->program == wire::ProgramState::running) return {};
      }
    }
    return tl::unexpected<Error>(refusal(what, (*reply)->header));
  }
  return tl::unexpected<Error>(unanswered(what));
}

Result<BumpEnded> Client::bump(const wire::Bump& order) {
  const std::string what = "the bump of " + bridge_words(order.port);
  const std::uint32_t token = live_->token;
  const Intent intent{
      .port = order.port, .level_permille = order.level_permille, .lasts = Duration::milliseconds(order.duration_ms)};
  if (Result<void> room = wait_for_room(motion_bytes); !room) return tl::unexpected<Error>(room.error());
  if (Result<void> live = require_live(token); !live) return tl::unexpected<Error>(live.error());
  bump_ended_.reset();
  awaited_.reset();
  const std::uint32_t heard_us = clock_.heard_us();
  const Result<std::uint8_t> tag = send_motion(order, intent);
  if (!tag) return tl::unexpected<Error>(tag.error());
  awaited_ = Awaited{.tag = *tag, .type = wire::reply_type(wire::type_bump), .reply = {}};
  Instant latest = now() + times_.motion_life + Duration::milliseconds(order.duration_ms) + end_margin;
  // The end of an earlier bump may come late, behind a clogged line.
  const auto ended = [&] { return bump_ended_ && is_end_of(order, heard_us, *bump_ended_); };
  bool taken = false;
  // One bump is one motion: without an answer it is not sent again, because it may have been done.
  while (!ended() && now() < latest) {
    if (Result<void> done = step(latest); !done) return tl::unexpected<Error>(done.error());
    if (awaited_ && awaited_->reply) {
      const wire::ReplyHeader header = std::exchange(awaited_, std::nullopt)->reply->header;
      if (header.status != wire::Status::ok) return tl::unexpected<Error>(refusal(what, header));
      taken = true;
    }
    // Outputs are off already; the word about this bump comes right behind.
    if (live_ && live_->lost) latest = std::min(latest, now() + last_word);
  }
  if (ended()) return *bump_ended_;
  if (Result<void> live = require_live(token); !live) return tl::unexpected<Error>(live.error());
  return ask_bump_end(order, heard_us, taken);
}

// The agent's clock against the agent's clock, so that no estimate of it comes in.
bool Client::is_end_of(const wire::Bump& order, std::uint32_t heard_us, const BumpEnded& ended) {
  return ended.port == order.port && ended.clock_us - heard_us - 1U < newest_us;
}

// The controller's own account of its last bump. Where that one ended before the order was sent, the controller has not
// been reset since, and the order, too late by now and never taken, will not be done.
Result<BumpEnded> Client::ask_bump_end(const wire::Bump& order, std::uint32_t heard_us, bool taken) {
  const auto reply = ask(wire::LastBumpRequest{}, "the end of the bump");
  if (!reply) return tl::unexpected<Error>(reply.error());
  const std::string what = "the bump of " + bridge_words(order.port);
  wire::LastBumpReply fields;
  if (wire::decode(reply->payload.data(), static_cast<std::uint16_t>(reply->payload.size()), fields)) {
    const BumpEnded last = bump_ended_from(fields.bump);
    if (is_end_of(order, heard_us, last)) return last;
    const bool earlier = last.port != wire::no_port && static_cast<std::int32_t>(last.clock_us - heard_us) <= 0;
    if (earlier && !taken) {
      return failure(ErrorKind::unreachable, "link.bump-lost",
                     "the order for " + what + " was lost on the line, and it was not done", "look at the cable");
    }
  }
  return failure(ErrorKind::unreachable, "link.bump-unanswered",
                 what + " was not answered, so it may have been done or not",
                 "look at the cable; it counts as done, and is repeated only within the room that small bumps have");
}

Result<Permission> Client::permit(StillWanted wanted) {
  live_.reset();
  const auto reply = ask(wire::Permit{.nonce = static_cast<std::uint32_t>(random_())}, "permission to move");
  if (!reply) return tl::unexpected<Error>(reply.error());
  wire::PermitReply fields;
  if (!wire::decode(reply->payload.data(), static_cast<std::uint16_t>(reply->payload.size()), fields)) {
    if (reply->header.status != wire::Status::ok) {
      return tl::unexpected<Error>(refusal("permission to move", reply->header));
    }
    return failure(ErrorKind::refused, "link.short-reply", "the firmware's permission is too short",
                   "build the firmware with this ringout and write it to the controller");
  }
  live_ =
      Live{.token = fields.token, .wanted = std::move(wanted), .next_hold = now(), .last_answer = now(), .lost = {}};
  return Permission(*this, fields.token);
}

Result<void> Client::release(std::uint32_t token) {
  if (is_live(token)) live_.reset();
  if (on_intent) on_intent({.at = now(), .type = wire::type_release, .not_after = now()});
  const auto reply = ask(wire::Release{.token = token}, "to release the outputs");
  if (reply) return {};
  if (reply.error().kind == ErrorKind::refused) return {};  // it had ended already
  return stop();
}

Permission::~Permission() {
  if (!client_ || !client_->is_live(token_)) return;
  static_cast<void>(client_->stop());  // a destructor cannot report; the agent's own time limit holds in any case
}

Result<void> Permission::drive(int port, int level_permille) {
  if (Result<void> live = client_->require_live(token_); !live) return live;
  wire::Drive order;
  order.port = static_cast<std::uint8_t>(port);
  order.level_permille = static_cast<std::int16_t>(level_permille);
  return client_->move(order, {.port = port, .level_permille = level_permille}, "driving " + bridge_words(port));
}

Result<BumpEnded> Permission::bump(const wire::Bump& order) {
  if (Result<void> live = client_->require_live(token_); !live) return tl::unexpected<Error>(live.error());
  return client_->bump(order);
}

Result<void> Permission::start_program() {
  if (Result<void> live = client_->require_live(token_); !live) return live;
  return client_->move(wire::ProgramStart{}, {}, "the start of the program");
}

Result<void> Permission::wait_until(Instant deadline) {
  if (Result<void> live = client_->require_live(token_); !live) return live;
  return client_->run_until(deadline);
}

Result<void> Permission::release() {
  Client* client = std::exchange(client_, nullptr);
  return client->release(token_);
}

}  // namespace ringout::link
