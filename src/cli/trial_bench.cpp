#include "cli/trial_bench.h"

#include "bind/point_table.h"
#include "checks/bench_checks.h"
#include "prove/bump_plan.h"
#include "reach/twin_stream.h"
#include "session/simulated_person.h"

namespace ringout::cli {
namespace {

std::unique_ptr<twin::Twin> twin_of(const robot::Robot& robot, const plant::Deviations& deviations,
                                    const std::vector<std::uint8_t>& eeprom) {
  twin::TwinOptions options;
  options.firmware = twin::firmware_for(robot, bind::board_fingerprint(robot.board));
  options.eeprom = eeprom;
  return std::make_unique<twin::Twin>(robot, deviations, std::move(options));
}

// As a load before the trouble left it: nothing is proved yet.
std::vector<std::uint8_t> loaded_table(const robot::Robot& robot) {
  const prove::UnprovedBounds bounds = prove::plan_bumps(robot).bounds();
  const auto table = bind::point_table(robot, {.max_level_permille = bounds.max_level_permille,
                                               .max_duration_ms = bounds.max_duration_ms,
                                               .max_slope_permille_per_ms = bounds.max_slope_permille_per_ms});
  return table ? twin::eeprom_with_table(bind::encode(*table)) : std::vector<std::uint8_t>{};
}

class SessionBench final : public trial::TwinBench {
 public:
  SessionBench(const robot::Robot& robot, const plant::Deviations& deviations, const std::vector<std::uint8_t>& eeprom,
               const faults::RobotModel& model, const faults::Complaint& complaint)
      : stream_(twin_of(robot, deviations, eeprom), "twin", {}),
        person_(stream_.twin().bystander()),
        session_({.robot = robot, .stream = stream_, .person = person_}),
        model_(model),
        checks_({.session = session_, .robot = robot, .model = model, .complaint = complaint}) {
    static_cast<void>(session_.open());  // a controller that is silent is a finding
  }

  // No program runs on this twin.
  [[nodiscard]] bool makes(find::Index observation) const override {
    return model_.checks[observation].kind != faults::CheckKind::program_value && checks_.makes(observation);
  }
  [[nodiscard]] find::Observed observe(find::Index observation) override {
    return checks_.observe(observation).value_or(find::Observed{find::Observed::How::cannot_tell});
  }

 private:
  reach::TwinStream stream_;
  session::SimulatedPerson person_;
  session::Session session_;
  const faults::RobotModel& model_;
  checks::BenchChecks checks_;
};

}  // namespace

trial::MakeBench twin_benches(const robot::Robot& robot) {
  return [&robot, eeprom = loaded_table(robot)](const plant::Deviations& deviations, const faults::RobotModel& model,
                                                const faults::Complaint& complaint) {
    return std::make_unique<SessionBench>(robot, deviations, eeprom, model, complaint);
  };
}

}  // namespace ringout::cli
