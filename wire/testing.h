// For tests on the host: what several of them say to an agent.
#pragma once

#include <cstdint>
#include <vector>

#include "wire/crc.h"
#include "wire/messages.h"
#include "wire/point_table.h"

namespace ringout::wire::testing {

// Loads a table as a host does: begin, chunks, commit, each asked again while the agent is busy, until one is refused.
// `status_of` sends a request and returns the status of its answer.
template <class StatusOf>
Status load_table(const std::vector<std::uint8_t>& table, StatusOf status_of) {
  constexpr int patience = 4000;  // answers
  const auto patiently = [&](const auto& request) {
    Status status = Status::busy;
    for (int i = 0; i < patience && status == Status::busy; ++i) status = status_of(request);
    return status;
  };
  TableBegin begin;
  begin.length = static_cast<std::uint16_t>(table.size());
  begin.crc = crc32(table.data(), static_cast<std::uint16_t>(table.size() - table_check_bytes));
  Status status = patiently(begin);
  for (std::size_t at = 0; at < table.size() && status == Status::ok; at += max_table_chunk) {
    TableChunk chunk;
    chunk.offset = static_cast<std::uint16_t>(at);
    chunk.bytes.bytes = table.data() + at;
    const std::size_t left = table.size() - at;
    chunk.bytes.size = static_cast<std::uint16_t>(left < max_table_chunk ? left : max_table_chunk);
    status = patiently(chunk);
  }
  return status == Status::ok ? patiently(TableCommit()) : status;
}

}  // namespace ringout::wire::testing
