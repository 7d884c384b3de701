#include "prove/identify.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "prove/explanation.h"
#include "prove/posterior.h"
#include "prove/wording.h"

namespace ringout::prove {

namespace {

// By bridge: what its drawn output's feed has in common with the controller's; empty where none is drawn.
std::vector<std::optional<double>> common_ohms(const Explanations& x) {
  std::vector<std::optional<double>> common(x.bridges());
  for (const robot::Output& o : x.robot().outputs) {
    const robot::BoardPort& port = x.robot().port_of(o.port);
    if (port.kind == robot::PortKind::bridge) common.at(port.index) = drawn_common_ohms(x.robot(), o);
  }
  return common;
}

}  // namespace

SupplyFinding supply_of(const Explanations& x) {
  SupplyFinding f;
  const std::vector<std::optional<double>> common = common_ohms(x);
  f.drawn_ohms = drawn_source_ohms(x.robot());
  for (const std::optional<double>& ohms : common) f.drawn_ohms = std::min(f.drawn_ohms, ohms.value_or(f.drawn_ohms));
  // Sag over current through the origin: R = sum(dU dI) / sum(dI^2), weighted by the sag's error. What single outputs
  // have in common with the controller beyond that is taken out as drawn.
  double volts = 0.0;
  std::size_t count = 0;
  double above = 0.0;
  double below = 0.0;
  for (std::size_t b = 0; b < x.bridges(); ++b) {
    const robot::BoardBank* bank = bank_of(x.robot().board, static_cast<std::uint8_t>(b));
    const bool sensed = bank != nullptr && bank->sense_adc && bank->sense_volts_per_ampere > 0.0;
    for (const Response& r : x.responses(b)) {
      volts += r.rest_volts;
      const double loaded = r.rest_volts - r.sag_volts.delta;
      f.loaded_volts = count == 0 ? loaded : std::min(f.loaded_volts, loaded);
      f.lowest_volts = count == 0 ? r.lowest_volts : std::min(f.lowest_volts, r.lowest_volts);
      ++count;
      const double amperes = x.load_of(r).amperes;
      if (!sensed || !common[b] || amperes <= 0.0 || r.sag_volts.error <= 0.0) continue;
      const double w = 1.0 / (r.sag_volts.error * r.sag_volts.error);
      above += w * (r.sag_volts.delta - (*common[b] - f.drawn_ohms) * amperes) * amperes;
      below += w * amperes * amperes;
    }
  }
  if (count > 0) f.rest_volts = volts / static_cast<double>(count);
  if (below > 0.0) {
    f.source_ohms = above / below;
    f.source_ohms_error = 1.0 / std::sqrt(below);
  }
  const auto* battery = x.robot().device_of(x.robot().battery.device).as<robot::BatteryDevice>();
  const bool low = battery != nullptr && count > 0 &&
                   f.rest_volts < battery->open_circuit_empty.si +
                                      0.2 * (battery->open_circuit_full.si - battery->open_circuit_empty.si);
  const bool soft = f.source_ohms - 3.0 * f.source_ohms_error > 2.5 * f.drawn_ohms;
  f.weak = low || soft;
  f.evidence = fmt::format("{:.2f} V at rest, {:.2f} V under load, {:.2f} V at its lowest", f.rest_volts,
                           f.loaded_volts, f.lowest_volts);
  if (below > 0.0) {
    f.evidence += fmt::format("; source {:.0f} mohm (error {:.0f}) where {:.0f} is drawn", f.source_ohms * 1e3,
                              f.source_ohms_error * 1e3, f.drawn_ohms * 1e3);
  }
  return f;
}

Identification identify(const robot::Robot& robot, const Evidence& evidence, const IdentifyOptions& options) {
  Explanations explanations(robot, evidence);
  const Posterior posterior = posterior_of(explanations);
  Identification id;
  id.findings = findings_of(explanations, posterior, evidence);
  id.questions = questions_of(explanations, posterior, evidence, options);
  id.supply = supply_of(explanations);
  id.confidence = posterior.best;
  return id;
}

}  // namespace ringout::prove
