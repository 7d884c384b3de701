#include "prove/posterior.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "base/check.h"
#include "prove/assignment.h"
#include "prove/prior.h"

namespace ringout::prove {

namespace {

constexpr double forget_below = 25.0;  // natural logarithm: wirings rarer than e^-25 of the best are left out

struct Seating {
  const Arrangement* encoders = nullptr;
  const Arrangement* analogues = nullptr;
  double log_prior = 0.0;
  double bound = 0.0;  // no assignment under this seating weighs more
};

class Summation {
 public:
  explicit Summation(Explanations& x) : x_(x), robot_(x.robot()) {
    for (std::size_t o = 0; o < outputs(); ++o) {
      if (robot_.port_of(robot_.outputs[o].port).kind == robot::PortKind::bridge) devices_.push_back(o);
    }
    RINGOUT_CHECK(devices_.size() <= most_devices);
    out_.encoders = masses(robot::PointKind::encoder, robot::PortKind::encoder_input);
    out_.analogues = masses(robot::PointKind::analogue, robot::PortKind::analogue_input);
    out_.output.assign(outputs(), std::vector<StateMass>(x.bridges(), StateMass{}));
    out_.absent.assign(outputs(), 1.0);
    for (const std::size_t o : devices_) out_.absent[o] = 0.0;
    out_.nothing.assign(x.bridges(), 0.0);
    out_.not_drawn.assign(x.bridges(), 0.0);
    out_.strength.assign(outputs(), StateMass{});
    out_.weight.assign(outputs(), StateMass{});
  }

  Posterior run() {
    list_seatings();
    // Dearest bound first: the first sums soon tell which of the rest cannot matter.
    std::sort(seatings_.begin(), seatings_.end(), [](const Seating& a, const Seating& b) { return a.bound > b.bound; });
    struct Term {
      const Seating* seating;
      AssignmentPosterior posterior;
      double log_weight;
    };
    std::vector<Term> terms;
    double total = -std::numeric_limits<double>::infinity();
    double best = total;
    for (const Seating& s : seatings_) {
      if (!terms.empty() && s.bound < total - forget_below) break;
      AssignmentPosterior p = assign(weights(s));
      const double log_weight = p.log_total + s.log_prior;
      total = log_add(total, log_weight);
      best = std::max(best, p.log_best + s.log_prior);
      terms.push_back({&s, std::move(p), log_weight});
    }
    for (const Term& t : terms) {
      const double share = std::exp(t.log_weight - total);
      if (share > 1e-15) add(*t.seating, t.posterior, share);
    }
    out_.best = std::exp(best - total);
    return std::move(out_);
  }

 private:
  [[nodiscard]] std::size_t outputs() const { return robot_.outputs.size(); }

  std::vector<SensorMass> masses(robot::PointKind kind, robot::PortKind port_kind) const {
    const std::size_t ports = robot_.board.of_kind(port_kind).size();
    std::vector<SensorMass> all;
    for (const MotionSensor& s : motion_sensors(robot_, kind)) {
      const bool watches_device = std::find(devices_.begin(), devices_.end(), s.output) != devices_.end();
      all.push_back({s.input, s.output, s.drawn, std::vector<SensorPosterior>(ports, SensorPosterior{}), 0.0,
                     watches_device ? 0.0 : 1.0});
    }
    return all;
  }

  void list_seatings() {
    const auto list = [&](robot::PointKind kind, robot::PortKind port_kind) {
      const std::size_t ports = robot_.board.of_kind(port_kind).size();
      const auto sensors = motion_sensors(robot_, kind);
      return arrangements(sensors, ports, ports_in_use(robot_, kind, ports), sensors.size() <= 6 ? 4 : 2);
    };
    encoder_list_ = list(robot::PointKind::encoder, robot::PortKind::encoder_input);
    analogue_list_ = list(robot::PointKind::analogue, robot::PortKind::analogue_input);
    for (const Arrangement& e : encoder_list_) {
      for (const Arrangement& a : analogue_list_) {
        Seating s{&e, &a, e.log_prior + a.log_prior, 0.0};
        s.bound = s.log_prior + bound_of(weights(s));
        seatings_.push_back(s);
      }
    }
  }

