// Requests that need permission, and permission itself.
#include "agent/agent.h"
#include "agent/replies.h"

namespace ringout {
namespace agent {

using wire::AgentState;
using wire::Bound;
using wire::Frame;
using wire::Status;
using wire::StopCause;

namespace {

uint16_t size_of(int16_t level) {
  return static_cast<uint16_t>(level < 0 ? -static_cast<int32_t>(level) : level);
}

}  // namespace

void Agent::permit(const Frame& frame) {
  wire::Permit request;
  if (!read(frame, request)) return;
  // The same request again, because its reply was lost: the same answer, as long as nothing has moved with it.
  const bool repeated = permission_.given_for(request.nonce) && permission_.fresh();
  if (!repeated) {
    if (state_ == AgentState::halted) return refuse(frame, Status::inhibited, static_cast<uint16_t>(StopCause::bug));
    if (stop_seen_) return refuse(frame, Status::inhibited, static_cast<uint16_t>(StopCause::host_stop));
    if ((faults_ & wire::faults_that_inhibit) != 0) {
      return refuse(frame, Status::faults_latched, static_cast<uint16_t>(faults_ & 0xFFFF));
    }
    if (table_.busy()) return refuse(frame, Status::busy);
    if (!table_.rules().valid()) return refuse(frame, Status::no_table);
    if (supply_low_count_ >= supply_low_ticks) {
      return refuse(frame, Status::inhibited, static_cast<uint16_t>(StopCause::supply_low));
    }
    if (moving()) return refuse(frame, Status::moving);
    for (uint8_t i = 0; i < board_.encoders; ++i) encoder_at_permit_[i] = board_.encoder_count(board_.context, i);
    for (uint8_t i = 0; i < board_.bridges; ++i) unproved_us_[i] = 0;
    last_word_us_ = clock();
    permission_.give(request.nonce);
    state_ = AgentState::permitted;
  }
  wire::PermitReply answer;
  answer.token = permission_.token();
  reply(frame, answer);
}

// False: refused and answered.
bool Agent::judge_motion(const Frame& frame, const wire::MotionHeader& header) {
  const uint32_t clock_us = clock();
  const Status status = permission_.judge(header, clock_us);
  if (status == Status::ok) {
    last_word_us_ = clock_us;
    return true;
  }
  uint16_t detail = 0;
  if (status == Status::old_sequence) detail = static_cast<uint16_t>(permission_.sequence() & 0xFFFF);
  if (status == Status::too_late) {
    const uint32_t late_ms = (clock_us - header.not_after_us) / 1000;
    detail = late_ms < 0xFFFF ? static_cast<uint16_t>(late_ms) : 0xFFFF;
  }
  if (status == Status::out_of_bounds) detail = static_cast<uint16_t>(Bound::life);
  refuse(frame, status, detail);
  return false;
}

void Agent::hold(const Frame& frame) {
  wire::Hold request;
  if (read(frame, request) && judge_motion(frame, request.motion)) refuse(frame, Status::ok);
}

void Agent::drive(const Frame& frame) {
  wire::Drive request;
  if (!read(frame, request) || !judge_motion(frame, request.motion)) return;
  if (state_ != AgentState::permitted) return refuse(frame, Status::busy);
  if (request.port >= board_.bridges || !table_.rules().output(request.port).present()) {
    return refuse(frame, Status::no_such_port);
  }
  const OutputRule& rule = table_.rules().output(request.port);
  const Bounds bounds = table_.rules().drive_bounds(rule);
  const bool wrong_way = rule.kind == wire::PointKind::on_off && rule.direction(request.level_permille) < 0;
  if (size_of(request.level_permille) > bounds.level || wrong_way) {
    return refuse(frame, Status::out_of_bounds, static_cast<uint16_t>(Bound::level));
  }
  const StopCause end = end_in_way(request.port, request.level_permille);
  if (end != StopCause::none) return refuse(frame, Status::end_reached, static_cast<uint16_t>(end));
  if (request.level_permille != 0 && time_used_up(request.port)) {
    return refuse(frame, Status::out_of_bounds, static_cast<uint16_t>(Bound::duration));
  }
  outputs_.set(request.port, request.level_permille, bounds.slope);
  refuse(frame, Status::ok);
}

Bound Agent::bump_bound(const wire::Bump& request) const {
  const OutputRule& rule = table_.rules().output(request.port);
  Bounds bounds = table_.rules().unproved();
  if (rule.present() && rule.proved) {
    bounds.level = rule.max_level;
    bounds.slope = rule.slope == 0 ? 1000 : rule.slope;
    bounds.duration = bump_longest_ms;
  }
  if (size_of(request.level_permille) > bounds.level) return Bound::level;
  if (request.duration_ms == 0 || request.duration_ms > bounds.duration) return Bound::duration;
  if (request.duration_ms > bump_longest_ms) return Bound::duration;
  if (request.slope_permille_per_ms == 0 || request.slope_permille_per_ms > bounds.slope) return Bound::slope;
  return Bound::none;
}

void Agent::bump(const Frame& frame) {
  wire::Bump request;
  if (!read(frame, request) || !judge_motion(frame, request.motion)) return;
  if (state_ != AgentState::permitted || moving()) return refuse(frame, Status::busy);
  if (request.port >= board_.bridges) return refuse(frame, Status::no_such_port);
  const Bound over = bump_bound(request);
  if (over != Bound::none) return refuse(frame, Status::out_of_bounds, static_cast<uint16_t>(over));
  const StopCause end = end_in_way(request.port, request.level_permille);
  if (end != StopCause::none) return refuse(frame, Status::end_reached, static_cast<uint16_t>(end));
  const uint32_t clock_us = clock();
  bump_.start(request, board_, table_.rules().analogue_mask(), clock_us);
  state_ = AgentState::bumping;
  outputs_.set(request.port, bump_.level(clock_us), 0);
  refuse(frame, Status::ok);
}

void Agent::start_program(const Frame& frame) {
  wire::ProgramStart request;
  if (!read(frame, request) || !judge_motion(frame, request.motion)) return;
  if (program_.state == wire::ProgramState::none_loaded) return refuse(frame, Status::not_supported);
  if (state_ != AgentState::permitted || moving() || program_inside_) return refuse(frame, Status::busy);
  {
    const Lock lock(board_);
    program_ = Program();
    program_.state = wire::ProgramState::running;
    program_inside_ = true;
    state_ = AgentState::program;
  }
  if (!hooks_.start(hooks_.context)) {
    program_inside_ = false;
    program_.state = wire::ProgramState::ready;
    state_ = AgentState::permitted;
    return refuse(frame, Status::not_supported);
  }
  program_due_ = true;
  refuse(frame, Status::ok);
}

void Agent::stop_program(const Frame& frame) {
  if (state_ == AgentState::program) stop_all(StopCause::program_stopped, wire::no_port);
  refuse(frame, Status::ok);
}

void Agent::release(const Frame& frame) {
  wire::Release request;
  if (!read(frame, request)) return;
  if (!permission_.live()) return refuse(frame, Status::no_permission);
  if (request.token != permission_.token()) return refuse(frame, Status::wrong_token);
  stop_all(StopCause::released, wire::no_port);
  refuse(frame, Status::ok);
}

void Agent::clear_faults(const Frame& frame) {
  if (moving()) return refuse(frame, Status::moving);
  // Only a reset leaves this state.
  if (state_ == AgentState::halted) return refuse(frame, Status::inhibited, static_cast<uint16_t>(StopCause::bug));
  faults_ = 0;
  refuse(frame, Status::ok);
}

}  // namespace agent
}  // namespace ringout
