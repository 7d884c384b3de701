// Inputs that no bump can prove: the person works one, all are watched.
#include <algorithm>
#include <cstdlib>
#include <utility>

#include "prove/hand_proof.h"
#include "session/session.h"

namespace ringout::session {
namespace {

constexpr Duration hand_time = Duration::milliseconds(120'000);
constexpr Duration looked_at = Duration::milliseconds(300);
constexpr Duration settling = Duration::milliseconds(60);  // contacts bounce
constexpr int raw_change = 50;                             // of an ADC reading, well above noise: 5 % of 10 bits
constexpr std::size_t steady_samples = 25;

// Whether some input has left where it was and stayed there.
bool changed_and_steady(const capture::Sample& rest, const std::vector<capture::Sample>& since) {
  if (since.size() < steady_samples) return false;
  const auto differs = [&](const capture::Sample& sample) {
    if (sample.switches != rest.switches) return true;
    for (std::size_t i = 0; i < sample.adc.size() && i < rest.adc.size(); ++i) {
      if (std::abs(sample.adc[i] - rest.adc[i]) > raw_change) return true;
    }
    return false;
  };
  return std::all_of(since.end() - steady_samples, since.end(), differs);
}

}  // namespace

Result<void> Session::prove_by_hand(Proving& proving, const ProveOptions& options) {
  for (const prove::HandRequest& request : prove::hand_requests(setup_.robot)) {
    const auto& only = options.only_by_hand;
    if (!only.empty() && std::find(only.begin(), only.end(), request.input) == only.end()) continue;
    Result<capture::HandRecord> record = hand_record(request.input, request.action);
    if (!record) return tl::unexpected<Error>(record.error());
    tell(HandRecorded{.record = *record});
    proving.hands.push_back(std::move(*record));
  }
  return {};
}

Result<std::vector<capture::Sample>> Session::samples_over(Duration time) {
  samples_.clear();
  if (Result<void> watched = watch(time); !watched) return tl::unexpected<Error>(watched.error());
  return std::exchange(samples_, {});
}

Result<capture::HandRecord> Session::hand_record(const std::string& input, const std::string& action) {
  capture::HandRecord record;
  record.input = input;
  if (Result<void> started = start_samples(); !started) return tl::unexpected<Error>(started.error());
  auto before = samples_over(looked_at);
  if (!before) return tl::unexpected<Error>(before.error());
  record.before = std::move(*before);
  const HandAction work{
      .id = "work." + input, .hand = Hand::work_sensor, .point = input, .text = action + ", and hold it"};
  const auto answered = [&] { return !record.before.empty() && changed_and_steady(record.before.back(), samples_); };
  const Result<Progress> worked = act(work, hand_time, answered);
  if (!worked) return tl::unexpected<Error>(worked.error());
  record.done = *worked == Progress::done;
  if (record.done) {
    if (Result<void> settled = watch(settling); !settled) return tl::unexpected<Error>(settled.error());
    auto during = samples_over(looked_at);
    if (!during) return tl::unexpected<Error>(during.error());
    record.during = std::move(*during);
  }
  // She lets go in any case, or her hand would be part of the next proof.
  const HandAction let_go{.id = "let_go." + input, .hand = Hand::let_go, .point = input, .text = "let go"};
  const auto let = [&] { return !record.during.empty() && changed_and_steady(record.during.back(), samples_); };
  samples_.clear();
  const Result<Progress> gone = act(let_go, hand_time, let);
  if (!gone) return tl::unexpected<Error>(gone.error());
  if (Result<void> settled = watch(settling); !settled) return tl::unexpected<Error>(settled.error());
  auto after = samples_over(looked_at);
  if (!after) return tl::unexpected<Error>(after.error());
  record.after = std::move(*after);
  return record;
}

}  // namespace ringout::session
