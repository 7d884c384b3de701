#include "cli/calc.h"
#include "cli/commands.h"

namespace ringout::cli {

Outcome run(const CalcCommand& command, const Folders&, const Terminal& terminal) {
  const auto calculation = calculate(command.subject, command.written);
  if (!calculation) return failed(calculation.error());
  terminal.print(calculation_text(*calculation));
  return {ExitStatus::in_order, json_calc(*calculation), {}};
}

}  // namespace ringout::cli
