#include "twin/twin.h"

#include <algorithm>
#include <deque>
#include <utility>

#include "agent/agent.h"
#include "agent/eeprom_image.h"
#include "base/check.h"
#include "robot/fingerprint.h"
#include "twin/program_link.h"

namespace ringout::twin {
namespace {

constexpr Duration tick_time = Duration::microseconds(agent::tick_us);
// The watchdog's oscillator may be slow by a tenth: the worst case is the one to show.
constexpr Duration watchdog_time = Duration::microseconds(wire::watchdog_ms * 1100);

wire::PointKind wire_kind(robot::PointKind kind) {
  return static_cast<wire::PointKind>(kind);
}
static_assert(static_cast<int>(robot::PointKind::bus_device) == static_cast<int>(wire::PointKind::bus_device));
static_assert(static_cast<int>(runner::Wait::condition) == static_cast<int>(wire::WaitKind::condition));

}  // namespace

TwinFirmware firmware_for(const robot::Robot& robot, std::uint32_t board_fp) {
  TwinFirmware firmware;
  firmware.board_fp = board_fp;
  firmware.program_fp = robot::program_fingerprint(robot);
  for (const robot::Output& output : robot.outputs) firmware.names.push_back({output.name, wire_kind(output.kind)});
  for (const robot::Input& input : robot.inputs) firmware.names.push_back({input.name, wire_kind(input.kind)});
  return firmware;
}

std::vector<std::uint8_t> eeprom_with_table(std::span<const std::uint8_t> table) {
  RINGOUT_CHECK(table.size() <= wire::max_table_bytes);
  std::vector<std::uint8_t> image(agent::eeprom_min_bytes, 0xFF);
  agent::put_table(image.data(), table.data(), static_cast<std::uint16_t>(table.size()));
  return image;
}

struct Twin::State {
  State(const robot::Robot& drawn, const plant::Deviations& deviations, TwinOptions given)
      : robot(drawn),
        options(std::move(given)),
        plant(drawn, deviations, options.seed.value_or(deviations.seed)),
        board(drawn.board, plant, options.eeprom, options.seed.value_or(deviations.seed)),
        program(options.program),
        hands(*this),
        now(plant.now()),
        next_tick(now + tick_time),
        receive_free_at(now) {
    if (program.usable() && options.names == TwinOptions::Names::of_program) take_program_names();
    boot(wire::ResetCause::power_on);
  }

  class Hands : public plant::Bystander {
   public:
    explicit Hands(State& twin) : twin_(twin) {}
    [[nodiscard]] Result<void> work_by_hand(const std::string& input, bool on) override;
    [[nodiscard]] Result<void> open_disconnect(bool open) override;
    [[nodiscard]] Result<void> reset_breaker(const std::string& name) override;
    [[nodiscard]] Result<std::vector<plant::Seen>> look() override;

   private:
    State& twin_;
  };

  void take_program_names();
  [[nodiscard]] agent::Firmware firmware_port();
  void boot(wire::ResetCause cause);
  void power_off();
  void deliver(Instant until);
  void tick();

  robot::Robot robot;
  TwinOptions options;
  plant::Plant plant;
  HostBoard board;
  ProgramLink program;
  Hands hands;
  std::unique_ptr<agent::Agent> agent;  // none while the controller has no supply
  int resets = 0;