  static double bound_of(const AssignmentWeights& w) {
    double bound = std::accumulate(w.absent.begin(), w.absent.end(), 0.0);
    for (std::size_t p = 0; p < w.none.size(); ++p) {
      double sum = w.none[p];
      for (std::size_t d = 0; d < w.absent.size(); ++d) sum = log_add(sum, w.device[p][d] - w.absent[d]);
      bound += sum;
    }
    return bound;
  }

  // The seat of an output's sensor under an arrangement.
  static Explanations::Seat seat(const std::vector<SensorMass>& sensors, const Arrangement& a, std::size_t output) {
    for (std::size_t s = 0; s < sensors.size(); ++s) {
      if (sensors[s].output == output) return a.port[s];
    }
    return std::nullopt;
  }

  const Explanation& explanation(const Seating& s, std::size_t o, std::size_t p) {
    return x_.of(o, p, seat(out_.encoders, *s.encoders, o), seat(out_.analogues, *s.analogues, o));
  }

  AssignmentWeights weights(const Seating& s) {
    AssignmentWeights w;
    w.absent.assign(devices_.size(), std::log(prior::absent));
    for (std::size_t p = 0; p < x_.bridges(); ++p) {
      w.none.push_back(log_add(x_.nothing_log(p), x_.not_drawn_log(p)));
      w.device.emplace_back();
      for (const std::size_t o : devices_) w.device.back().push_back(explanation(s, o, p).log_weight);
    }
    return w;
  }

  void add(const Seating& s, const AssignmentPosterior& a, double share) {
    for (std::size_t p = 0; p < x_.bridges(); ++p) {
      const double nothing = x_.nothing_log(p);
      const double nothing_share = std::exp(nothing - log_add(nothing, x_.not_drawn_log(p)));
      out_.nothing[p] += share * a.none[p] * nothing_share;
      out_.not_drawn[p] += share * a.none[p] * (1.0 - nothing_share);
    }
    for (std::size_t d = 0; d < devices_.size(); ++d) {
      const std::size_t o = devices_[d];
      out_.absent[o] += share * a.absent[d];
      for (std::size_t p = 0; p < x_.bridges(); ++p) {
        const double here = share * a.device[p][d];
        if (here <= 0.0) continue;
        const Explanation& e = explanation(s, o, p);
        for (std::size_t k = 0; k < output_states.size(); ++k) {
          out_.output[o][p][k] += here * e.state[k];
          out_.strength[o][k] += here * e.state[k] * e.strength[k];
          out_.weight[o][k] += here * e.state[k];
        }
        add_sensors(out_.encoders, *s.encoders, o, here, e, e.encoder);
        add_sensors(out_.analogues, *s.analogues, o, here, e, e.analogue);
      }
      for (auto* sensors : {&out_.encoders, &out_.analogues}) {
        for (SensorMass& m : *sensors) {
          if (m.output == o) m.unobserved += share * a.absent[d];
        }
      }
    }
  }

  static void add_sensors(std::vector<SensorMass>& sensors, const Arrangement& a, std::size_t d, double here,
                          const Explanation& e, const std::array<SensorPosterior, output_states.size()>& posterior) {
    for (std::size_t s = 0; s < sensors.size(); ++s) {
      SensorMass& m = sensors[s];
      if (m.output != d) continue;
      for (std::size_t k = 0; k < output_states.size(); ++k) {
        const double mass = here * e.state[k];
        const Condition c = output_states[k].condition;
        if (stands(c) || (c == Condition::slips && !m.input->on_motor_shaft)) {
          m.unobserved += mass;
        } else if (!a.port[s]) {
          m.nowhere += mass;
        } else {
          for (std::size_t t = 0; t < sensor_states; ++t) m.on_port[*a.port[s]][t] += mass * posterior[k][t];
        }
      }
    }
  }

  Explanations& x_;
  const robot::Robot& robot_;
  // Outputs on bridges, by index in the robot: servos, lights and bus devices sit elsewhere, no bump can tell of them.
  std::vector<std::size_t> devices_;
  Posterior out_;
  std::vector<Arrangement> encoder_list_, analogue_list_;
  std::vector<Seating> seatings_;
};

}  // namespace

double Posterior::on(std::size_t o, std::size_t bridge) const {
  return std::accumulate(output[o][bridge].begin(), output[o][bridge].end(), 0.0);
}

Posterior posterior_of(Explanations& explanations) {
  return Summation(explanations).run();
}

}  // namespace ringout::prove
