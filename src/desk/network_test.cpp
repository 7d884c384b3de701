#include "desk/network.h"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "desk/elimination.h"

namespace ringout::desk {
namespace {

Circuit one_motor() {
  Circuit c;
  const NodeIndex battery = c.add_node(), port = c.add_node();
  c.sources.push_back({.node = battery, .emf = volts(12.6), .internal = ohms(0.02)});
  c.resistors.push_back({.from = battery, .to = port, .resistance = ohms(0.03)});
  c.chopped_loads.push_back({.node = port, .level = 1.0, .loop = ohms(0.6), .k = volt_seconds_per_radian(0.02)});
  return c;
}

// A robot-like network of any size: a tree of wires with a few loops, and every kind of load.
Circuit random_circuit(std::uint64_t seed, std::uint32_t nodes) {
  std::mt19937_64 chance(seed);
  const auto between = [&](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(chance);
  };
  Circuit c;
  const NodeIndex root = c.add_node();
  c.sources.push_back({.node = root, .emf = volts(between(10, 14)), .internal = ohms(between(0.005, 0.05))});
  while (c.nodes < nodes) {
    const NodeIndex parent = 1 + static_cast<NodeIndex>(chance() % (c.nodes - 1));
    const NodeIndex n = c.add_node();
    c.resistors.push_back({.from = parent, .to = n, .resistance = ohms(std::pow(10.0, between(-3.5, -1)))});
  }
  for (std::uint32_t extra = 0; extra < nodes / 5; ++extra) {
    const NodeIndex a = 1 + static_cast<NodeIndex>(chance() % (c.nodes - 1));
    const NodeIndex b = 1 + static_cast<NodeIndex>(chance() % (c.nodes - 1));
    if (a != b) c.resistors.push_back({.from = a, .to = b, .resistance = ohms(between(0.01, 0.1))});
  }
  for (std::uint32_t l = 0; l < nodes / 2; ++l) {
    const NodeIndex at = 1 + static_cast<NodeIndex>(chance() % (c.nodes - 1));
    const Current steady = amperes(between(0.1, 0.6));
    ChoppedLoad load{.node = at,
                     .level = between(-1, 1),
                     .loop = ohms(between(1, 6) * nodes / 10.0),
                     .k = volt_seconds_per_radian(between(0.005, 0.05)),
                     .speed_is = static_cast<SpeedIs>(chance() % 3),
                     .mechanism = {.forward = {.steady = steady, .rising = {between(0, 1e-3)}},
                                   .back = {.steady = -steady * 0.5, .rising = {between(0, 1e-3)}}}};
    load.speed = radians_per_second(load.level * between(-20, 100));
    if (chance() % 2 == 0) load.limit = amperes(between(0.5, 2));
    c.chopped_loads.push_back(load);
    if (l % 4 == 0) c.current_loads.push_back({.node = at, .current = amperes(between(0.01, 0.2))});
  }
  return c;
}

}  // namespace

TEST_CASE("a stalled motor is a divider of resistances") {
  const auto s = solve(one_motor());
  REQUIRE(s);
  CHECK(s->sources[0].si == doctest::Approx(12.6 / 0.65).epsilon(1e-12));
  CHECK(s->nodes[2].si == doctest::Approx(12.6 * 0.6 / 0.65).epsilon(1e-12));
}

TEST_CASE(
    "University Physics, 10.1: 12.0 V behind 0.100 ohm gives 1.188 A to 10.0 ohm and 20.0 A to 0.500 ohm (read)") {
  for (const auto& [load, printed] : {std::pair{10.0, 1.188}, {0.5, 20.0}}) {
    Circuit c;
    c.add_node();
    c.sources.push_back({.node = 1, .emf = volts(12.0), .internal = ohms(0.1)});
    c.resistors.push_back({.from = 1, .to = ground, .resistance = ohms(load)});
    // Half of the last printed digit.
    CHECK(solve(c)->sources[0].si == doctest::Approx(printed).epsilon(0.0005 / 1.188));
  }
}

TEST_CASE("a chopped motor takes level times its current from the supply") {
  Circuit c = one_motor();
  c.chopped_loads[0].level = 0.4;
  const auto s = solve(c);
  REQUIRE(s);
  const LoadState& m = s->chopped_loads[0];
  CHECK(m.supply_current.si == doctest::Approx(0.4 * m.current.si));
  CHECK(m.motor.si == doctest::Approx(0.4 * s->nodes[2].si));
  // By hand: seen from the supply a stalled motor is R/d².
  CHECK(s->sources[0].si == doctest::Approx(12.6 / (0.05 + 0.6 / 0.16)).epsilon(1e-12));
}

TEST_CASE("a driver at its limit takes a fixed power") {
  Circuit c = one_motor();
  c.chopped_loads[0].limit = amperes(8);
  const auto s = solve(c);
  REQUIRE(s);
  CHECK(s->chopped_loads[0].regime == Regime::current_limited);
  CHECK(s->chopped_loads[0].current.si == doctest::Approx(8));
  // By hand: P = 0.6·8² = 38.4 W behind 0.05 ohm: I = (E − √(E² − 4·r·P))/(2·r).
  CHECK(s->sources[0].si == doctest::Approx((12.6 - std::sqrt(12.6 * 12.6 - 4 * 0.05 * 38.4)) / 0.1).epsilon(1e-10));
}

TEST_CASE("a motor finds its speed against the mechanism, stands where it is too weak, and is overhauled") {
  Circuit c = one_motor();
  ChoppedLoad& load = c.chopped_loads[0];
  load.speed_is = SpeedIs::found;
  load.mechanism = {.forward = {.steady = amperes(2), .rising = {0.001}},
                    .back = {.steady = amperes(-2), .rising = {}}};
  const auto running = solve(c);
  REQUIRE(running);
  const LoadState& m = running->chopped_loads[0];
  CHECK(m.regime == Regime::running);
  CHECK(m.current.si == doctest::Approx(2 + 0.001 * m.speed.si));
  CHECK(m.motor.si == doctest::Approx(0.6 * m.current.si + 0.02 * m.speed.si));
  load.mechanism.forward.steady = amperes(50);
  CHECK(solve(c)->chopped_loads[0].regime == Regime::standing);
  load.mechanism.back.steady = amperes(30);
  const auto falls = solve(c);
  CHECK(falls->chopped_loads[0].speed.si < 0.0);
  CHECK(falls->chopped_loads[0].current.si == doctest::Approx(30));
}

TEST_CASE("a held speed takes just the level it needs, and is missed where the supply is too low") {
  Circuit c = one_motor();
  ChoppedLoad& load = c.chopped_loads[0];
  load.speed_is = SpeedIs::held;
  load.speed = radians_per_second(200);
  load.mechanism = {.forward = {.steady = amperes(3), .rising = {}}, .back = {.steady = amperes(-3), .rising = {}}};
  const auto held = solve(c);
  CHECK(held->chopped_loads[0].regime == Regime::held_speed);
  CHECK(held->chopped_loads[0].motor.si == doctest::Approx(0.6 * 3 + 0.02 * 200));
  load.speed = radians_per_second(2000);
  const auto missed = solve(c);
  CHECK(missed->chopped_loads[0].regime == Regime::running);
  CHECK(missed->chopped_loads[0].speed.si < 600);
}

TEST_CASE("currents sum to zero and the power balance closes to 1e-9 in random networks") {
  int solved = 0;
  for (std::uint64_t seed = 1; seed <= 300; ++seed) {
    const Circuit c = random_circuit(seed, 3 + static_cast<std::uint32_t>(seed % 60));
    const auto s = solve(c);
    CAPTURE(seed);
    REQUIRE(s);
    ++solved;
    CHECK(s->imbalance < 1e-9);
    double through = 0.0;
    for (const Current i : s->sources) through += std::abs(i.si);
    CHECK(s->residual.si <= 1e-9 * std::max(through, 1.0));
  }
  CHECK(solved == 300);
}

TEST_CASE("halving a wire never raises its drop") {
  for (std::uint64_t seed = 1; seed <= 100; ++seed) {
    Circuit c = random_circuit(seed, 20);
    for (ChoppedLoad& load : c.chopped_loads) load.level = std::abs(load.level);
    const auto before = solve(c);
    REQUIRE(before);
    for (std::size_t r = 0; r < c.resistors.size(); ++r) {
      Circuit halved = c;
      halved.resistors[r].resistance = halved.resistors[r].resistance * 0.5;
      const auto after = solve(halved);
      REQUIRE(after);
      const double drop = std::abs(before->resistors[r].si * c.resistors[r].resistance.si);
      const double less = std::abs(after->resistors[r].si * halved.resistors[r].resistance.si);
      CAPTURE(seed);
      CAPTURE(r);
      CHECK(less <= drop + 1e-9);
    }
  }
}

TEST_CASE("scaling all units leaves the ratios of the result unchanged") {
  // Volts counted in units a times, amperes in units b times as small; ohms follow as a/b, V·s/rad and speed as chosen.
  const double a = 1000.0, b = 0.02, turns = 7.0;
  for (std::uint64_t seed = 1; seed <= 30; ++seed) {
    const Circuit c = random_circuit(seed, 25);
    Circuit scaled = c;
    for (Source& s : scaled.sources) s.emf = s.emf * a, s.internal = s.internal * (a / b);
    for (Resistor& r : scaled.resistors) r.resistance = r.resistance * (a / b);
    for (CurrentLoad& l : scaled.current_loads) l.current = l.current * b;
    for (ChoppedLoad& l : scaled.chopped_loads) {
      l.loop = l.loop * (a / b);
      l.k = l.k * (a / turns);
      l.speed = l.speed * turns;
      l.limit = l.limit * b;
      for (RunningCurrent* run : {&l.mechanism.forward, &l.mechanism.back}) {
        run->steady = run->steady * b;
        run->rising = run->rising * (b / turns);
      }
    }
    const auto one = solve(c), other = solve(scaled);
    REQUIRE(one);
    REQUIRE(other);
    for (NodeIndex n = 1; n < c.nodes; ++n) {
      CHECK(other->nodes[n].si == doctest::Approx(a * one->nodes[n].si).epsilon(1e-9));
    }
  }
}

TEST_CASE("what cannot be solved is said") {
  Circuit c = one_motor();
  c.resistors[0].resistance = ohms(0);
  CHECK(solve(c).error().id == "desk.element");
  c = one_motor();
  c.add_node();
  CHECK(solve(c).error().id == "desk.floating-node");
  c = one_motor();
  c.current_loads.push_back({.node = 2, .current = amperes(500)});
  CHECK(solve(c).error().id == "desk.no-solution");
}

TEST_CASE("the factor of a tree has no entry that the matrix has not, however wide its hub") {
  std::vector<Pair> star;
  for (std::uint32_t n = 1; n < 2000; ++n) star.push_back({0, n});
  CHECK(eliminate(2000, star).rows.size() == 1999);
  std::vector<Pair> ring;
  for (std::uint32_t n = 0; n < 100; ++n) ring.push_back({n, (n + 1) % 100});
  CHECK(eliminate(100, ring).rows.size() == 99 + 98);
}

}  // namespace ringout::desk
