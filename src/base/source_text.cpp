#include "base/source_text.h"

namespace ringout {

std::string_view SourceText::line(int number) const {
  std::string_view rest = text_;
  for (int current = 1; current < number; ++current) {
    const auto end = rest.find('\n');
    if (end == std::string_view::npos) return {};
    rest.remove_prefix(end + 1);
  }
  rest = rest.substr(0, rest.find('\n'));
  if (!rest.empty() && rest.back() == '\r') rest.remove_suffix(1);
  return number < 1 ? std::string_view{} : rest;
}

}  // namespace ringout
