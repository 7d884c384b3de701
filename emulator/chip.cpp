// SPDX-License-Identifier: GPL-3.0-or-later
#include "emulator/chip.h"

extern "C" {
#include <simavr/avr_adc.h>
#include <simavr/avr_eeprom.h>
#include <simavr/avr_extint.h>
#include <simavr/avr_ioport.h>
#include <simavr/avr_uart.h>
#include <simavr/sim_avr.h>
#include <simavr/sim_elf.h>
#include <simavr/sim_io.h>
}

#include <algorithm>
#include <array>
#include <cstdlib>
#include <cstring>
#include <deque>
#include <fstream>
#include <map>

#include "base/check.h"

// The library gives back neither its interrupt lines nor their names when a chip ends; a process has one chip.
// The name is the sanitizer's.
extern "C" const char* __lsan_default_suppressions() {  // NOLINT(bugprone-reserved-identifier)
  return "leak:libsimavr\n";
}

namespace ringout::emulator {
namespace {

// Longest run of instructions between two looks at timers and interrupts. The default lets the core run up to a
// thousand cycles, which would serve interrupts late.
constexpr avr_cycle_count_t run_cycle_limit = 64;
constexpr Cycles longest_burst = clock_hz / 1000;
constexpr unsigned receive_depth = 2;  // bytes the USART holds beside the one being shifted in

constexpr std::uint32_t reference_mv = 5000;

constexpr std::uint16_t mcusr = 0x54, first_ram = 0x200;
constexpr std::uint16_t ucsr0a = 0xC0, ubrr0l = 0xC4, ubrr0h = 0xC5;
constexpr std::uint8_t overrun_flag = 1u << 3, double_speed_flag = 1u << 1;

void stay_silent(avr_t*, int, const char*, va_list) {}

unsigned waiting_in(const uart_fifo_t& fifo) {
  return static_cast<unsigned>(fifo.write - fifo.read) & (uart_fifo_fifo_size - 1u);
}

// A firmware's wild store must not reach the memory of this process: the library notices it only after the fact.
void give_whole_address_space(avr_t* avr) {
  constexpr std::size_t whole = 0x10000 + 2;
  avr->data = static_cast<std::uint8_t*>(std::realloc(avr->data, whole));
  RINGOUT_CHECK(avr->data != nullptr);
  std::memset(avr->data + avr->ramend + 1, 0, whole - avr->ramend - 1);
}

tl::unexpected<Error> bad_firmware(const std::string& path, const std::string& why) {
  return failure(ErrorKind::bad_input, "emulator.bad-firmware", path + " " + why,
                 "build the firmware for the ATmega2560 first: it is an .elf file");
}

// The library takes any ELF, so what it would misread is refused here: e_ident, e_machine 83 (AVR).
Result<void> check_elf(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  if (!file) return bad_firmware(path, "cannot be read");
  std::array<unsigned char, 20> head{};
  file.read(reinterpret_cast<char*>(head.data()), head.size());
  const std::array<unsigned char, 6> wanted{0x7F, 'E', 'L', 'F', 1, 1};
  if (!file || !std::equal(wanted.begin(), wanted.end(), head.begin()))
    return bad_firmware(path, "is no firmware (ELF) file");
  if (head[18] != 83 || head[19] != 0) return bad_firmware(path, "is built for another kind of chip");
  return {};
}

}  // namespace

struct Chip::State {
  // Hung into the library's list of peripherals, to learn of every reset, the watchdog's too.
  struct ResetWatch : avr_io_t {
    State* owner = nullptr;
  };

  avr_t* avr = nullptr;
  avr_uart_t* uart = nullptr;
  avr_eeprom_t* eeprom = nullptr;
  avr_run_t ordinary_run = nullptr;
  ResetWatch reset_watch;
  Cycles before_reset = 0;  // cycles of all earlier lives
  Cycles cycle_at_reset = 0;
  bool was_reset = false;
  bool powered = true;
  bool standing = false;  // crashed, and counted
  std::uint8_t next_cause = 0;
  std::uint32_t noise = 0x52494E47;
  ChipCounters counters;

  Cycles deadline = 0;
  Cycles stop_at = 0;  // brought forward from the deadline once bytes have been sent
  Cycles first_sent = 0;
  RunUntil until = RunUntil::deadline;

  std::deque<PinEdge> edges;
  std::map<std::pair<char, std::uint8_t>, bool> levels;
  std::map<std::uint8_t, std::uint32_t> millivolts;
  std::deque<std::uint8_t> to_chip;
  Cycles line_to_chip_free = 0;
  std::deque<SentByte> from_chip;
  Cycles line_from_chip_free = 0;

