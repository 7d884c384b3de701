// Loading the point table and reading it back.
#include <algorithm>

#include "base/check.h"
#include "link/client_exchange.h"
#include "wire/point_table.h"

namespace ringout::link {

Result<void> Client::load_table(std::span<const std::uint8_t> table) {
  if (table.size() > wire::max_table_bytes) {
    return failure(ErrorKind::bad_input, "link.table-too-long",
                   "the point table has " + std::to_string(table.size()) + " bytes, the controller takes " +
                       std::to_string(static_cast<int>(wire::max_table_bytes)),
                   "a robot has at most 64 points");
  }
  RINGOUT_CHECK(table.size() >= wire::table_bytes(0));
  const auto length = static_cast<std::uint16_t>(table.size());
  const auto checked = static_cast<std::uint16_t>(length - wire::table_check_bytes);
  const wire::TableBegin begin{.length = length, .crc = wire::crc32(table.data(), checked)};
  if (const auto reply = ask_while_busy(begin, "the point table"); !reply) return tl::unexpected<Error>(reply.error());
  for (std::uint16_t offset = 0; offset < length;) {
    const auto size = static_cast<std::uint16_t>(std::min<int>(wire::max_table_chunk, length - offset));
    const wire::TableChunk chunk{.offset = offset, .bytes = {.bytes = table.data() + offset, .size = size}};
    if (const auto reply = ask_while_busy(chunk, "a piece of the point table"); !reply) {
      return tl::unexpected<Error>(reply.error());
    }
    offset = static_cast<std::uint16_t>(offset + size);
  }
  if (const auto reply = ask_while_busy(wire::TableCommit{}, "the point table"); !reply) {
    return tl::unexpected<Error>(reply.error());
  }
  if (const auto again = hello(); !again) return tl::unexpected<Error>(again.error());
  const Result<std::vector<std::uint8_t>> read_back = read_table();
  if (!read_back) return tl::unexpected<Error>(read_back.error());
  if (!std::equal(read_back->begin(), read_back->end(), table.begin(), table.end())) {
    return failure(ErrorKind::refused, "link.table-read-back",
                   "the point table reads back from the controller other than it was written",
                   "load it again; if it happens again, the controller's memory is worn or damaged");
  }
  return {};
}

Result<std::vector<std::uint8_t>> Client::read_table() {
  std::vector<std::uint8_t> table;
  const wire::TableState state = controller_.table_state;
  if (state == wire::TableState::none || state == wire::TableState::damaged) return table;
  std::size_t length = wire::table_header_bytes;
  while (table.size() < length) {
    const wire::TableRead request{
        .offset = static_cast<std::uint16_t>(table.size()),
        .length = static_cast<std::uint8_t>(std::min<std::size_t>(wire::max_table_chunk, length - table.size()))};
    const auto reply = ask_while_busy(request, "the point table's bytes");
    if (!reply) return tl::unexpected<Error>(reply.error());
    wire::TableReadReply fields;
    const bool whole = wire::decode(reply->payload.data(), static_cast<std::uint16_t>(reply->payload.size()), fields) &&
                       fields.offset == request.offset && fields.bytes.size == request.length;
    if (!whole) {
      return failure(ErrorKind::refused, "link.table-read", "the controller's table cannot be read back whole",
                     "load the table again");
    }
    table.insert(table.end(), fields.bytes.bytes, fields.bytes.bytes + fields.bytes.size);
    if (table.size() == wire::table_header_bytes) {
      wire::TableHeader header;
      wire::Reader from(table.data(), wire::table_header_bytes);
      wire::TableHeader::fields(from, header);
      if (header.magic != wire::table_magic || header.length > wire::max_table_bytes)
        return std::vector<std::uint8_t>{};
      length = std::max<std::size_t>(header.length, wire::table_header_bytes);
    }
  }
  return table;
}

}  // namespace ringout::link
