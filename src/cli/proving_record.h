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

class CaptureRecord {
 public:
  // Events before this are kept and written first. Errors: cli.capture-not-written.
  [[nodiscard]] Result<void> begin(const std::string& path, const robot::Robot& robot,
                                   const link::Controller& controller);
  void add(const session::Event& event);
  // What the controller carried, so that a replay shows the whole agreement.
  void add(const prove::Coded& coded);
  // Whether everything reached the file.
  [[nodiscard]] Result<void> end();
  // Nothing worth keeping was recorded: removes the file.
  void discard();

 private:
  struct Close {
    void operator()(std::FILE* file) const { std::fclose(file); }
  };
  std::string path_;
  std::unique_ptr<std::FILE, Close> file_;
  std::unique_ptr<capture::CaptureWriter> writer_;
};

struct Replayed {
  std::vector<prove::Finding> findings;
  prove::SupplyFinding supply;
  std::optional<prove::Coded> coded;  // empty: the capture was taken without it
  std::string remarks;                // damaged lines that were left out, rendered; may be empty
};

// Errors: of reading; cli.capture-unreadable; cli.capture-of-another-board.
[[nodiscard]] Result<Replayed> replay_capture(const std::string& path, const robot::Robot& robot);

}  // namespace ringout::cli