  ~State();
  [[nodiscard]] Result<void> start(const std::string& elf_path);
  [[nodiscard]] Cycles now() const { return before_reset + avr->cycle; }
  [[nodiscard]] Cycles byte_time() const;
  void call_at(Cycles when, avr_cycle_timer_t what);
  void show(Pin pin, bool level);
  void show_millivolts(std::uint8_t channel, std::uint32_t value);
  void reset_now(ResetCause cause);
  void settle_after_reset();
  void step_halted();
  void forget_memory();
  void sent(std::uint8_t value);
  void plan_stop();

  static avr_cycle_count_t on_edges(avr_t* avr, avr_cycle_count_t when, void* context);
  static avr_cycle_count_t on_receive(avr_t* avr, avr_cycle_count_t when, void* context);
  static avr_cycle_count_t on_stop(avr_t*, avr_cycle_count_t, void*) { return 0; }
  static void on_sent(avr_irq_t*, std::uint32_t value, void* context);
  static void on_reset(avr_io_t* io);
  static void on_rate(avr_t* avr, avr_io_addr_t at, std::uint8_t value, void* context);
};

Chip::State::~State() {
  if (avr == nullptr) return;
  avr_terminate(avr);
  std::free(avr);
}

Result<void> Chip::State::start(const std::string& elf_path) {
  avr_global_logger_set(stay_silent);
  elf_firmware_t firmware{};
  if (elf_read_firmware(elf_path.c_str(), &firmware) != 0) return bad_firmware(elf_path, "cannot be loaded");
  avr = avr_make_mcu_by_name("atmega2560");
  RINGOUT_CHECK(avr != nullptr);
  avr_init(avr);
  give_whole_address_space(avr);
  if (firmware.flash == nullptr || firmware.flashsize > avr->flashend + 1) {
    return bad_firmware(elf_path, "does not fit the chip's flash");
  }
  firmware.frequency = clock_hz;
  firmware.vcc = firmware.avcc = firmware.aref = reference_mv;
  avr_load_firmware(avr, &firmware);
  std::free(firmware.flash);
  std::free(firmware.eeprom);
  for (std::uint32_t i = 0; i < firmware.symbolcount; ++i) std::free(firmware.symbol[i]);
  std::free(firmware.symbol);
  avr->codeend = avr->flashend;
  avr->log = LOG_NONE;
  avr->sleep = [](avr_t*, avr_cycle_count_t) {};  // the library would sleep on the wall clock
  ordinary_run = avr->run;

  for (avr_io_t* io = avr->io_port; io != nullptr; io = io->next) {
    auto* candidate = reinterpret_cast<avr_uart_t*>(io);
    if (std::strcmp(io->kind, "uart") == 0 && candidate->name == '0') uart = candidate;
    if (std::strcmp(io->kind, "eeprom") == 0) eeprom = reinterpret_cast<avr_eeprom_t*>(io);
  }
  RINGOUT_CHECK(uart != nullptr && eeprom != nullptr && eeprom->size == eeprom_bytes);
  avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_OUTPUT), on_sent, this);
  avr_register_io_write(avr, ubrr0l, on_rate, this);
  reset_watch.kind = "reset watch";
  reset_watch.reset = on_reset;
  reset_watch.owner = this;
  avr_register_io(avr, &reset_watch);

  forget_memory();
  reset_now(ResetCause::power_on);
  counters = {};
  return {};
}

// Ten bits at the rate the firmware has set. The library counts an eleventh, for a parity that is not there.
Cycles Chip::State::byte_time() const {
  const unsigned divider = (avr->data[ubrr0l] | (avr->data[ubrr0h] & 0x0Fu) << 8) + 1u;
  const unsigned samples = (avr->data[ucsr0a] & double_speed_flag) != 0 ? 8 : 16;
  return Cycles{10} * samples * divider;
}

void Chip::State::call_at(Cycles when, avr_cycle_timer_t what) {
  avr_cycle_timer_register(avr, when > now() ? when - now() : 1, what, this);
}

// The library passes on changes only; after a reset it must be shown what it has seen before.
void Chip::State::show(Pin pin, bool level) {
  levels[{pin.port, pin.bit}] = level;
  avr_irq_t* irq = avr_io_getirq(avr, static_cast<std::uint32_t>(AVR_IOCTL_IOPORT_GETIRQ(pin.port)), pin.bit);
  irq->value = level ? 0 : 1;
  avr_raise_irq(irq, level ? 1 : 0);
}

void Chip::State::show_millivolts(std::uint8_t channel, std::uint32_t value) {
  millivolts[channel] = value;
  avr_irq_t* irq = avr_io_getirq(avr, AVR_IOCTL_ADC_GETIRQ, ADC_IRQ_ADC0 + channel);
  // The chip gives Vin * 1024 / Vref, the library Vin * 1023 / Vref: ask for what makes its result the chip's.
  const std::uint32_t raw = std::min<std::uint32_t>(value * 1024 / reference_mv, 1023);
  const std::uint32_t asked = (raw * reference_mv + 1022) / 1023;
  irq->value = ~asked;
  avr_raise_irq(irq, asked);
}

