// A case kept as text: one line an entry, written and flushed before the case goes on, fields parted by tabs.
//
//   ringout case 1
//   about<TAB>tray_carrier                     the machine or model; a case of another one is not taken up
//   symptom<TAB>clamp<TAB>nothing              whatever rebuilds the model, as the caller wrote it
//   saw<TAB>bench<TAB>check<TAB>outcome        or person
//   could_not_tell<TAB>check
//   put_aside<TAB>check<TAB>name               or repair, or call alone
//   done<TAB>repair                            or done alone
//   right<TAB>repair                           it was right already: nothing was mended
//   proof<TAB>held<TAB>5                       or failed
//   called
//   took_back<TAB>3                            the third entry, counted from 1 and without the head
//   closed<TAB>part.fault<TAB>part.fault       or closed alone
//
// Names stand in it, not numbers, so that a case outlives a change of the model. A last line without its end was cut
// off while it was written and counts for nothing; everything before it does.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/diagnostic.h"
#include "find/case_log.h"

namespace ringout::find {

struct CaseHead {
  std::string about;
  std::vector<std::vector<std::string>> symptoms;  // the fields of each symptom line
};

// A case as it stands in the file; names are not looked up yet.
struct KeptCase {
  struct Line {
    std::vector<std::string> fields;
    int number = 0;
  };
  CaseHead head;
  std::vector<Line> lines;
  std::string whole;        // the text up to its last line end: what may be appended to
  std::size_t cut_off = 0;  // bytes behind it
};

[[nodiscard]] std::string head_text(const CaseHead& head);
[[nodiscard]] std::string line_text(const Model& model, const Entry& entry);

// All that is wrong with it in one run; nothing is returned then. A text that was cut off within its head comes back
// with an empty `about`.
[[nodiscard]] std::optional<KeptCase> read_case(const SourceText& text, Diagnostics& found);
// Entries by this model; what it lacks becomes Foreign, so that the count of entries stays.
[[nodiscard]] std::vector<Entry> entries_of(const KeptCase& kept, const Model& model);

}  // namespace ringout::find
