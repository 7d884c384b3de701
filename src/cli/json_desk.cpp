#include "cli/json_desk.h"

#include "cli/json_desk_parts.h"

namespace ringout::cli {
namespace {

using desk::DeskReport;
using robot::Robot;

Json celsius_of(Temperature t) {
  return finite(t.si - 273.15);
}

Json share_json(const desk::Share& share) {
  return {{"current_A", finite(share.current.si)}, {"limit_A", share.limit ? finite(share.limit->si) : Json(nullptr)}};
}

Json protections_json(const Robot& robot, const desk::CaseReport& c) {
  Json protections = Json::array();
  for (std::size_t i = 0; i < c.protections.size(); ++i) {
    const auto& p = c.protections[i];
    protections.push_back({{"name", robot.protections[i].name},
                           {"current_A", finite(p.current.si)},
                           {"multiple", finite(p.multiple)},
                           {"opens", trip_json(p.trip)},
                           {"basis", basis_json(p.basis)}});
  }
  return protections;
}

Json wires_json(const DeskReport& report, const desk::CaseReport& c) {
  Json wires = Json::array();
  for (std::size_t i = 0; i < c.wires.size(); ++i) {
    const auto& label = report.wires[i];
    wires.push_back({{"name", label.name},
                     {"current_A", finite(c.wires[i].current.si)},
                     {"drop_V", finite(c.wires[i].drop.si)},
                     {"limit_A", label.limit ? finite(label.limit->si) : Json(nullptr)},
                     {"basis", basis_json(label.limit_basis)}});
  }
  return wires;
}

Json outputs_json(const Robot& robot, const desk::CaseReport& c) {
  Json outputs = Json::array();
  for (const auto& o : c.outputs) {
    outputs.push_back({{"name", robot.outputs[o.output].name},
                       {"loading", robot::name_of(o.loading)},
                       {"level", finite(o.level)},
                       {"current_A", finite(o.current.si)},
                       {"supply_current_A", finite(o.supply_current.si)},
                       {"output_speed_rad_per_s", finite(o.output_speed.si)},
                       {"output_torque_Nm", finite(o.output_torque.si)},
                       {"efficiency", finite(o.efficiency)},
                       {"port", o.port.limit ? share_json(o.port) : Json(nullptr)},
                       {"connector", o.connector.limit ? share_json(o.connector) : Json(nullptr)}});
  }
  return outputs;
}

Json banks_json(const desk::CaseReport& c) {
  Json banks = Json::array();
  for (const auto& b : c.banks) {
    Json bank{{"name", b.bank}};
    bank.update(share_json(b.share));
    banks.push_back(bank);
  }
  return banks;
}

Json case_json(const Robot& robot, const DeskReport& report, const desk::CaseReport& c) {
  Json json{{"name", c.name},
            {"description", c.description},
            {"origin", c.origin == desk::CaseOrigin::robot_file ? "robot file" : "added"},
            {"unsolved", nullptr},
            {"basis", basis_json("case.network")}};
  if (c.unsolved) json["unsolved"] = c.unsolved->message;
  json["battery_current_A"] = finite(c.battery_current.si);
  json["battery_terminals_V"] = finite(c.battery_terminals.si);
  json["controller_V"] = finite(c.controller.si);
  json["above_supply_low_V"] = finite(c.above_supply_low.si);
  json["above_brown_out_V"] = finite(c.above_brown_out.si);
  json["first_to_open"] = nullptr;
  if (c.first_to_open) json["first_to_open"] = robot.protections[*c.first_to_open].name;
  Json nodes = Json::array();
  for (std::size_t i = 0; i < c.nodes.size(); ++i) {
    nodes.push_back({{"name", report.nodes[i].name}, {"voltage_V", finite(c.nodes[i].si)}});
  }
  json["protections"] = protections_json(robot, c);
  json["wires"] = wires_json(report, c);
  json["outputs"] = outputs_json(robot, c);
  json["banks"] = banks_json(c);
  json["nodes"] = nodes;
  json["residual_A"] = finite(c.residual.si);
  json["imbalance"] = finite(c.imbalance);
  return json;
}

Json motor_point_json(const desk::MotorPoint& p) {
  return {{"torque_Nm", finite(p.torque.si)},
          {"speed_rad_per_s", finite(p.speed.si)},
          {"current_A", finite(p.current.si)},
          {"power_W", finite(p.power.si)},
          {"efficiency", finite(p.efficiency)}};
}

Json motor_json(const Robot& robot, const desk::MotorCurve& m) {
  constexpr int steps = 20;
  Json curve = Json::array();
  for (const auto& p : desk::points_of(m, steps)) curve.push_back(motor_point_json(p));
  return {{"output", robot.outputs[m.output].name},
          {"output_speed_rad_per_s", finite(m.output_speed.si)},
          {"current_A", finite(m.operating_current.si)},
          {"torque_Nm", finite(m.operating_torque.si)},
          {"speed_rad_per_s", finite(m.operating_speed.si)},
          {"efficiency", finite(m.operating_efficiency)},
          {"free_speed_rad_per_s", finite(m.free_speed.si)},
          {"free_current_A", finite(m.free_current.si)},
          {"driver_limit_A", finite(m.limit.si)},
          {"limited_by_driver", m.stall_current < m.line_stall},
          {"stall_current_A", finite(m.stall_current.si)},
          {"stall_torque_Nm", finite(m.stall_torque.si)},
          {"stall_torque_hot_Nm", m.stall_torque_hot ? finite(m.stall_torque_hot->si) : Json(nullptr)},
          {"most_power_W", finite(m.most_power.si)},
          {"torque_at_most_power_Nm", finite(m.at_most_power.si)},
          {"most_efficiency", finite(m.most_efficiency)},
          {"torque_at_most_efficiency_Nm", finite(m.at_most_efficiency.si)},
          {"starting_rad_per_s2", finite(m.starting.si)},
          {"to_63_percent_s", finite(m.to_63_percent.si)},
          {"row_disagreement", finite(m.constant_disagreement)},
          {"curve", curve},
          {"basis", basis_json("motor.row")},
          {"hot_basis", basis_json("motor.hot")},
          {"start_basis", basis_json("motor.start")}};
}

Json stall_json(const Robot& robot, const desk::BranchStall& s) {
  const auto time = [](const std::optional<Time>& t) { return t ? finite(t->si) : Json(nullptr); };
  return {{"output", robot.outputs[s.output].name},
          {"current_A", finite(s.current.si)},
          {"supply_current_A", finite(s.supply_current.si)},
          {"limited_by_driver", s.limited},
          {"first_to_open", s.first_to_open ? Json(robot.protections[*s.first_to_open].name) : Json(nullptr)},
          {"opens", trip_json(s.trip)},
          {"winding_limit_after_s", time(s.winding_limit_after)},
          {"warm_limit_after_s", time(s.warm_limit_after)},
          {"basis", basis_json("case.stalled")},
          {"heat_basis", basis_json("motor.stalled_heat")}};
}

Json duty_json(const Robot& robot, const desk::DutyFigures& d) {
  Json motors = Json::array();
  for (const auto& m : d.motors) {
    if (!m.stated) continue;
    motors.push_back({{"output", robot.outputs[m.output].name},
                      {"after_cycles_degC", celsius_of(m.after_cycles)},
                      {"settled_degC", celsius_of(m.settled)},
                      {"limit_degC", celsius_of(m.limit)},
                      {"limit_after_s", finite(m.limit_after.si)},
                      {"allowed_share", finite(m.allowed_share)},
                      {"basis", basis_json("motor.heat")}});
  }
  Json protections = Json::array();
  for (const auto& p : d.protections) {
    protections.push_back({{"name", robot.protections[p.protection].name},
                           {"early_peak", finite(p.early_peak)},
                           {"late_peak", finite(p.late_peak)},
                           {"opens", trip_json(p.opens)},
                           {"basis", basis_json("trip.profile")}});
  }
  return {{"name", robot.duty_cycles[d.cycle].name},
          {"unsolved", d.unsolved ? Json(d.unsolved->message) : Json(nullptr)},
          {"basis", basis_json("battery.run_time")},
          {"length_s", finite(d.length.si)},
          {"mean_current_A", finite(d.mean_current.si)},
          {"effective_current_A", finite(d.effective_current.si)},
          {"lowest_controller_V", finite(d.lowest_controller.si)},
          {"energy_J", finite(d.energy.si)},
          {"run_time_s", finite(d.run_time.si)},
          {"cycles", finite(d.cycles)},
          {"end_reason", d.end_reason},
          {"end_voltage_V", finite(d.end_voltage.si)},
          {"charge_per_day_C", finite(d.charge_per_day.si)},
          {"batteries_per_day", finite(d.batteries_per_day)},
          {"cycles_shown", d.cycles_shown},
          {"motors", motors},
          {"protections", protections}};
}

}  // namespace

std::string json_desk(const Robot& robot, const DeskReport& report) {
  Json cases = Json::array();
  for (const std::size_t i : report.by_severity) cases.push_back(case_json(robot, report, report.cases[i]));
  Json stalls = Json::array();
  for (const auto& stall : report.branch_stalls) stalls.push_back(stall_json(robot, stall));
  Json duties = Json::array();
  for (const auto& d : report.duties) duties.push_back(duty_json(robot, d));
  Json bases = Json::array();
  for (const auto& b : desk::all_bases()) {
    bases.push_back({{"id", b.id}, {"assumption", b.assumption}, {"source", b.source}});
  }
  Json idle = Json::array();
  for (const std::size_t t : report.idle_tolerances) idle.push_back(robot.tolerances[t].path);
  Json motors = Json::array();
  for (const auto& m : report.motors) motors.push_back(motor_json(robot, m));
  const Json json{{"cases", cases},
                  {"stalls", stalls},
                  {"motors", motors},
                  {"duty_cycles", duties},
                  {"spread", spread_json(robot, report)},
                  {"ranges", ranges_json(robot, report)},
                  {"idle_tolerances", idle},
                  {"bases", bases}};
  return json.dump(2, ' ', false, Json::error_handler_t::replace);
}

}  // namespace ringout::cli