  Instant now;
  Instant next_tick;
  Instant blocked_until;
  std::deque<TimedByte> incoming;  // from the host, with the time each byte has arrived whole
  Instant receive_free_at;
};

void Twin::State::take_program_names() {
  options.firmware.program_fp = program.fingerprint();
  options.firmware.names.clear();
  for (const PointName& point : program.points()) {
    options.firmware.names.push_back({point.name, static_cast<wire::PointKind>(point.kind)});
  }
}

agent::Firmware Twin::State::firmware_port() {
  agent::Firmware f = {};
  f.major = options.firmware.major;
  f.minor = options.firmware.minor;
  f.patch = options.firmware.patch;
  f.board_fp = options.firmware.board_fp;
  f.program_fp = options.firmware.program_fp;
  f.points = static_cast<std::uint8_t>(options.firmware.names.size());
  f.context = &options.firmware;
  f.point_name = [](void* context, std::uint8_t point, char* to, std::uint8_t capacity, wire::PointKind* kind) {
    const TwinFirmware::Name& name = static_cast<TwinFirmware*>(context)->names.at(point);
    const std::size_t size = std::min<std::size_t>(name.name.size(), capacity);
    std::copy_n(name.name.begin(), size, to);
    *kind = name.kind;
    return static_cast<std::uint8_t>(size);
  };
  return f;
}

void Twin::State::boot(wire::ResetCause cause) {
  power_off();
  board.set_now(now);
  board.start_chip();
  agent = std::make_unique<agent::Agent>(board.port(), firmware_port(), program.hooks());
  program.attach(agent.get());
  agent->start(cause);
  blocked_until = now;
}

// Also the first half of a reset: pins fall back, the program is gone, what was still to be sent is lost, and so is the
// byte that is just coming in. Bytes that the host sends later arrive while the chip starts or after it.
void Twin::State::power_off() {
  if (agent != nullptr) ++resets;
  program.drop();
  program.attach(nullptr);
  agent.reset();
  board.release_pins();
  if (!incoming.empty() && incoming.front().at - board.byte_time() < now) incoming.pop_front();
}

// Bytes that have arrived whole by `until` reach the receive interrupt.
void Twin::State::deliver(Instant until) {
  while (!incoming.empty() && incoming.front().at <= until) {
    const TimedByte byte = incoming.front();
    incoming.pop_front();
    if (agent == nullptr || byte.at < blocked_until) continue;
    board.set_now(byte.at);
    agent->on_receive_byte(byte.byte);
  }
  board.set_now(until);
}

void Twin::State::tick() {
  plant.step(tick_time);
  board.take_pins();
  if (!plant.controller_powered()) {
    if (agent != nullptr) power_off();
    return;
  }
  if (agent == nullptr) {
    boot(wire::ResetCause::brown_out);
    return;
  }
  if (now - board.watchdog_fed_at() > watchdog_time) {
    boot(wire::ResetCause::watchdog);
    return;
  }
  if (now < blocked_until) return;
  agent->tick();
  program.tick();
}

Twin::Twin(const robot::Robot& drawn, const plant::Deviations& deviations, TwinOptions options)
    : state_(std::make_unique<State>(drawn, deviations, std::move(options))) {}
Twin::~Twin() = default;

Instant Twin::now() const {
  return state_->now;
}

void Twin::write(std::span<const std::uint8_t> bytes) {
  State& s = *state_;
  Instant at = std::max(s.now, s.receive_free_at);
  for (const std::uint8_t byte : bytes) {
    at = at + s.board.byte_time();
    s.incoming.push_back({byte, at});
  }
  s.receive_free_at = at;
}

std::vector<TimedByte> Twin::run_until(Instant deadline, Until until) {
  State& s = *state_;
  std::vector<TimedByte> arrived;
  while (true) {
    const Instant target = std::max(s.now, std::min(s.next_tick, deadline));
    s.board.take_sent(target, arrived);
    const bool enough = until == Until::first_bytes && !arrived.empty();
    const Instant reached = enough ? std::max(s.now, arrived.back().at) : target;
    s.deliver(reached);
    s.now = reached;
    if (s.now == s.next_tick) {
      s.tick();
      s.next_tick = s.next_tick + tick_time;
    }
    if (enough || s.now >= deadline) return arrived;
  }
}

void Twin::reset(wire::ResetCause cause) {
  state_->boot(cause);
}

void Twin::block_interrupts(Duration how_long) {
  state_->blocked_until = state_->now + how_long;
}

plant::Bystander& Twin::bystander() {
  return state_->hands;
}
const plant::Plant& Twin::plant() const {
  return state_->plant;
}
const std::vector<std::uint8_t>& Twin::eeprom() const {
  return state_->board.eeprom();
}
int Twin::resets() const {
  return state_->resets;
}
std::string Twin::program_problem() const {
  return state_->program.problem();
}

Result<void> Twin::State::Hands::work_by_hand(const std::string& input, bool on) {
  if (twin_.robot.input(input) == nullptr) {
    return failure(ErrorKind::bad_input, "twin.no-such-input", "the robot has no input \"" + input + "\"");
  }
  twin_.plant.work_by_hand(input, on);
  return {};
}

Result<void> Twin::State::Hands::open_disconnect(bool open) {
  twin_.plant.open_disconnect(open);
  return {};
}

Result<void> Twin::State::Hands::reset_breaker(const std::string& name) {
  return twin_.plant.reset_breaker(name);
}

Result<std::vector<plant::Seen>> Twin::State::Hands::look() {
  return twin_.plant.look();
}

}  // namespace ringout::twin
