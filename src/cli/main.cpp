// Wires the command line to the command, and the outcome to the exit status.
#include <cstdio>
#include <exception>

#include "cli/arguments.h"
#include "cli/commands.h"
#include "cli/json_paper.h"
#include "cli/places.h"

namespace {

using namespace ringout;
using namespace ringout::cli;

int act_on(const Invocation& invocation) {
  const bool json = invocation.format == Format::json;
  const Terminal terminal(stdout, stderr, json ? Shown::nothing : Shown::all);
  const auto catalogues = catalogue_folders(invocation.catalogues);
  const Outcome outcome = catalogues ? run_command(invocation, *catalogues, terminal) : failed(catalogues.error());
  if (json) {
    terminal.document(json_document(invocation.name, outcome));
  } else if (outcome.error) {
    terminal.complain(*outcome.error);
  }
  return static_cast<int>(outcome.status);
}

}  // namespace

int main(int argc, char** argv) {
  const std::vector<std::string> words(argv + 1, argv + argc);
  const auto parsed = parse_arguments(words);
  if (!parsed) {
    Terminal(stdout, stderr, Shown::all).complain(parsed.error());
    return static_cast<int>(ExitStatus::bad_input);
  }
  if (const auto* help = std::get_if<HelpText>(&*parsed)) {
    Terminal(stdout, stderr, Shown::all).print(help->text);
    return static_cast<int>(ExitStatus::in_order);
  }
  try {
    return act_on(std::get<Invocation>(*parsed));
  } catch (const std::exception& bug) {
    std::fprintf(stderr, "ringout: a bug of ringout: %s\nhint: please report it with the command that you gave\n",
                 bug.what());
    return static_cast<int>(ExitStatus::internal_error);
  }
}
