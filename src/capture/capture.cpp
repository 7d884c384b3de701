#include "capture/capture.h"

#include <fmt/format.h>

#include "base/check.h"
#include "capture/line.h"

namespace ringout::capture {

namespace {

constexpr std::string_view first_line = "ringout capture 1";

// Says what is wrong with the file's first line; true when it can be read.
bool check_first_line(const SourceText& text, Diagnostics& found) {
  const std::string_view line = text.line(1);
  if (line == first_line) return true;
  const Span at{1, 1, static_cast<int>(line.size())};
  if (line.starts_with("ringout capture ")) {
    found.error(text, at, "capture.newer-format", "this capture is in a format that this version does not know",
                "read it with the version that wrote it");
  } else {
    found.error(text, at, "capture.not-a-capture", "this is not a capture: its first line is another",
                fmt::format("the first line of a capture is \"{}\"", first_line));
  }
  return false;
}

}  // namespace

CaptureWriter::CaptureWriter(const Header& header, Sink sink) : sink_(std::move(sink)) {
  RINGOUT_CHECK(sink_ != nullptr);
  sink_(std::string(first_line) + "\n");
  sink_(seal(body_of(header)));
}

void CaptureWriter::append(const Entry& entry) {
  sink_(seal(body_of(entry)));
}

std::string write_capture(const Capture& capture) {
  std::string out;
  CaptureWriter writer(capture.header, [&out](std::string_view line) { out += line; });
  for (const Entry& entry : capture.entries) writer.append(entry);
  return out;
}

std::optional<Capture> read_capture(const SourceText& text, Diagnostics& found) {
  if (!check_first_line(text, found)) return std::nullopt;
  const std::string_view all = text.text();
  Capture capture;
  bool have_header = false;
  int number = 1;
  std::size_t begin = first_line.size() + 1;
  while (begin < all.size()) {
    ++number;
    const std::size_t end = all.find('\n', begin);
    const bool cut = end == std::string_view::npos;
    const std::string_view line = all.substr(begin, cut ? end : end - begin);
    begin = cut ? all.size() : end + 1;
    const Span at{number, 1, static_cast<int>(line.size())};
    const auto body = unseal(line);
    if (!have_header) {
      const auto header = body ? parse_header(*body) : std::nullopt;
      if (!header) {
        found.error(text, at, "capture.bad-header", "the capture's header is damaged; nothing else can be understood");
        return std::nullopt;
      }
      capture.header = *header;
      have_header = true;
      continue;
    }
    if (!body) {
      if (cut) {
        found.warning(text, at, "capture.cut", "the capture was cut in this line; all lines before it count");
      } else {
        found.warning(text, at, "capture.damaged-line", "this line is damaged (its check is wrong) and is left out");
      }
      continue;
    }
    std::string why;
    if (auto entry = parse_entry(*body, capture.header, why)) {
      capture.entries.push_back(std::move(*entry));
    } else {
      found.warning(text, at, "capture.bad-line", why + "; it is left out");
    }
  }
  if (!have_header) {
    found.error(text, Span{1, 1, 1}, "capture.no-header", "the capture ends before its header");
    return std::nullopt;
  }
  return capture;
}

std::int64_t unwrap32(std::int64_t last, std::uint32_t raw) {
  const auto step = static_cast<std::int32_t>(raw - static_cast<std::uint32_t>(last));
  return last + step;
}

}  // namespace ringout::capture
