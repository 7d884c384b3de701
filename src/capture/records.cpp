// From a capture's lines to bumps and hand actions, and back.
#include "capture/capture.h"

#include <utility>

namespace ringout::capture {

namespace {

// Takes entries one by one; each bump runs bump_quiet … bump … ended … bump_over.
class BumpAssembly {
 public:
  void take(const Sample& s) {
    if (stage_ == Stage::idle) return;
    record_.lost_samples += s.lost_before;
    part().push_back(s);
  }
  void take(const BumpStarted& b) {
    if (stage_ != Stage::quiet) open();
    record_.command = b.command;
    record_.started_us = b.clock_us;
    stage_ = Stage::driving;
  }
  void take(const BumpEnded& b) {
    if (stage_ != Stage::driving || b.bridge != record_.command.bridge) return;
    record_.ended_us = b.clock_us;
    record_.cause = b.cause;
    stage_ = Stage::coasting;
  }
  void take(const PhaseMark& m) {
    if (m.phase == Phase::bump_quiet) open();
    if (m.phase == Phase::bump_over) close();
  }
  void take(const AnswerGiven&) {}
  void take(const PointCarried&) {}
  void take(const About&) {}

  std::vector<BumpRecord> finish() {
    close();
    return std::move(done_);
  }

 private:
  enum class Stage { idle, quiet, driving, coasting };

  void open() {
    close();
    record_ = BumpRecord{};
    stage_ = Stage::quiet;
  }
  // A bump that was cut before its end is no evidence of anything, and is dropped.
  void close() {
    if (stage_ == Stage::coasting) done_.push_back(std::move(record_));
    stage_ = Stage::idle;
  }
  std::vector<Sample>& part() {
    if (stage_ == Stage::quiet) return record_.before;
    return stage_ == Stage::driving ? record_.during : record_.after;
  }

  Stage stage_ = Stage::idle;
  BumpRecord record_;
  std::vector<BumpRecord> done_;
};

}  // namespace

std::vector<BumpRecord> bump_records(const Capture& capture) {
  BumpAssembly assembly;
  for (const Entry& entry : capture.entries) {
    std::visit([&assembly](const auto& e) { assembly.take(e); }, entry);
  }
  return assembly.finish();
}

std::vector<HandRecord> hand_records(const Capture& capture) {
  std::vector<HandRecord> done;
  HandRecord record;
  std::vector<Sample>* part = nullptr;
  for (const Entry& entry : capture.entries) {
    if (const auto* s = std::get_if<Sample>(&entry); s != nullptr && part != nullptr) part->push_back(*s);
    const auto* m = std::get_if<PhaseMark>(&entry);
    if (m == nullptr) continue;
    switch (m->phase) {
      case Phase::hands_away:
        record = HandRecord{};
        record.input = m->input;
        part = &record.before;
        break;
      case Phase::hand_holds:
        part = &record.during;
        break;
      case Phase::hand_let_go:
        part = &record.after;
        break;
      case Phase::turned_positive:
      case Phase::turned_negative:
        record.direction = m->phase == Phase::turned_positive ? 1 : -1;
        break;
      case Phase::hand_over:
      case Phase::hand_cannot:
        record.done = m->phase == Phase::hand_over;
        if (part != nullptr) done.push_back(std::exchange(record, HandRecord{}));
        part = nullptr;
        break;
      case Phase::bump_quiet:
      case Phase::bump_over:
        part = nullptr;
        break;
    }
  }
  return done;
}

void append_record(const BumpRecord& r, std::vector<Entry>& entries) {
  entries.emplace_back(PhaseMark{r.before.empty() ? r.started_us : r.before.front().clock_us, Phase::bump_quiet, {}});
  entries.insert(entries.end(), r.before.begin(), r.before.end());
  entries.emplace_back(BumpStarted{r.started_us, r.command});
  entries.insert(entries.end(), r.during.begin(), r.during.end());
  entries.emplace_back(BumpEnded{r.ended_us, r.command.bridge, r.cause});
  entries.insert(entries.end(), r.after.begin(), r.after.end());
  entries.emplace_back(PhaseMark{r.after.empty() ? r.ended_us : r.after.back().clock_us, Phase::bump_over, {}});
}

void append_record(const HandRecord& r, std::vector<Entry>& entries) {
  std::int64_t clock = r.before.empty() ? 0 : r.before.front().clock_us;
  const auto part = [&](Phase phase, const std::vector<Sample>& samples) {
    if (!samples.empty()) clock = samples.front().clock_us;
    entries.emplace_back(PhaseMark{clock, phase, r.input});
    entries.insert(entries.end(), samples.begin(), samples.end());
    if (!samples.empty()) clock = samples.back().clock_us;
  };
  part(Phase::hands_away, r.before);
  part(Phase::hand_holds, r.during);
  part(Phase::hand_let_go, r.after);
  if (r.direction != 0) {
    entries.emplace_back(PhaseMark{clock, r.direction > 0 ? Phase::turned_positive : Phase::turned_negative, r.input});
  }
  entries.emplace_back(PhaseMark{clock, r.done ? Phase::hand_over : Phase::hand_cannot, r.input});
}

}  // namespace ringout::capture
