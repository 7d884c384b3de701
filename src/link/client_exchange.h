// Inside of the client: one request with its bounded repeats. Only for the client's own sources.
#pragma once

#include "link/client.h"
#include "link/words.h"

namespace ringout::link {

inline constexpr const char* no_reply_hint =
    "look at the cable and the controller's power, then start again; outputs turn off by themselves";

template <class Record>
Result<Client::Reply> Client::ask(const Record& record, const std::string& what) {
  for (int attempt = 0; attempt < times_.repeats; ++attempt) {
    wire::FrameBuilder builder;
    const std::uint8_t tag = next_tag();
    const std::uint16_t size = wire::build(builder, Record::type, tag, record);
    awaited_ = Awaited{.tag = tag, .type = wire::reply_type(Record::type), .reply = {}};
    if (Result<void> sent = send(tag, {builder.bytes(), size}); !sent) return tl::unexpected<Error>(sent.error());
    Result<std::optional<Reply>> reply = await(now() + times_.reply);
    if (!reply) return tl::unexpected<Error>(reply.error());
    if (!*reply) continue;
    if ((*reply)->header.status != wire::Status::ok && (*reply)->header.status != wire::Status::busy) {
      return tl::unexpected<Error>(refusal(what, (*reply)->header));
    }
    return std::move(**reply);
  }
  return tl::unexpected<Error>(unanswered(what));
}

template <class Record>
Result<Client::Reply> Client::ask_while_busy(const Record& record, const std::string& what) {
  const Instant deadline = now() + times_.busy;
  while (true) {
    Result<Reply> reply = ask(record, what);
    if (!reply || reply->header.status != wire::Status::busy) return reply;
    if (now() >= deadline) return tl::unexpected<Error>(refusal(what, reply->header));
    if (Result<void> waited = run_until(now() + Duration::milliseconds(10)); !waited) {
      return tl::unexpected<Error>(waited.error());
    }
  }
}

}  // namespace ringout::link
