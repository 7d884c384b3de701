#include "link/client.h"

#include <algorithm>

#include "base/check.h"
#include "link/client_exchange.h"

namespace ringout::link {
namespace {

constexpr std::size_t window_before_hello = 64;
constexpr std::uint32_t host_features =
    wire::feature_table | wire::feature_motion | wire::feature_program | wire::feature_stream;

bool may_move(wire::AgentState state) {
  return state == wire::AgentState::permitted || state == wire::AgentState::bumping ||
         state == wire::AgentState::program;
}

}  // namespace

Client::Client(TimedStream& stream, std::uint64_t seed, Times times)
    : stream_(stream), times_(times), random_(seed), window_(window_before_hello) {}

Result<Controller> Client::hello() {
  const Instant deadline = now() + times_.hello;
  const Heard before = heard_;
  clock_.forget();
  live_.reset();
  window_.resize(window_before_hello);
  while (true) {
    const wire::Hello request{.features = host_features, .nonce = static_cast<std::uint32_t>(random_())};
    wire::FrameBuilder builder;
    const std::uint8_t tag = next_tag();
    const std::uint16_t size = wire::build(builder, wire::type_hello, tag, request);
    // A zero first: whatever half a frame stands before it ends there.
    std::vector<std::uint8_t> bytes{0};
    bytes.insert(bytes.end(), builder.bytes(), builder.bytes() + size);
    awaited_ = Awaited{.tag = tag, .type = wire::reply_type(wire::type_hello), .reply = {}};
    if (Result<void> sent = send(tag, bytes); !sent) return tl::unexpected<Error>(sent.error());
    const Result<std::optional<Reply>> reply = await(std::min(deadline, now() + Duration::milliseconds(100)));
    if (!reply) return tl::unexpected<Error>(reply.error());
    wire::HelloReply fields;
    const bool ours = *reply && (!wire::decode((*reply)->payload.data(),
                                               static_cast<std::uint16_t>((*reply)->payload.size()), fields) ||
                                 fields.nonce == request.nonce);
    if (ours) {
      Result<Controller> judged = judge_hello(**reply);
      if (!judged) return judged;
      controller_ = *judged;
      window_.resize(static_cast<std::size_t>(controller_.window));
      return controller_;
    }
    if (now() >= deadline) return tl::unexpected<Error>(no_hello(before));
  }
}

Result<Controller> Client::judge_hello(const Reply& reply) const {
  wire::Reader from(reply.payload.data(), static_cast<std::uint16_t>(reply.payload.size()));
  wire::ReplyHeader header;
  wire::ReplyHeader::fields(from, header);
  std::uint8_t major = 0;
  std::uint8_t minor = 0;
  from.u8(major);
  from.u8(minor);
  if (from.ok() && major != wire::protocol_major) {
    const bool newer = major > wire::protocol_major;
    const std::string versions = "the firmware speaks version " + std::to_string(major) + "." + std::to_string(minor) +
                                 " of the link, this ringout version " + std::to_string(wire::protocol_major) + "." +
                                 std::to_string(wire::protocol_minor);
    return failure(ErrorKind::refused, newer ? "link.newer-agent" : "link.older-agent", versions,
                   newer ? "use a newer ringout, or build the firmware with this one and write it to the controller"
                         : "build the firmware with this ringout and write it to the controller");
  }
  if (header.status != wire::Status::ok) return tl::unexpected<Error>(refusal("the hello", header));
  wire::HelloReply fields;
  if (!wire::decode(reply.payload.data(), static_cast<std::uint16_t>(reply.payload.size()), fields)) {
    return failure(ErrorKind::refused, "link.short-hello", "the firmware's answer to the hello is too short",
                   "build the firmware with this ringout and write it to the controller");
  }
  const bool possible = fields.bridges <= wire::max_bridges && fields.encoders <= wire::max_encoders &&
                        fields.switches <= wire::max_switches && fields.adc_channels <= wire::max_adc_channels &&
                        fields.points <= wire::max_points && fields.window > 0;
  if (!possible) {
    return failure(ErrorKind::refused, "link.impossible-hello",
                   "the firmware names more ports or points than this version can handle",
                   "use the ringout of the firmware's version");
  }
  Controller controller = controller_from(fields);
  controller.features &= host_features;
  return controller;
}

Error Client::no_hello(const Heard& before) const {
  const std::string where = stream_.name();
  if (heard_.frames > before.frames) {
    return {ErrorKind::unreachable, "link.hello-unanswered",
            where + " sends frames of ours but does not answer the hello", "try again; look at the cable"};
  }
  if (heard_.bytes > before.bytes) {
    return {
        ErrorKind::unreachable, "link.not-the-agent",
        "something answers on " + where + ", but it is not ringout's agent (" +
            std::to_string(heard_.bytes - before.bytes) + " bytes, none of them a whole frame)",
        "write the team's firmware to it ('ringout build ROBOT PROGRAM --for CHIP'); if it is there, compare the line "
        "rate with the board file"};
  }
  return {ErrorKind::unreachable, "link.no-answer", "nothing answers on " + where,
          "is the controller powered, is it the right port, is the team's firmware loaded?"};
}

Result<AgentStatus> Client::status() {
  const auto reply = ask(wire::StatusRequest{}, "its status");
  if (!reply) return tl::unexpected<Error>(reply.error());
  wire::StatusReply fields;
  if (!wire::decode(reply->payload.data(), static_cast<std::uint16_t>(reply->payload.size()), fields)) {
    return failure(ErrorKind::refused, "link.short-reply", "the firmware's status is too short",
                   "build the firmware with this ringout and write it to the controller");
  }
  return status_from(fields);
}

Result<std::vector<PointName>> Client::point_names() {
  std::vector<PointName> names;
  for (int i = 0; i < controller_.points; ++i) {
    const wire::PointNameRequest request{.point = static_cast<std::uint8_t>(i)};
    const auto reply = ask(request, "the name of point " + std::to_string(i + 1));
    if (!reply) return tl::unexpected<Error>(reply.error());
    wire::PointNameReply fields;
    if (!wire::decode(reply->payload.data(), static_cast<std::uint16_t>(reply->payload.size()), fields)) {
      return failure(ErrorKind::refused, "link.short-reply", "the firmware's answer for a point's name is too short",
                     "build the firmware with this ringout and write it to the controller");
    }
    names.push_back({.kind = static_cast<wire::PointKind>(fields.kind), .name = text_from(fields.name)});
  }
  return names;
}

Result<void> Client::clear_faults() {
  const auto reply = ask(wire::ClearFaults{}, "to clear the faults");
  if (!reply) return tl::unexpected<Error>(reply.error());
  return {};
}

Result<void> Client::stop_program() {
  const auto reply = ask(wire::ProgramStop{}, "to stop the program");
  if (!reply) return tl::unexpected<Error>(reply.error());
  return {};
}

Result<void> Client::stream_samples(Duration period, std::uint16_t content) {
  RINGOUT_CHECK(period.ns % 1'000'000 == 0);
  const auto period_ms = static_cast<std::uint16_t>(period.ns / 1'000'000);
  // Samples of the new stream may overtake the reply, so the reader is ready before the request goes out.
  reader_.begin(content, controller_);
  const auto reply = ask(wire::Stream{.period_ms = period_ms, .content = content}, "the samples");
  if (!reply) return tl::unexpected<Error>(reply.error());
  return {};
}

Result<void> Client::stop() {
  live_.reset();
  if (on_intent) on_intent({.at = now(), .type = wire::type_stop, .not_after = now()});
  wire::FrameBuilder builder;
  const std::uint16_t size = wire::build(builder, wire::type_stop, 0, wire::Stop{});
  std::optional<Error> last;
  for (int round = 0; round < 8; ++round) {
    for (int copy = 0; copy < 3; ++copy) {
      if (closed_) return tl::unexpected<Error>(*closed_);
      // Past the window: the receive interrupt recognises these bytes whatever the ring holds.
      if (Result<void> sent = stream_.write({builder.bytes(), size}); !sent) closed_ = sent.error();
      window_.sent(0, size, now());
      if (Result<void> waited = step(now() + Duration::milliseconds(2)); !waited) return waited;
    }
    const Result<AgentStatus> state = status();
    if (state && !may_move(state->state)) return {};
    if (!state) last = state.error();
  }
  return failure(
      ErrorKind::unreachable, "link.stop-unconfirmed",
      stream_.name() + " was told to stop but does not confirm it" + (last ? " (" + last->message + ")" : ""),
      "open the supply disconnect now");
}

}  // namespace ringout::link
