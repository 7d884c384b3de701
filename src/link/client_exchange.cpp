#include "link/client_exchange.h"

#include <algorithm>
#include <utility>

namespace ringout::link {
namespace {

// An end of travel, or the longest time of an unproved output, turns that output off alone: the permission stays.
bool is_one_output(const Stopped& stopped) {
  const bool by_its_end = stopped.cause == wire::StopCause::end_switch ||
                          stopped.cause == wire::StopCause::travel_bound ||
                          stopped.cause == wire::StopCause::duration_over;
  return by_its_end && stopped.port != wire::no_port;
}

}  // namespace

std::uint8_t Client::next_tag() {
  tag_ = static_cast<std::uint8_t>(tag_ == 255 ? 1 : tag_ + 1);  // tag 0 is for events and the stop frame
  return tag_;
}

Result<void> Client::wait_for_room(std::size_t frame) {
  while (!window_.has_room(frame, now())) {
    if (Result<void> done = step(std::min(window_.surely_empty(), now() + Duration::milliseconds(1))); !done)
      return done;
  }
  return {};
}

Result<void> Client::send(std::uint8_t tag, std::span<const std::uint8_t> frame) {
  if (closed_) return tl::unexpected<Error>(*closed_);
  if (Result<void> room = wait_for_room(frame.size()); !room) return room;
  sent_at_[tag] = now();
  if (Result<void> written = stream_.write(frame); !written) {
    closed_ = written.error();
    return written;
  }
  window_.sent(tag, frame.size(), now());
  return {};
}

Result<void> Client::step(Instant deadline) {
  if (closed_) return tl::unexpected<Error>(*closed_);
  hold_if_due();
  // With the permission lost, whoever waits is told soon.
  if (live_) deadline = std::min(deadline, live_->lost ? now() + Duration::milliseconds(1) : live_->next_hold);
  StreamEvent event = stream_.wait_until(deadline);
  if (const auto* arrived = std::get_if<Arrived>(&event)) {
    take(arrived->bytes, arrived->at);
  } else if (const auto* closed = std::get_if<Closed>(&event)) {
    closed_ = closed->why;
    return tl::unexpected<Error>(*closed_);
  }
  return {};
}

Result<void> Client::run_until(Instant deadline) {
  do {
    if (Result<void> done = step(deadline); !done) return done;
    if (live_ && live_->lost) return tl::unexpected<Error>(*live_->lost);
  } while (now() < deadline);
  return {};
}

Result<std::optional<Client::Reply>> Client::await(Instant deadline) {
  while (!awaited_->reply && now() < deadline) {
    if (Result<void> done = step(deadline); !done) return tl::unexpected<Error>(done.error());
  }
  return std::exchange(awaited_, std::nullopt)->reply;
}

void Client::take(std::span<const std::uint8_t> bytes, Instant at) {
  heard_.bytes += bytes.size();
  for (const std::uint8_t byte : bytes) {
    switch (decoder_.push(byte)) {
      case wire::FrameDecoder::Event::frame:
        ++heard_.frames;
        dispatch(decoder_.frame(), at);
        break;
      case wire::FrameDecoder::Event::damaged:
        ++heard_.damaged;
        break;
      case wire::FrameDecoder::Event::nothing:
        break;
    }
  }
}

void Client::dispatch(const wire::Frame& frame, Instant at) {
  if (frame.type == wire::type_sample) {
    const std::optional<Sample> sample = reader_.read(frame, at);
    if (sample && on_sample) on_sample(*sample);
  } else if (frame.type >= wire::type_stopped) {
    take_event(frame);
  } else if (frame.type & wire::type_reply_bit) {
    take_reply(frame, at);
  }
}

void Client::take_reply(const wire::Frame& frame, Instant at) {
  Reply reply;
  if (!sent_at_[frame.tag] || !wire::decode(frame.payload, frame.size, reply.header)) return;
  const Instant sent = *std::exchange(sent_at_[frame.tag], std::nullopt);
  last_round_trip_ = at - sent;
  window_.answered(frame.tag);
  clock_.add(sent, at, reply.header.clock_us);
  if (live_) live_->last_answer = at;
  if (awaited_ && awaited_->tag == frame.tag && awaited_->type == frame.type) {
    reply.payload.assign(frame.payload, frame.payload + frame.size);
    awaited_->reply = std::move(reply);
  } else if (frame.type == wire::reply_type(wire::type_hold) && live_) {
    const wire::Status status = reply.header.status;
    const bool over = status == wire::Status::no_permission || status == wire::Status::wrong_token ||
                      status == wire::Status::inhibited || status == wire::Status::faults_latched;
    if (over) lose(refusal("to keep the outputs on", reply.header));
  }
}

void Client::take_event(const wire::Frame& frame) {
  if (frame.type == wire::type_stopped) {
    wire::StoppedEvent event;
    if (!wire::decode(frame.payload, frame.size, event)) return;
    const auto cause = static_cast<wire::StopCause>(event.cause);
    const Stopped stopped{.cause = cause, .port = event.port};
    if (is_one_output(stopped)) {
      output_stopped_ = stopped;
    } else {
      lose(stopped_by(cause, "a motion"));
    }
    tell(stopped);
  } else if (frame.type == wire::type_bump_ended) {
    wire::BumpEndedEvent event;
    if (!wire::decode(frame.payload, frame.size, event)) return;
    bump_ended_ = bump_ended_from(event);
    tell(*bump_ended_);
  } else if (frame.type == wire::type_program_event) {
    wire::ProgramEvent event;
    if (!wire::decode(frame.payload, frame.size, event)) return;
    tell(ProgramChanged{.state = static_cast<wire::ProgramState>(event.state), .line = event.line});
  }
}

void Client::tell(const ControllerEvent& event) {
  if (on_event) on_event(event);
}

Error Client::unanswered(const std::string& what) const {
  return {
      ErrorKind::unreachable, "link.no-reply",
      stream_.name() + " does not answer any more (asked " + std::to_string(times_.repeats) + " times: " + what + ")",
      no_reply_hint};
}

}  // namespace ringout::link
