#include "reach/deviating_firmware.h"

#include <filesystem>

#include "bind/firmware_build.h"
#include "os/child_process.h"
#include "os/files.h"

namespace ringout::reach {
namespace {

namespace fs = std::filesystem;

constexpr Duration build_patience = Duration::milliseconds(300'000);
constexpr const char* idle_program = "#include \"points.hpp\"\nvoid program() {}\n";

Result<void> run_compiler(const std::vector<std::string>& words) {
  const auto not_built = [](const std::string& why) {
    return failure(
        ErrorKind::bad_input, "link.firmware-not-built",
        "the emulated controller's other firmware cannot be built: " + why,
        "it needs the compiler avr-g++ and the sources that come with ringout; --on twin:FILE shows the same "
        "deviation without them");
  };
  const auto finished = os::run_to_end(words, build_patience);
  if (!finished) return not_built(finished.error().message);
  if (!finished->how.in_order()) return not_built(finished->output);
  return {};
}

}  // namespace

Result<std::string> build_deviating_firmware(const LinkSpec& spec, const robot::Robot& drawn,
                                             const FirmwareDeviation& deviation, const std::string& folder) {
  const robot::Robot& names = deviation.built_against ? *deviation.built_against : drawn;
  bind::BuildRequest request{.target = bind::BuildFor::atmega2560,
                             .program = (fs::path(spec.robot).parent_path() / "program.cpp").string(),
                             .source_root = spec.source_root,
                             .out_folder = folder,
                             .definitions = {}};
  const bool idle = deviation.built_against || !os::is_file(request.program);
  if (idle) request.program = (fs::path(folder) / "program.cpp").string();
  if (deviation.version == FirmwareDeviation::Version::old) {
    request.definitions.emplace_back("RINGOUT_FIRMWARE_VERSION=0,0,9");
  }
  auto plan = bind::firmware_build(names, request);
  if (!plan) return tl::unexpected(plan.error());
  if (idle) plan->files.push_back({request.program, idle_program});
  for (const auto& file : plan->files) {
    if (const auto written = os::write_atomically(file.path, file.text); !written)
      return tl::unexpected(written.error());
  }
  for (const auto& words : plan->commands) {
    if (const auto done = run_compiler(words); !done) return tl::unexpected(done.error());
  }
  return plan->product;
}

}  // namespace ringout::reach
