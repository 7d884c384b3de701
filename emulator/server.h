// SPDX-License-Identifier: GPL-3.0-or-later
// Answers the messages of PROTOCOL.md on a rig.
#pragma once

#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "emulator/protocol.h"
#include "emulator/rig.h"

namespace ringout::emulator {

class Server {
 public:
  // `save` keeps an EEPROM image where it lasts.
  using Save = std::function<Result<void>(std::span<const std::uint8_t> image)>;
  Server(Rig& rig, Save save) : rig_(rig), save_(std::move(save)) {}

  // The reply to one message body, with its length in front. Nothing but a hello is answered before the hello.
  [[nodiscard]] std::vector<std::uint8_t> answer(std::span<const std::uint8_t> body);

 private:
  [[nodiscard]] Result<MessageWriter> answer_link(Kind kind, MessageReader& body);
  [[nodiscard]] Result<MessageWriter> answer_person(Kind kind, MessageReader& body);
  [[nodiscard]] Result<MessageWriter> answer_bench(Kind kind, MessageReader& body);
  [[nodiscard]] Result<MessageWriter> hello(MessageReader& body);
  [[nodiscard]] Result<MessageWriter> run(MessageReader& body);

  Rig& rig_;
  Save save_;
  bool greeted_ = false;
};

}  // namespace ringout::emulator
