#include "reach/twin_stream.h"

#include <cstdio>

#include "os/files.h"

namespace ringout::reach {

TwinStream::TwinStream(std::unique_ptr<twin::Twin> twin, std::string name, std::string eeprom_path)
    : twin_(std::move(twin)),
      name_(std::move(name)),
      eeprom_path_(std::move(eeprom_path)),
      eeprom_before_(twin_->eeprom()) {}

TwinStream::~TwinStream() {
  if (eeprom_path_.empty() || twin_->eeprom() == eeprom_before_) return;
  const auto kept = os::write_atomically(eeprom_path_, twin_->eeprom());
  if (!kept) std::fprintf(stderr, "the twin's EEPROM is not kept: %s\n", kept.error().message.c_str());
}

Result<void> TwinStream::write(std::span<const std::uint8_t> bytes) {
  twin_->write(bytes);
  return {};
}

link::StreamEvent TwinStream::wait_until(Instant deadline) {
  const auto come = twin_->run_until(deadline, twin::Twin::Until::first_bytes);
  if (come.empty()) return link::DeadlinePassed{};
  link::Arrived arrived;
  for (const twin::TimedByte& byte : come) arrived.bytes.push_back(byte.byte);
  arrived.at = come.back().at;
  return arrived;
}

}  // namespace ringout::reach