avr_cycle_count_t Chip::State::on_edges(avr_t*, avr_cycle_count_t, void* context) {
  State& s = *static_cast<State*>(context);
  while (!s.edges.empty() && s.edges.front().at <= s.now()) {
    s.show(s.edges.front().pin, s.edges.front().level);
    s.edges.pop_front();
  }
  return s.edges.empty() ? 0 : s.edges.front().at - s.before_reset;
}

// Called when a byte's start bit is on the line: the chip finds the byte ten bits later. The hardware has room for two
// bytes beside the one being shifted in; a start bit that finds all three taken costs a byte and sets the flag.
avr_cycle_count_t Chip::State::on_receive(avr_t*, avr_cycle_count_t when, void* context) {
  State& s = *static_cast<State*>(context);
  if (s.to_chip.empty()) return 0;
  s.uart->cycles_per_byte = s.byte_time();
  if (waiting_in(s.uart->input) > receive_depth) {
    ++s.counters.receive_overruns;
    s.avr->data[ucsr0a] |= overrun_flag;
  } else {
    avr_raise_irq(avr_io_getirq(s.avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_INPUT), s.to_chip.front());
  }
  s.to_chip.pop_front();
  s.line_to_chip_free = s.before_reset + when + s.byte_time();
  return s.to_chip.empty() ? 0 : s.line_to_chip_free - s.before_reset;
}

void Chip::State::on_sent(avr_irq_t*, std::uint32_t value, void* context) {
  static_cast<State*>(context)->sent(static_cast<std::uint8_t>(value));
}

void Chip::State::sent(std::uint8_t value) {
  line_from_chip_free = std::max(line_from_chip_free, now()) + byte_time();
  from_chip.push_back({line_from_chip_free, value});
  plan_stop();
}

// A run that waits for bytes ends when the line pauses, so that a frame is not handed over byte by byte.
void Chip::State::plan_stop() {
  if (until != RunUntil::first_bytes || from_chip.empty()) return;
  if (first_sent == 0) first_sent = now();
  stop_at = std::min({deadline, line_from_chip_free + 2 * byte_time(), first_sent + longest_burst});
  call_at(stop_at, on_stop);
}

void Chip::State::on_rate(avr_t* avr, avr_io_addr_t at, std::uint8_t value, void* context) {
  State& s = *static_cast<State*>(context);
  avr->data[at] = value;
  s.uart->cycles_per_byte = s.byte_time();
}

void Chip::State::on_reset(avr_io_t* io) {
  State& s = *static_cast<ResetWatch*>(io)->owner;
  s.cycle_at_reset = s.avr->cycle;
  s.was_reset = true;
}

void Chip::State::forget_memory() {
  const auto next = [&] {
    noise = noise * 1664525u + 1013904223u;
    return static_cast<std::uint8_t>(noise >> 24);
  };
  std::generate(avr->data, avr->data + 32, next);
  std::generate(avr->data + first_ram, avr->data + avr->ramend + 1, next);
}

void Chip::State::reset_now(ResetCause cause) {
  next_cause = static_cast<std::uint8_t>(cause);
  avr_reset(avr);
  settle_after_reset();
}

// A reset clears the library's registers, timers and settings alike; the world around the chip stays as it was.
void Chip::State::settle_after_reset() {
  was_reset = false;
  standing = false;
  before_reset += cycle_at_reset - avr->cycle;
  ++counters.resets;
  if (next_cause != 0) {
    avr->data[mcusr] = next_cause;
  } else {
    ++counters.watchdog_resets;
  }
  next_cause = 0;
  avr->run = ordinary_run;
  avr->run_cycle_limit = run_cycle_limit;
  std::uint32_t no_flags = 0;
  avr_ioctl(avr, AVR_IOCTL_UART_SET_FLAGS('0'), &no_flags);
  for (std::uint8_t i = 0; i < EXTINT_COUNT; ++i) avr_extint_set_strict_lvl_trig(avr, i, 0);
  for (const auto& [pin, level] : std::map(levels)) show({pin.first, pin.second}, level);
  for (const auto& [channel, value] : std::map(millivolts)) show_millivolts(channel, value);
  while (!from_chip.empty() && from_chip.back().at > now()) from_chip.pop_back();
  line_from_chip_free = now();
  if (!edges.empty()) call_at(edges.front().at, on_edges);
  if (!to_chip.empty()) call_at(line_to_chip_free, on_receive);
  if (stop_at > now()) call_at(stop_at, on_stop);
}

