#include "robot/catalogue_file.h"

#include <fmt/format.h>

#include "robot/robot_file.h"
#include "robot/table_reader.h"

namespace ringout::robot {

void read_catalogue_file(const SourceText& text, Catalogue& into, Diagnostics& found) {
  const std::optional<Node> root = read_document(text, found);
  if (!root) return;
  TableReader file(text, *root, "the catalogue file", found);
  read_board(file, into);
  read_devices(file, into);
  file.finish();
}

Catalogue read_catalogue(const std::vector<SourceText>& files, Diagnostics& found) {
  Catalogue catalogue;
  Diagnostics own;
  for (const SourceText& file : files) read_catalogue_file(file, catalogue, own);
  pass_on(own, found);
  return catalogue;
}

}  // namespace ringout::robot
