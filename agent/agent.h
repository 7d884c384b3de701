// The agent: the small firmware library that keeps a robot's outputs inhibited until a host may move them, bounds what
// it moves, and turns everything off in time. One object, nothing allocated; the board port calls
//   start()            once, with outputs off, before interrupts are on,
//   on_receive_byte()  from the receive interrupt, for every byte,
//   tick()             every millisecond, with interrupts enabled, never nested in itself,
//   tick_missed()      when a tick could not start because the last one was still running.
// The program runner calls the program_... functions from the context the team's program runs in.
#pragma once

#include <stdint.h>

#include "agent/board.h"
#include "agent/bump.h"
#include "agent/limits.h"
#include "agent/outputs.h"
#include "agent/permission.h"
#include "agent/receive_ring.h"
#include "agent/rules.h"
#include "agent/table_store.h"
#include "wire/frame.h"
#include "wire/messages.h"

namespace ringout {
namespace agent {

class Agent {
 public:
  Agent(const Board& board, const Firmware& firmware, const ProgramHooks& program)
      : board_(board), firmware_(firmware), hooks_(program) {}

  void start(wire::ResetCause cause);
  void tick();
  void tick_missed();

  // Stores the byte; turns outputs off when it completes the stop frame.
  void on_receive_byte(uint8_t byte) {
    receive_.put(byte);
    if (stop_matcher_.push(byte)) stop_from_interrupt();
  }
  // For a board port whose receive interrupt matches the stop frame itself, to be short: outputs off and permission
  // void at once, before the bytes ahead of it are looked at. Callable from the tick and from interrupts.
  void on_stop_frame() { stop_from_interrupt(); }
  // Its bytes then need no second look. From the tick, or from one interrupt.
  void on_matched_byte(uint8_t byte) { receive_.put(byte); }
  // For a board port that has a receive ring of its own: so many bytes found it full. From the tick.
  void on_lost_bytes(uint8_t count) {
    lost_bytes_ = static_cast<uint16_t>(lost_bytes_ + count);
    faults_ |= wire::fault_receive_overrun;
  }

  // ---- for the program runner -------------------------------------------------------------------------------------
  // The program may go on: it was started and nothing has stopped it since. False: leave at once.
  bool program_live() const { return permission_.live() && state_ == wire::AgentState::program; }
  // Level in permille of the supply, sign as the robot file says; beyond the point's bound is cut to the bound, toward
  // an end that is reached is off, and so is an unproved output that has been on for its time in this run. Anything
  // that is no bridge output is ignored.
  void program_set(uint8_t point, int16_t level_permille, uint16_t line);
  // A switch: 1 while it acts, else 0; analogue and encoder: in the table's unit. 0 for anything else.
  float program_read(uint8_t point, uint16_t line);
  void program_outputs_off(uint16_t line);
  void program_step(const char* name, uint16_t line);  // at most 24 bytes are kept
  void program_waits(wire::WaitKind kind, uint8_t point, uint16_t line);
  // program() has returned or was left: outputs off, permission void.
  void program_over();

  // ---- state, for the board port and tests ------------------------------------------------------------------------
  wire::AgentState state() const { return state_; }
  wire::ProgramState program_state() const { return program_.state; }
  uint32_t faults() const { return faults_; }
  wire::StopCause last_stop() const { return stop_cause_; }
  const TableStore& table() const { return table_; }

 private:
  struct Program {
    wire::ProgramState state = wire::ProgramState::none_loaded;
    uint16_t line = 0;
    wire::WaitKind wait = wire::WaitKind::nothing;
    uint8_t wait_point = wire::no_point;
    wire::Text<wire::max_step_bytes> step;
  };
  class Lock;

  // agent.cpp: safety and the tick
  void stop_from_interrupt();
  void stop_all(wire::StopCause cause, uint8_t port);
  void stop_port(wire::StopCause cause, uint8_t port);
  void note_stop(wire::StopCause cause, uint8_t port);
  void check_self();
  bool books_agree() const;
  uint16_t most_level(uint8_t bridge) const;
  void check_supply();
  void check_banks();
  void check_hold();
  void check_bump();
  void check_ends();
  void check_unproved_drive();
  wire::StopCause end_in_way(uint8_t bridge, int16_t level) const;
  // An unproved output has been on for all the time that any device on it could bear.
  bool time_used_up(uint8_t bridge) const;
  bool travel_over(const OutputRule& rule, int8_t direction) const;
  void apply_outputs();
  bool moving() const;
  void end_bump(wire::StopCause cause);
  void leave_program(wire::ProgramState state);
  void stand_at(uint16_t line);
  OffMode off_mode(uint8_t bridge) const { return table_.rules().output(bridge).off; }