// Asleep with interrupts off, or crashed: time goes on, and with it the watchdog, the one thing that can end this.
void Chip::State::step_halted() {
  if (avr->state == cpu_Crashed && !standing) {
    standing = true;
    ++counters.crashes;
  }
  avr_cycle_count_t next = stop_at - before_reset;
  const avr_cycle_timer_slot_t* timer = avr->cycle_timers.timer;
  if (timer != nullptr) next = std::min(next, timer->when);
  avr->cycle = std::max(avr->cycle, next);
  avr_cycle_timer_process(avr);
  if (avr->run != ordinary_run) avr_run(avr);
}

Chip::Chip(std::unique_ptr<State> state) : state_(std::move(state)) {}
Chip::~Chip() = default;

Result<std::unique_ptr<Chip>> Chip::load(const std::string& elf_path) {
  if (const auto sound = check_elf(elf_path); !sound) return tl::unexpected(sound.error());
  auto state = std::make_unique<State>();
  if (const auto started = state->start(elf_path); !started) return tl::unexpected(started.error());
  return std::unique_ptr<Chip>(new Chip(std::move(state)));
}

Cycles Chip::now() const {
  return state_->now();
}

void Chip::run(Cycles deadline, RunUntil until) {
  State& s = *state_;
  if (deadline <= s.now()) return;
  if (!s.powered) {
    s.before_reset += deadline - s.now();
    return;
  }
  s.deadline = s.stop_at = deadline;
  s.until = until;
  s.first_sent = 0;
  // Without a timer at the end, sleep would jump past it to whatever timer comes next.
  s.call_at(s.stop_at, State::on_stop);
  s.plan_stop();
  while (s.now() < s.stop_at) {
    if (s.avr->state == cpu_Crashed || s.avr->state == cpu_Done) {
      s.step_halted();
    } else {
      avr_run(s.avr);
    }
    if (s.was_reset) s.settle_after_reset();
  }
  avr_cycle_timer_cancel(s.avr, State::on_stop, &s);
}

void Chip::set_pin(Pin pin, bool level) {
  const auto known = state_->levels.find({pin.port, pin.bit});
  if (known == state_->levels.end() || known->second != level) state_->show(pin, level);
}

void Chip::set_adc(std::uint8_t channel, std::uint32_t millivolts) {
  RINGOUT_CHECK(channel < 8);  // the library holds no more
  state_->show_millivolts(channel, millivolts);
}

void Chip::expect_edges(std::span<const PinEdge> edges) {
  State& s = *state_;
  if (edges.empty()) return;
  RINGOUT_CHECK(s.edges.empty() || s.edges.back().at <= edges.front().at);
  const bool idle = s.edges.empty();
  s.edges.insert(s.edges.end(), edges.begin(), edges.end());
  if (idle) s.call_at(s.edges.front().at, State::on_edges);
}

void Chip::receive(std::span<const std::uint8_t> bytes) {
  State& s = *state_;
  if (bytes.empty() || !s.powered) return;
  const bool idle = s.to_chip.empty();
  s.to_chip.insert(s.to_chip.end(), bytes.begin(), bytes.end());
  if (idle) s.call_at(s.line_to_chip_free, State::on_receive);
}

std::vector<SentByte> Chip::take_sent() {
  State& s = *state_;
  std::vector<SentByte> all;
  while (!s.from_chip.empty() && s.from_chip.front().at <= s.now()) {
    all.push_back(s.from_chip.front());
    s.from_chip.pop_front();
  }
  return all;
}

void Chip::reset(ResetCause cause) {
  if (state_->powered) state_->reset_now(cause);
}

void Chip::power_off() {
  State& s = *state_;
  if (!s.powered) return;
  s.reset_now(ResetCause::power_on);  // all pins become inputs
  --s.counters.resets;                // one power cut is one reset, counted when the power returns
  s.to_chip.clear();
  s.powered = false;
}

void Chip::power_on(ResetCause cause) {
  State& s = *state_;
  if (s.powered) return;
  s.powered = true;
  while (!s.edges.empty() && s.edges.front().at <= s.now()) {
    s.levels[{s.edges.front().pin.port, s.edges.front().pin.bit}] = s.edges.front().level;
    s.edges.pop_front();
  }
  s.forget_memory();
  s.reset_now(cause);
}

bool Chip::powered() const {
  return state_->powered;
}

std::vector<std::uint8_t> Chip::eeprom() const {
  return {state_->eeprom->eeprom, state_->eeprom->eeprom + eeprom_bytes};
}

void Chip::set_eeprom(std::span<const std::uint8_t> image) {
  RINGOUT_CHECK(image.size() == eeprom_bytes);
  std::copy(image.begin(), image.end(), state_->eeprom->eeprom);
}

std::span<const std::uint8_t> Chip::data() const {
  return {state_->avr->data, state_->avr->ramend + 1u};
}
const ChipCounters& Chip::counters() const {
  return state_->counters;
}

}  // namespace ringout::emulator
