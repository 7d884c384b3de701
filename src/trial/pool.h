// Everything that can be wrong with a robot, and one model for each thing that can be complained of.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "find/likelihood.h"
#include "trial/trial.h"

namespace ringout::trial {

// The model of one complaint with what is asked of it over and over.
struct Complained {
  faults::Trouble trouble;
  faults::RobotModel model;
  std::unique_ptr<find::Likelihood> likelihood;  // of model.model

  // The set of these faults; nothing where the model lacks one of them.
  [[nodiscard]] std::optional<find::FaultSet> set_of(const std::vector<TrueFault>& faults) const;
};

struct Pool {
  std::vector<TrueFault> faults;                        // each once
  std::vector<std::unique_ptr<Complained>> complaints;  // by point and symptom
  [[nodiscard]] const Complained& complained(const faults::Trouble& trouble) const;
};

[[nodiscard]] Pool pool_of(const robot::Robot& robot, const faults::FaultRows& rows);

}  // namespace ringout::trial
