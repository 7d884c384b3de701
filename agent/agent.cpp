// Safety and the tick: everything that turns outputs off, and the one place that turns them on.
#include "agent/agent.h"

namespace ringout {
namespace agent {

using wire::AgentState;
using wire::ProgramState;
using wire::StopCause;

void Agent::start(wire::ResetCause cause) {
  board_.all_off(board_.context, 0);
  reset_cause_ = cause;
  if (cause == wire::ResetCause::watchdog) {
    faults_ |= wire::fault_watchdog;
    stop_cause_ = StopCause::watchdog;
  }
  if (cause == wire::ResetCause::brown_out) faults_ |= wire::fault_brown_out;
  start_identity();
  table_.start(board_, firmware_);
  if (table_.state() == wire::TableState::damaged) faults_ |= wire::fault_eeprom;
  if (firmware_.points != 0 && hooks_.start != nullptr) program_.state = ProgramState::ready;
  board_.all_off(board_.context, table_.rules().brake_mask());
  const uint8_t frame_end = 0;  // what the reset cut off on the line ends here, and not in the first answer
  board_.transmit(board_.context, &frame_end, 1);
  board_.feed_watchdog(board_.context);
}

void Agent::tick() {
  before_us_ = now_us_;
  now_us_ = clock();
  switches_ = board_.switch_levels(board_.context);
  if (stop_seen_) {
    stop_seen_ = false;
    stop_all(StopCause::host_stop, wire::no_port);
  }
  if (program_over_due_) {
    program_over_due_ = false;
    stop_all(StopCause::program_ended, wire::no_port);
  }
  check_self();
  check_supply();
  check_banks();
  check_hold();
  check_bump();
  check_ends();
  check_unproved_drive();
  keep_identity();
  table_.tick(board_, firmware_);
  take_bytes();
  apply_outputs();
  board_.feed_watchdog(board_.context);
  report();
}

void Agent::tick_missed() {
  faults_ |= wire::fault_tick_overrun;
}

// What the agent holds in memory contradicts itself: memory was damaged, by the team's program or by the supply, or
// this code is wrong. Nothing it holds can be relied on then, so outputs are off until a reset.
void Agent::check_self() {
  if (state_ == AgentState::halted || books_agree()) return;
  faults_ |= wire::fault_bug;
  stop_all(StopCause::bug, wire::no_port);
  if (stop_cause_ != StopCause::bug) note_stop(StopCause::bug, wire::no_port);
  state_ = AgentState::halted;
}

bool Agent::books_agree() const {
  const bool may_move =
      state_ == AgentState::permitted || state_ == AgentState::bumping || state_ == AgentState::program;
  {
    const Lock lock(board_);  // both of these are written by interrupts
    const bool live = permission_.live();
    if (live && !(may_move && table_.rules().valid())) return false;
    if (!live && may_move && !stop_seen_ && !program_over_due_) return false;
  }
  if (!may_move && state_ != AgentState::inhibited) return false;
  if (bump_.active() != (state_ == AgentState::bumping)) return false;
  for (uint8_t i = 0; i < board_.bridges; ++i) {
    const int16_t level = outputs_.applied(i);
    if (level == 0) continue;
    const int16_t most = static_cast<int16_t>(may_move ? most_level(i) : 0);
    if (level > most || level < -most) return false;
  }
  return true;
}

// What any request in this state may have asked of a bridge.
uint16_t Agent::most_level(uint8_t bridge) const {
  const Rules& rules = table_.rules();
  const OutputRule& rule = rules.output(bridge);
  if (state_ == AgentState::bumping && !(rule.present() && rule.proved)) return rules.unproved().level;
  return rule.present() ? rules.drive_bounds(rule).level : 0;
}

// Runs in the receive interrupt, at any point of the tick: the bridges go off here, the books are done by the tick.
void Agent::stop_from_interrupt() {
  permission_.void_it();
  board_.all_off(board_.context, table_.rules().brake_mask());
  stop_seen_ = true;
}

bool Agent::moving() const {
  return state_ == AgentState::program || bump_.active() || outputs_.any_on(board_.bridges);
}

// Takes permission away and turns everything off.
void Agent::stop_all(StopCause cause, uint8_t port) {
  {
    const Lock lock(board_);
    permission_.void_it();
    board_.all_off(board_.context, table_.rules().brake_mask());
    outputs_.forget_all();
  }
  if (state_ == AgentState::inhibited || state_ == AgentState::halted) return;
  if (bump_.active()) end_bump(cause);
  if (state_ == AgentState::program) {
    leave_program(cause == StopCause::program_ended ? ProgramState::ended : ProgramState::stopped);
  }
  state_ = AgentState::inhibited;
  note_stop(cause, port);
}

// For the status, and for the event that goes out when there is room.
void Agent::note_stop(StopCause cause, uint8_t port) {
  stop_cause_ = cause;
  stop_port_ = port;
  stopped_.cause = static_cast<uint8_t>(cause);
  stopped_.port = port;
  stopped_.clock_us = clock();
  stopped_due_ = true;
}

// Turns one output off; permission and the other outputs stay.
void Agent::stop_port(StopCause cause, uint8_t port) {
  {
    const Lock lock(board_);
    outputs_.set(port, 0, 0);
    outputs_.note_applied(port, 0);
    board_.set_bridge(board_.context, port, 0, off_mode(port));
  }
  note_stop(cause, port);
}

void Agent::end_bump(StopCause cause) {
  const uint8_t port = bump_.port();
  const uint32_t clock_us = clock();
  {
    const Lock lock(board_);
    outputs_.set(port, 0, 0);
    outputs_.note_applied(port, 0);
    board_.set_bridge(board_.context, port, 0, off_mode(port));
  }
  bump_ended_.port = port;
  bump_ended_.cause = static_cast<uint8_t>(cause);
  bump_ended_.clock_us = clock_us;
  bump_ended_.duration_ms = bump_.elapsed_ms(clock_us);
  bump_ended_due_ = true;
  bump_.end();
  if (state_ == AgentState::bumping) state_ = AgentState::permitted;
}

void Agent::leave_program(ProgramState state) {
  program_.state = state;
  program_due_ = true;
  if (state == ProgramState::stopped && hooks_.stop != nullptr) hooks_.stop(hooks_.context);
}

void Agent::check_supply() {
  const Rules& rules = table_.rules();
  const bool low = rules.valid() && board_.adc_raw(board_.context, rules.supply_adc()) < rules.supply_low_raw();
  if (!low) {
    supply_low_count_ = 0;
    return;
  }
  if (supply_low_count_ < supply_low_ticks) supply_low_count_ = static_cast<uint8_t>(supply_low_count_ + 1);
  if (supply_low_count_ < supply_low_ticks || !permission_.live()) return;
  faults_ |= wire::fault_supply_low;
  stop_all(StopCause::supply_low, wire::no_port);
}

void Agent::check_banks() {
  const Rules& rules = table_.rules();
  for (uint8_t i = 0; rules.valid() && i < wire::max_banks; ++i) {
    const BankRule& bank = rules.bank(i);
    const bool high =
        bank.adc_channel != wire::no_port && board_.adc_raw(board_.context, bank.adc_channel) > bank.limit_raw;
    if (!high) {
      bank_high_count_[i] = 0;
      continue;
    }
    if (bank_high_count_[i] < bank_current_ticks) bank_high_count_[i] = static_cast<uint8_t>(bank_high_count_[i] + 1);
    if (bank_high_count_[i] < bank_current_ticks || !permission_.live()) continue;
    faults_ |= wire::fault_bank_current;
    stop_all(StopCause::bank_current, i);
  }
}

void Agent::check_hold() {
  if (!permission_.live()) return;
  const uint32_t limit_us = (moving() ? wire::hold_lapse_ms : wire::permit_idle_ms) * 1000ul;
  if (now_us_ - last_word_us_ >= limit_us) stop_all(StopCause::hold_lapsed, wire::no_port);
}

void Agent::check_bump() {
  if (!bump_.active()) return;
  const StopCause cause = bump_.judge(board_, switches_, now_us_);
  if (cause != StopCause::none) {
    end_bump(cause);
    return;
  }
  outputs_.set(bump_.port(), bump_.level(now_us_), 0);
}

bool Agent::travel_over(const OutputRule& rule, int8_t direction) const {
  if (rule.travel == TravelSensor::none) return false;
  int32_t at;
  if (rule.travel == TravelSensor::analogue) {
    at = board_.adc_raw(board_.context, rule.travel_port);
  } else {
    at = board_.encoder_count(board_.context, rule.travel_port) - encoder_at_permit_[rule.travel_port];
    if (rule.travel_reversed) at = -at;
  }
  const bool rises = rule.travel_low <= rule.travel_high;  // the sensor rises with travel
  const int32_t bound = direction > 0 ? rule.travel_high : rule.travel_low;
  return rises == (direction > 0) ? at >= bound : at <= bound;
}

// Whether an end lies in the way of a level at this bridge.
StopCause Agent::end_in_way(uint8_t bridge, int16_t level) const {
  const OutputRule& rule = table_.rules().output(bridge);
  const int8_t direction = rule.direction(level);
  if (!rule.present() || direction == 0) return StopCause::none;
  const EndSwitch& end = direction > 0 ? rule.high_end : rule.low_end;
  if (end.acts(board_.switch_levels(board_.context))) return StopCause::end_switch;
  return travel_over(rule, direction) ? StopCause::travel_bound : StopCause::none;
}

void Agent::check_ends() {
  if (!permission_.live()) return;
  for (uint8_t i = 0; i < board_.bridges; ++i) {
    const int16_t applied = outputs_.applied(i);
    const int16_t target = outputs_.target(i);
    if (applied == 0 && target == 0) continue;
    StopCause cause = end_in_way(i, applied);
    if (cause == StopCause::none) cause = end_in_way(i, target);
    if (cause == StopCause::none) continue;
    if (bump_.active()) {
      end_bump(cause);
    } else {
      stop_port(cause, i);
    }
  }
}

bool Agent::time_used_up(uint8_t bridge) const {
  const OutputRule& rule = table_.rules().output(bridge);
  return !rule.proved && unproved_us_[bridge] >= table_.rules().unproved().duration * 1000ul;
}

// An output that is not proved may be driven, by the host or by the team's program, only as long as any device on it
// could bear: all its time under one permission together, so that driving it in pieces gains nothing.
void Agent::check_unproved_drive() {
  if (state_ != AgentState::permitted && state_ != AgentState::program) return;
  for (uint8_t i = 0; i < board_.bridges; ++i) {
    if ((outputs_.target(i) == 0 && outputs_.applied(i) == 0) || table_.rules().output(i).proved) continue;
    unproved_us_[i] += now_us_ - before_us_;
    if (time_used_up(i)) stop_port(StopCause::duration_over, i);
  }
}

// The only place that turns a bridge on. The stop may come between any two of these bridges: permission is looked at
// with interrupts locked, together with the write.
void Agent::apply_outputs() {
  for (uint8_t i = 0; i < board_.bridges; ++i) {
    const Lock lock(board_);
    if (!permission_.live()) return;
    const int16_t level = outputs_.next(i);
    if (level == outputs_.applied(i)) continue;
    board_.set_bridge(board_.context, i, level, off_mode(i));
    outputs_.note_applied(i, level);
  }
}

}  // namespace agent
}  // namespace ringout
