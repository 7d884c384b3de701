// A capture: everything a proving was decided on, as a plain text file (docs/capture.md), so that it can be replayed to
// the same findings. The writer only appends; a file cut anywhere reads up to its last whole line.
#pragma once

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "base/diagnostic.h"
#include "base/source_text.h"
#include "capture/sample.h"
#include "robot/robot.h"

namespace ringout::capture {

struct Header {
  std::string robot;
  std::string board;
  std::uint32_t table_fingerprint = 0;
  int bridges = 0;
  int encoders = 0;
  int switches = 0;
  int adc_channels = 0;

  bool operator==(const Header&) const = default;
};

struct BumpStarted {
  std::int64_t clock_us = 0;
  BumpCommand command;
  bool operator==(const BumpStarted&) const = default;
};
struct BumpEnded {
  std::int64_t clock_us = 0;
  std::uint8_t bridge = 0;
  EndCause cause = EndCause::none;
  bool operator==(const BumpEnded&) const = default;
};
// Where the samples of the next bump's quiet part, or of a hand action's "hands away" part, begin.
enum class Phase {
  bump_quiet,
  bump_over,
  hands_away,
  hand_holds,
  hand_let_go,
  hand_over,
  hand_cannot,
  turned_positive,  // what the person said of the hand action that is then over
  turned_negative,
};
struct PhaseMark {
  std::int64_t clock_us = 0;
  Phase phase = Phase::bump_quiet;
  std::string input;  // hand phases
  bool operator==(const PhaseMark&) const = default;
};
// What a person said to a question about one port; words as in prove::Look, kept here as text.
struct AnswerGiven {
  std::int64_t clock_us = 0;
  std::uint8_t bridge = 0;
  std::string saw;    // "device", "nothing", "something_else"
  std::string point;  // may be empty
  int direction = 0;
  bool operator==(const AnswerGiven&) const = default;
};

// A point as the controller carried it: the name and kind of its program, and its entry in the point table.
struct PointCarried {
  struct Place {
    std::uint8_t port = 0;  // index within its kind
    bool reversed = false;
    bool operator==(const Place&) const = default;
  };
  std::string name;
  robot::PointKind kind = robot::PointKind::bridge_motor;
  std::optional<Place> place;  // empty: there was no valid table
  bool operator==(const PointCarried&) const = default;
};

// Something about the capture as a whole: where, when and on what it was taken. Keys are words; the text goes to the
// line's end.
struct About {
  std::string key;
  std::string text;
  bool operator==(const About&) const = default;
};

using Entry = std::variant<Sample, BumpStarted, BumpEnded, PhaseMark, AnswerGiven, PointCarried, About>;

struct Capture {
  Header header;
  std::vector<Entry> entries;
};

// Limits of the format.
inline constexpr int max_channels = 64;
inline constexpr std::size_t max_line_bytes = 2000;
inline constexpr std::size_t max_name_bytes = 64;
inline constexpr std::size_t max_about_bytes = 1500;

// Appends lines to `sink`; each call hands over whole lines with their check.
class CaptureWriter {
 public:
  using Sink = std::function<void(std::string_view)>;
  CaptureWriter(const Header& header, Sink sink);
  void append(const Entry& entry);

 private:
  Sink sink_;
};

// One whole file as text; the same bytes the writer gives.
[[nodiscard]] std::string write_capture(const Capture& capture);

// Reads what is whole: a damaged line is left out and reported with its number; only a damaged header gives nothing.
[[nodiscard]] std::optional<Capture> read_capture(const SourceText& text, Diagnostics& found);

// The bumps and hand actions of a capture, assembled. Samples between them belong to none.
[[nodiscard]] std::vector<BumpRecord> bump_records(const Capture& capture);
[[nodiscard]] std::vector<HandRecord> hand_records(const Capture& capture);

// The entries that describe a record, for a writer that was handed whole records.
void append_record(const BumpRecord& record, std::vector<Entry>& entries);
void append_record(const HandRecord& record, std::vector<Entry>& entries);

// Continues the controller's 32-bit microsecond clock: the value nearest to `last` whose low 32 bits are `raw`.
[[nodiscard]] std::int64_t unwrap32(std::int64_t last, std::uint32_t raw);

}  // namespace ringout::capture