  // agent_identity.cpp
  void start_identity();
  void keep_identity();

  // agent_requests.cpp
  void take_bytes();
  void handle(const wire::Frame& frame);
  void say_hello(const wire::Frame& frame);
  void say_status(const wire::Frame& frame);
  void say_last_bump(const wire::Frame& frame);
  void say_name(const wire::Frame& frame);
  void say_table(const wire::Frame& frame);
  void begin_table(const wire::Frame& frame);
  void take_chunk(const wire::Frame& frame);
  void commit_table(const wire::Frame& frame);
  void set_stream(const wire::Frame& frame);
  void refuse(const wire::Frame& frame, wire::Status status, uint16_t detail = 0);
  template <class Record>
  bool read(const wire::Frame& frame, Record& record);
  template <class Record>
  void reply(const wire::Frame& frame, Record& record);

  // agent_motion.cpp
  void permit(const wire::Frame& frame);
  void hold(const wire::Frame& frame);
  void drive(const wire::Frame& frame);
  void bump(const wire::Frame& frame);
  void start_program(const wire::Frame& frame);
  void stop_program(const wire::Frame& frame);
  void release(const wire::Frame& frame);
  void clear_faults(const wire::Frame& frame);
  bool judge_motion(const wire::Frame& frame, const wire::MotionHeader& header);
  wire::Bound bump_bound(const wire::Bump& request) const;

  // agent_reports.cpp
  void report();
  template <class Record>
  bool send_event(const Record& record);
  void send_sample();

  uint32_t clock() const { return board_.clock_us(board_.context); }

  const Board board_;
  const Firmware firmware_;
  const ProgramHooks hooks_;

  ReceiveRing receive_;
  wire::StopMatcher stop_matcher_;
  volatile bool stop_seen_ = false;  // set by the receive interrupt, cleared by the tick
  wire::FrameDecoder decoder_;
  wire::FrameBuilder builder_;

  Permission permission_;
  Outputs outputs_;
  Bump bump_;
  TableStore table_;
  Program program_;

  volatile wire::AgentState state_ = wire::AgentState::inhibited;
  wire::ResetCause reset_cause_ = wire::ResetCause::unknown;
  uint32_t faults_ = 0;
  wire::StopCause stop_cause_ = wire::StopCause::after_reset;
  uint8_t stop_port_ = wire::no_port;

  uint32_t now_us_ = 0;     // the clock at the start of this tick
  uint32_t before_us_ = 0;  // and of the tick before
  uint16_t switches_ = 0;
  uint32_t last_word_us_ = 0;
  int32_t encoder_at_permit_[wire::max_encoders] = {};
  uint32_t unproved_us_[wire::max_bridges] = {};  // how long each unproved output was on under this permission
  uint8_t supply_low_count_ = 0;
  uint8_t bank_high_count_[wire::max_banks] = {};

  uint16_t consumed_ = 0;
  uint16_t bad_frames_ = 0;
  uint16_t lost_bytes_ = 0;
  uint8_t lost_seen_ = 0;

  uint8_t identity_[8] = {};
  uint8_t identity_to_write_ = 0;

  wire::Stream stream_;
  uint16_t sample_sequence_ = 0;
  uint16_t sample_wait_ms_ = 0;

  volatile bool program_inside_ = false;    // the team's program has been started and has not returned yet
  volatile bool program_over_due_ = false;  // it returned by itself; the tick tells the host

  bool stopped_due_ = false;
  bool bump_ended_due_ = false;
  bool program_due_ = false;
  wire::StoppedEvent stopped_;
  wire::BumpEndedEvent bump_ended_;
};

// Locks interrupts for as long as it lives.
class Agent::Lock {
 public:
  explicit Lock(const Board& board) : board_(board), saved_(board.lock(board.context)) {}
  ~Lock() { board_.unlock(board_.context, saved_); }
  Lock(const Lock&) = delete;
  Lock& operator=(const Lock&) = delete;

 private:
  const Board& board_;
  uint8_t saved_;
};

}  // namespace agent
}  // namespace ringout
