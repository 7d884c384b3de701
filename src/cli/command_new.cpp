#include <fmt/format.h>

#include <filesystem>

#include "cli/commands.h"
#include "cli/json_paper.h"
#include "os/files.h"
#include "reach/robot_files.h"
#include "robot/resolve.h"
#include "robot/robot_file.h"
#include "robot/starter.h"

namespace ringout::cli {
namespace {

// The catalogue's texts, found as a robot file beside `file` would find them.
Result<robot::Catalogue> catalogue_for(const Folders& catalogues) {
  std::vector<SourceText> texts;
  for (const auto& folder : catalogues) {
    for (const char* part : {"", "/boards", "/devices"}) {
      for (const auto& path : os::files_in(folder + part, ".toml")) {
        auto text = os::read_text(path);
        if (!text) return tl::unexpected(text.error());
        texts.emplace_back(path, std::move(*text));
      }
    }
  }
  Diagnostics found;
  robot::Catalogue catalogue = robot::read_catalogue(texts, found);
  if (found.has_errors()) {
    return failure(ErrorKind::bad_input, "cli.catalogue-has-errors", reach::render_all(found, texts));
  }
  return catalogue;
}

}  // namespace

Outcome run(const NewCommand& command, const Folders& catalogues, const Terminal& terminal) {
  if (os::is_file(command.file)) {
    return failed({ErrorKind::bad_input, "cli.file-exists", command.file + " exists already",
                   "give another name, or move it away first"});
  }
  if (const std::string fault = command.name.empty() ? "" : robot::fault_of_name(command.name); !fault.empty()) {
    return failed({ErrorKind::bad_input, "cli.bad-name",
                   fmt::format("\"{}\" cannot be a name: {}", command.name, fault),
                   "use letters, digits and underscores, beginning with a letter, for example \"tray_carrier\""});
  }
  const auto catalogue = catalogue_for(catalogues);
  if (!catalogue) return failed(catalogue.error());
  const std::string stem = std::filesystem::path(command.file).stem().string();
  const std::string text = robot::starter_robot_file(command.name.empty() ? stem : command.name, *catalogue);
  if (auto written = os::write_atomically(command.file, text); !written) return failed(written.error());
  terminal.print(fmt::format("wrote {}\nnext: describe your robot in it, then\n  ringout check {}\n  ringout draw {}\n",
                             command.file, command.file, command.file));
  return {ExitStatus::in_order, json_new(command.file), {}};
}

}  // namespace ringout::cli
