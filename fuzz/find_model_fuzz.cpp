// Any text as a fault-finding model: it is read or explained; what reads can be reckoned with.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>

#include "base/check.h"
#include "find/model_file.h"
#include "find/posterior.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
  using namespace ringout;
  const SourceText text("fuzzed.toml", std::string(reinterpret_cast<const char*>(bytes), size));
  Diagnostics found;
  const auto model = find::read_model(text, found);
  RINGOUT_CHECK(model.has_value() != found.has_errors());
  for (const Diagnostic& d : found.all()) RINGOUT_CHECK(!render(d, &text).empty());
  if (!model) return 0;
  const find::Likelihood known(*model);
  find::Posterior posterior(known);
  if (!model->observations.empty()) static_cast<void>(posterior.take(find::Answer{0, 0}));
  for (const double p : posterior.marginals()) RINGOUT_CHECK(std::isfinite(p) && p >= -1e-9 && p <= 1.0 + 1e-9);
  return 0;
}
