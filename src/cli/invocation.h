// What a person asked for on the command line, as values. Reading it is in arguments.h.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "base/instant.h"

namespace ringout::cli {

enum class Format { text, json };
enum class Acknowledged { no, yes };  // --acknowledge: on simulated robots only

// Options of every command that talks to a controller.
struct LinkOptions {
  std::string on = "none";
  std::optional<std::string> answers;
  Acknowledged acknowledged = Acknowledged::no;
  std::string built;  // folder of what `build` made; empty: generated/ beside the robot file
};

struct NewCommand {
  std::string file = "robot.toml";
  std::string name;
};
struct CheckCommand {
  std::string robot;
  std::string plots;  // folder of pictures; empty: none
};
struct CalcCommand {
  std::string subject;                         // "motor", "wire", …
  std::map<std::string, std::string> written;  // option without its dashes, text
};
struct ColdCommand {
  std::string robot;
  std::string readings;  // a filled-in list to judge; empty: ask at the terminal, where there is one
  std::string kept;      // where readings are kept; empty: measured.toml beside the robot file
  std::string print;     // the sheet as a page to print
  std::string by;        // name of who measures
};
struct ExportCommand {
  std::string robot;
  std::string load_case;  // empty: the worst one
  std::string start;      // an output whose motor starts instead; empty: a load case
  std::string out;        // empty: standard output
};
struct BindCommand {
  std::string robot;
  std::string out;  // empty: generated/ beside the robot file
};
struct BuildCommand {
  std::string robot;
  std::string program;
  std::string target = "twin";
  std::string out;
};
struct DrawCommand {
  std::string robot;
  std::string out;       // empty: NAME.svg and NAME.csv in the current folder
  std::string date;      // empty: today
  std::string findings;  // empty: found.json beside the robot file, where there is one
};
struct LinksCommand {};

enum class Depth { readings, with_motion };
struct ReadyCommand {
  std::string robot;
  LinkOptions link;
  Depth depth = Depth::with_motion;
};
struct LoadCommand {
  std::string robot;
  LinkOptions link;
};
struct JogCommand {
  std::string robot;
  LinkOptions link;
  std::string output;
  double percent = 10.0;  // of the supply, sign as the robot file says
  double seconds = 2.0;   // at most
};
struct ProveCommand {
  std::string robot;
  LinkOptions link;
  std::string findings;  // empty: found.json beside the robot file
  std::string capture;   // empty: .ringout/prove-DATE.capture beside the robot file
  std::string replay;    // a capture to take the findings from instead of a controller
};
struct RunCommand {
  std::string robot;
  LinkOptions link;
  double seconds = 60.0;
};
struct MetersCommand {
  std::string robot;
  LinkOptions link;
  std::optional<double> seconds;
  double every_ms = 200.0;
};
struct TwinCommand {
  std::string robot;
  LinkOptions link;
};
enum class FindAs { interview, tree, history };
struct FindCommand {
  std::string robot;  // either of the two
  std::string model;
  LinkOptions link;
  FindAs as = FindAs::interview;
  bool interview = false;            // --interview was given
  std::vector<std::string> trouble;  // "clamp=nothing"
  std::vector<std::string> rows;     // files of fault rows, after the installed ones
  std::string strategy = "best";
  int depth = 8;                  // of a printed tree
  std::optional<double> seconds;  // to look for one step, or for each part of what is said of a model; empty: usual
  std::string kept;               // the case; empty: a new one in .ringout beside the robot or model file
  bool resume = false;
  std::string history;     // empty: fault_history.txt beside the robot or model file
  std::string export_to;   // copies the history there
  std::string merge_from;  // adds that one to it
};

struct TrialCommand {
  std::string robot;
  std::vector<std::string> rows;        // as FindCommand
  std::vector<std::string> strategies;  // "best", "fixed-order:hand"; empty: the usual ones
  std::uint64_t seed = 1;
  std::size_t cases = 100;
  int faults = 1;  // at once
  double wrong_by = 3.0;
  double misread_percent = 3.0;
  unsigned threads = 0;  // 0: as many as there are cores
  bool show_missed = false;
};

using Command = std::variant<NewCommand, CheckCommand, CalcCommand, ColdCommand, ExportCommand, BindCommand,
                             BuildCommand, DrawCommand, LinksCommand, ReadyCommand, LoadCommand, JogCommand,
                             ProveCommand, RunCommand, MetersCommand, TwinCommand, FindCommand, TrialCommand>;

struct Invocation {
  std::string name;  // of the command
  Format format = Format::text;
  std::vector<std::string> catalogues;  // --catalogue, beside the installed one
  Command command;
};

}  // namespace ringout::cli
