#include "bench.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace ringout::scenarios {

namespace {

using capture::Sample;

// Quadrature: position of (A, B) in the Gray cycle 00, 10, 11, 01; one step forward counts up.
int phase_of(bool a, bool b) {
  return a ? (b ? 2 : 1) : (b ? 3 : 0);
}

int count_step(int from, int to) {
  const int d = (to - from + 4) % 4;
  return d == 1 ? 1 : d == 3 ? -1 : 0;
}

constexpr int sample_period_ms = 2;

}  // namespace

Bench::Bench(const robot::Robot& drawn, const plant::Deviations& deviations, std::uint64_t seed)
    : drawn_(drawn), plant_(drawn, deviations, seed) {
  const std::size_t encoders = drawn.board.of_kind(robot::PortKind::encoder_input).size();
  counts_.assign(encoders, 0);
  for (std::size_t e = 0; e < encoders; ++e) {
    const auto port = static_cast<std::uint8_t>(e);
    phases_.push_back(
        static_cast<std::uint8_t>(phase_of(plant_.encoder_level(port, false), plant_.encoder_level(port, true))));
  }
  levels_.assign(drawn.board.of_kind(robot::PortKind::bridge).size(), 0);
  settle(300);
}

void Bench::step_ms() {
  for (std::size_t b = 0; b < levels_.size(); ++b) {
    plant_.command(static_cast<std::uint8_t>(b), {.duty = levels_[b] / 1000.0, .when_off = robot::Off::coast});
  }
  plant_.step(Duration::milliseconds(1));
  ++ms_;
  for (const plant::Edge& edge : plant_.edges()) {
    std::uint8_t& phase = phases_[edge.encoder];
    const bool a = edge.channel_b ? (phase == 1 || phase == 2) : edge.level;
    const bool b = edge.channel_b ? edge.level : (phase == 2 || phase == 3);
    const int next = phase_of(a, b);
    counts_[edge.encoder] += count_step(phase, next);
    phase = static_cast<std::uint8_t>(next);
  }
}

Sample Bench::sample() {
  Sample s;
  s.clock_us = ms_ * 1000;
  s.levels_permille = levels_;
  s.encoders = counts_;
  const std::size_t switches = drawn_.board.of_kind(robot::PortKind::switch_input).size();
  for (std::size_t i = 0; i < switches; ++i) {
    if (plant_.switch_level(static_cast<std::uint8_t>(i))) s.switches |= static_cast<std::uint16_t>(1U << i);
  }
  for (std::uint8_t c = 0; c < 8; ++c) {
    const double raw = plant_.adc_pin(c).si / drawn_.board.logic.si * std::pow(2.0, drawn_.board.adc_bits);
    s.adc.push_back(
        static_cast<std::uint16_t>(std::clamp(std::floor(raw), 0.0, std::pow(2.0, drawn_.board.adc_bits) - 1)));
  }
  return s;
}

void Bench::settle(int ms, std::vector<Sample>* into) {
  for (int i = 0; i < ms; ++i) {
    step_ms();
    if (into != nullptr && ms_ % sample_period_ms == 0) into->push_back(sample());
  }
}

capture::BumpRecord Bench::bump(std::uint8_t bridge, int level_permille, const prove::BumpPlan& plan) {
  capture::BumpRecord r;
  r.command = {bridge, level_permille, plan.slope_permille_per_ms, plan.duration_ms};
  settle(plan.quiet_before_ms, &r.before);
  const auto allowed = static_cast<unsigned>(plan.allowed_switches | prove::restless_switches(r.before));
  const Sample start = sample();
  r.started_us = ms_ * 1000;
  r.cause = capture::EndCause::duration_over;
  const plant::Truth at_start = plant_.truth();
  std::map<std::string, int> closed_ms;
  int steady_ms = 0;
  for (int t = 1; t <= plan.duration_ms; ++t) {
    const int size = std::min(std::abs(level_permille), plan.slope_permille_per_ms * t);
    levels_[bridge] = static_cast<std::int16_t>(level_permille > 0 ? size : -size);
    step_ms();
    const Sample now = sample();
    if (size == std::abs(level_permille)) {
      ++steady_ms;
      for (const plant::MotorTruth& m : plant_.truth().motors) closed_ms[m.point] += std::abs(m.current) > 1e-3 ? 1 : 0;
    }
    if (ms_ % sample_period_ms == 0) r.during.push_back(now);
    if ((static_cast<unsigned>(now.switches ^ start.switches) & ~allowed) != 0) r.cause = capture::EndCause::end_switch;
    for (std::size_t e = 0; e < now.encoders.size(); ++e) {
      if (std::abs(now.encoders[e] - start.encoders[e]) > plan.encoder_allowance) {
        r.cause = capture::EndCause::travel_bound;
      }
    }
    if (r.cause != capture::EndCause::duration_over) break;
  }
  note_open(closed_ms, steady_ms);
  levels_[bridge] = 0;
  r.ended_us = ms_ * 1000;
  settle(plan.watch_after_ms, &r.after);
  const plant::Truth at_end = plant_.truth();
  for (std::size_t m = 0; m < at_end.motors.size(); ++m) {
    travels_[at_end.motors[m].point].push_back(std::abs(at_end.motors[m].position - at_start.motors[m].position));
  }
  return r;
}

