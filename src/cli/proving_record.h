// The capture of a proving: written while it goes on, so that a cut leaves what was recorded, and read again later.
#pragma once

#include <cstdio>
#include <memory>
#include <optional>
#include <string>

#include "base/result.h"
#include "capture/capture.h"
#include "link/controller.h"
#include "prove/agreement.h"
#include "prove/identify.h"
#include "robot/robot.h"
#include "session/events.h"

namespace ringout::cli {

// Where, when and on which drawing a capture was taken. Older captures do not say it: empty.
struct Taken {
  std::string on;        // the link
  std::string identity;  // of the controller
  std::string person;    // who answered
  std::string date;      // "2026-03-01"
  std::string drawing;   // wiring_fingerprint of the robot file, eight hexadecimal digits
  bool whole = false;    // the proving came to its end

  // Whether findings can be kept from it.
  [[nodiscard]] bool known() const { return !on.empty() && !date.empty() && !drawing.empty(); }
};

class CaptureRecord {
 public:
  // Events before this are kept and written first. Errors: cli.capture-not-written.
  [[nodiscard]] Result<void> begin(const std::string& path, const robot::Robot& robot,
                                   const link::Controller& controller, const Taken& taken);
  void add(const session::Event& event);
  // The proving came to its end. Whether everything reached the file.
  [[nodiscard]] Result<void> end();
  // Nothing worth keeping was recorded: removes the file.
  void discard();

 private:
  struct Close {
    void operator()(std::FILE* file) const { std::fclose(file); }
  };
  void add(const prove::Coded& coded);

  std::string path_;
  std::unique_ptr<std::FILE, Close> file_;
  std::unique_ptr<capture::CaptureWriter> writer_;
};

struct Replayed {
  std::vector<prove::Finding> findings;
  prove::SupplyFinding supply;
  std::optional<prove::Coded> coded;  // empty: the capture was taken without it
  Taken taken;
  std::uint32_t table_fingerprint = 0;
  std::string remarks;  // damaged lines that were left out, rendered; may be empty
};

// Errors: of reading; cli.capture-unreadable; cli.capture-of-another-board.
[[nodiscard]] Result<Replayed> replay_capture(const std::string& path, const robot::Robot& robot);

}  // namespace ringout::cli
