// What the program runner calls, from the context the team's program runs in; the tick may come at any point of it.
#include "agent/agent.h"

namespace ringout {
namespace agent {

// Two bytes, which the tick may read between one and the other.
void Agent::stand_at(uint16_t line) {
  const Lock lock(board_);
  program_.line = line;
}

void Agent::program_set(uint8_t point, int16_t level_permille, uint16_t line) {
  stand_at(line);
  const Rules& rules = table_.rules();
  if (!program_live() || point >= rules.count() || !wire::uses_bridge(rules.point(point).kind)) return;
  const uint8_t bridge = rules.point(point).port;
  const OutputRule& rule = rules.output(bridge);
  const Bounds bounds = rules.drive_bounds(rule);
  const int16_t most = static_cast<int16_t>(bounds.level);
  int16_t level = level_permille > most ? most : level_permille < -most ? static_cast<int16_t>(-most) : level_permille;
  if (rule.kind == wire::PointKind::on_off && level < 0) level = 0;
  if (rule.reversed) level = static_cast<int16_t>(-level);
  if (end_in_way(bridge, level) != wire::StopCause::none) level = 0;
  const Lock lock(board_);
  if (time_used_up(bridge)) level = 0;
  if (program_live()) outputs_.set(bridge, level, bounds.slope);
}

float Agent::program_read(uint8_t point, uint16_t line) {
  stand_at(line);
  const Rules& rules = table_.rules();
  if (point >= rules.count()) return 0.0f;
  const PointRule& rule = rules.point(point);
  switch (rule.kind) {
    case wire::PointKind::switch_input: {
      const bool high = ((board_.switch_levels(board_.context) >> rule.port) & 1) != 0;
      return high != rule.acts_low ? 1.0f : 0.0f;
    }
    case wire::PointKind::analogue:
      return rule.offset + rule.scale * static_cast<float>(board_.adc_raw(board_.context, rule.port));
    case wire::PointKind::encoder: {
      const int32_t count = board_.encoder_count(board_.context, rule.port);
      return rule.offset + rule.scale * static_cast<float>(rule.reversed ? -count : count);
    }
    default:
      return 0.0f;
  }
}

void Agent::program_outputs_off(uint16_t line) {
  stand_at(line);
  const Lock lock(board_);
  outputs_.forget_all();
  board_.all_off(board_.context, table_.rules().brake_mask());
}

void Agent::program_step(const char* name, uint16_t line) {
  stand_at(line);
  const Lock lock(board_);
  program_.step.set(name);
}

void Agent::program_waits(wire::WaitKind kind, uint8_t point, uint16_t line) {
  const Lock lock(board_);
  program_.line = line;
  program_.wait = kind;
  program_.wait_point = point;
}

void Agent::program_over() {
  const Lock lock(board_);
  program_.wait = wire::WaitKind::nothing;
  program_.wait_point = wire::no_point;
  program_inside_ = false;
  if (!program_live()) return;  // stopped before: the tick has told that already, or will
  permission_.void_it();
  outputs_.forget_all();
  board_.all_off(board_.context, table_.rules().brake_mask());
  program_over_due_ = true;
}

}  // namespace agent
}  // namespace ringout