// Only the motor on this bridge carries current at all; the others are not concerned.
void Bench::note_open(const std::map<std::string, int>& closed_ms, int steady_ms) {
  for (const auto& [point, closed] : closed_ms) {
    if (closed == 0 || steady_ms == 0) continue;
    open_shares_[point].push_back(1.0 - static_cast<double>(closed) / steady_ms);
  }
}

double Bench::travel(const std::string& output) const {
  const auto found = travels_.find(output);
  if (found == travels_.end()) return 0.0;
  // In most bumps another motor is driven and this one stands.
  const double most = *std::max_element(found->second.begin(), found->second.end());
  double sum = 0.0;
  double count = 0.0;
  for (const double t : found->second) {
    if (t < 0.3 * most) continue;
    sum += t;
    count += 1.0;
  }
  return count > 0.0 ? sum / count : 0.0;
}

double Bench::open_share(const std::string& output) const {
  const auto found = open_shares_.find(output);
  if (found == open_shares_.end() || found->second.size() < 2) return 0.0;
  std::vector<double> shares = found->second;
  std::sort(shares.rbegin(), shares.rend());
  return shares[1];
}

void Bench::bump_pair(std::uint8_t bridge, const prove::BumpPlan& plan, std::vector<capture::BumpRecord>& records) {
  records.push_back(bump(bridge, plan.level_permille, plan));
  records.push_back(bump(bridge, -plan.level_permille, plan));
}

std::vector<prove::Look> Bench::look_at(std::uint8_t bridge, const prove::BumpPlan& plan,
                                        std::vector<capture::BumpRecord>& records, const prove::Choice& expected) {
  const auto seen = [&](int way) -> prove::Look {
    const std::vector<plant::Seen> all = plant_.look();
    if (all.empty()) return {.bridge = bridge, .saw = prove::Saw::nothing, .point = {}, .direction = 0};
    return {.bridge = bridge, .saw = prove::Saw::device, .point = all[0].point, .direction = way * all[0].direction};
  };
  (void)plant_.look();
  records.push_back(bump(bridge, plan.level_permille, plan));
  std::vector<prove::Look> looks = {seen(1)};
  const prove::Look& first = looks.front();
  const bool as_expected =
      first.saw == expected.saw && first.point == expected.point && first.direction == expected.direction;
  records.push_back(bump(bridge, -plan.level_permille, plan));
  if (!as_expected) looks.push_back(seen(-1));
  return looks;
}

capture::HandRecord Bench::work_by_hand(const std::string& input) {
  capture::HandRecord r;
  r.input = input;
  settle(300, &r.before);
  plant_.work_by_hand(input, true);
  settle(50);
  settle(300, &r.during);
  plant_.work_by_hand(input, false);
  settle(50);
  settle(200, &r.after);
  return r;
}

Proving prove_all(Bench& bench, const robot::Robot& drawn, const prove::IdentifyOptions& options) {
  const prove::BumpPlan plan = prove::plan_bumps(drawn);
  Proving p;
  std::map<std::uint8_t, int> made;
  std::map<std::uint8_t, bool> cut_short;
  for (int pair = 0; pair < plan.pairs_planned; ++pair) {
    for (const std::uint8_t bridge : plan.bridges) {
      if (cut_short[bridge]) continue;
      const std::size_t first = p.evidence.bumps.size();
      bench.bump_pair(bridge, plan, p.evidence.bumps);
      ++made[bridge];
      for (std::size_t i = first; i < p.evidence.bumps.size(); ++i) {
        if (p.evidence.bumps[i].cause != capture::EndCause::duration_over) cut_short[bridge] = true;
      }
    }
  }
  for (;;) {
    p.identification = prove::identify(drawn, p.evidence, options);
    bool asked = false;
    for (const prove::Question& q : p.identification.questions) {
      if (made[q.bridge] >= plan.pairs_allowed || cut_short[q.bridge]) continue;
      ++made[q.bridge];
      asked = true;
      for (const prove::Look& look : bench.look_at(q.bridge, plan, p.evidence.bumps, q.choices.front())) {
        p.evidence.looks.push_back(look);
        ++p.looks;
      }
    }
    if (!asked) return p;
  }
}

}  // namespace ringout::scenarios
