#include "cli/arguments.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <functional>
#include <map>

#include "base/diagnostic.h"
#include "cli/calc.h"
#include "cli/usage.h"
#include "cli/version.h"

namespace ringout::cli {
namespace {

// Everything that options are bound to while the line is read; the chosen command is taken out of it afterwards.
struct Draft {
  Invocation invocation;
  bool json = false;
  bool acknowledge = false;
  bool readings_only = false;
  bool find_history = false;
  double for_seconds = 0.0;
  LinkOptions link;
  NewCommand new_file;
  CheckCommand check;
  CalcCommand calc;
  ColdCommand cold;
  ExportCommand exported;
  BindCommand bind;
  BuildCommand build;
  DrawCommand draw;
  ReadyCommand ready;
  LoadCommand load;
  JogCommand jog;
  ProveCommand prove;
  RunCommand run;
  MetersCommand meters;
  TwinCommand twin;
  FindCommand find;
  TrialCommand trial;
  std::string answers;
};

CLI::App* add(CLI::App& app, Draft& draft, const char* name, const char* description) {
  CLI::App* command = app.add_subcommand(name, description);
  command->add_flag("--json", draft.json, "print one JSON document (docs/schema) instead of text");
  command
      ->add_option("--catalogue", draft.invocation.catalogues,
                   "folder of boards and devices, beside the installed ones; may be given several times")
      ->type_name("DIR");
  return command;
}

void add_robot(CLI::App* command, std::string& robot) {
  command->add_option("robot", robot, "robot file")->required()->type_name("FILE");
}

void add_built(CLI::App* command, std::string& folder) {
  command
      ->add_option("--built", folder,
                   "folder of the firmware or program that 'build' made; default: generated beside the robot file")
      ->type_name("DIR");
}

// Options of every command that talks to a controller.
void add_link(CLI::App* command, Draft& draft) {
  command
      ->add_option("--on", draft.link.on,
                   "controller: a serial device, twin, twin:DEVIATIONS.toml, emulated, emulated:DEVIATIONS.toml or "
                   "none")
      ->type_name("LINK")
      ->capture_default_str();
  command->add_option("--answers", draft.answers, "file of answers that takes the person's part")->type_name("FILE");
  command->add_flag("--acknowledge", draft.acknowledge,
                    "simulated robots only: cautions are acknowledged, a simulated bystander takes the person's part");
  add_built(command, draft.link.built);
}

// One subcommand a question, with the options that its table names.
void add_calc(CLI::App& app, Draft& d) {
  CLI::App* c = add(app, d, "calc", "answer one question from a data sheet, without a robot file");
  c->require_subcommand(1);
  for (const Subject& subject : calc_subjects()) {
    CLI::App* s = c->add_subcommand(subject.name, subject.description);
    s->fallthrough();
    s->footer("Quantities carry units and may carry a tolerance: \"2.1 ohm +-10%\".\n\n" + subject.example);
    for (const Asked& asked : subject.asked) {
      std::string meaning = asked.meaning;
      if (!asked.fallback.empty()) meaning += " [" + asked.fallback + "]";
      s->add_option("--" + asked.name, d.calc.written[asked.name], meaning)->type_name("");
    }
  }
}

void add_desk_commands(CLI::App& app, Draft& d) {
  CLI::App* c = add(app, d, "check", "desk check: wiring, currents, voltages, protection, heat and run time, on paper");
  add_robot(c, d.check.robot);
  c->add_option("--plot", d.check.plots, "folder to draw the curves into (SVG)")->type_name("DIR");
  add_calc(app, d);

  c = add(app, d, "cold", "cold check: what to measure with the battery out, and what the readings mean");
  add_robot(c, d.cold.robot);
  c->add_option("--readings", d.cold.readings, "list of readings to judge (docs/cold.md)")->type_name("FILE");
  c->add_option("--kept", d.cold.kept, "where readings are kept; default: measured.toml beside the robot file")
      ->type_name("FILE");
  c->add_option("--print", d.cold.print, "write the sheet as a page to print (HTML)")->type_name("FILE");
  c->add_option("--by", d.cold.by, "name of who measures")->type_name("NAME");

  c = add(app, d, "export", "write the supply of a load case, or a motor's start, for a circuit simulator");
  c->require_subcommand(1);
  CLI::App* netlist = c->add_subcommand(
      "netlist", "netlist of the supply network in one load case, or of one motor's start, for ngspice");
  netlist->fallthrough();
  add_robot(netlist, d.exported.robot);
  CLI::Option* load_case =
      netlist->add_option("--case", d.exported.load_case, "name of the load case; default: the worst one")
          ->type_name("NAME");
  netlist->add_option("--start", d.exported.start, "start this output's motor from rest instead, all others off")
      ->type_name("OUTPUT")
      ->excludes(load_case);
  netlist->add_option("--out", d.exported.out, "file; default: printed")->type_name("FILE");
}

void add_paper_commands(CLI::App& app, Draft& d) {
  CLI::App* c = add(app, d, "new", "write a starter robot file");
  c->add_option("file", d.new_file.file, "file to write; it must not exist")->type_name("FILE")->capture_default_str();
  c->add_option("--name", d.new_file.name, "the robot's name; default: the file's")->type_name("NAME");

  c = add(app, d, "bind", "write points.hpp and the point table");
  add_robot(c, d.bind.robot);
  c->add_option("--out", d.bind.out, "folder; default: generated beside the robot file")->type_name("DIR");

  c = add(app, d, "build", "build the team's firmware, or its program for the twin");
  add_robot(c, d.build.robot);
  c->add_option("program", d.build.program, "the team's program; default: program.cpp beside the robot file")
      ->type_name("FILE");
  c->add_option("--for", d.build.target, "atmega2560 or twin")
      ->type_name("TARGET")
      ->check(one_of({"atmega2560", "twin"}))
      ->capture_default_str();
  c->add_option("--out", d.build.out, "folder; default: generated beside the robot file")->type_name("DIR");

  c = add(app, d, "draw", "draw the loop diagram (SVG) and write the point schedule (CSV)");
  add_robot(c, d.draw.robot);
  c->add_option("--out", d.draw.out, "path without ending; default: the robot's name in this folder")
      ->type_name("PATH");
  c->add_option("--date", d.draw.date, "date in the title block; default: today")->type_name("DATE");
  c->add_option("--findings", d.draw.findings,
                "findings for the verdict column; default: found.json beside the robot "
                "file")
      ->type_name("FILE");
  add(app, d, "links", "list what can be reached from this machine");
}

void add_bench_commands(CLI::App& app, Draft& d) {
  CLI::App* c = add(app, d, "ready", "go/no-go: each step in order with its reading, limit and remedy");
  add_robot(c, d.ready.robot);
  add_link(c, d);
  c->add_flag("--readings-only", d.readings_only, "leave out the disconnect and the first small load");

  c = add(app, d, "load", "put the point table on the controller and read it back");
  add_robot(c, d.load.robot);
  add_link(c, d);

  c = add(app, d, "jog", "move one output for as long as the run control is held");
  add_robot(c, d.jog.robot);
  c->add_option("output", d.jog.output, "name of the output")->required()->type_name("OUTPUT");
  c->add_option("percent", d.jog.percent, "level in percent of the supply, negative for the other way")
      ->type_name("PERCENT")
      ->check(number_between(-100.0, 100.0, "percent"))
      ->capture_default_str();
  c->add_option("--for", d.jog.seconds, "at most so many seconds")
      ->type_name("SECONDS")
      ->check(number_between(0.05, 60.0, "seconds"))
      ->capture_default_str();
  add_link(c, d);

  c = add(app, d, "prove", "find which device answers on which port, which way and how strongly");
  add_robot(c, d.prove.robot);
  add_link(c, d);
  c->add_option("--findings", d.prove.findings, "where findings are kept; default: found.json beside the robot file")
      ->type_name("FILE");
  c->add_option("--capture", d.prove.capture, "where the capture is kept; default: in .ringout beside the robot file")
      ->type_name("FILE");
  c->add_option("--replay", d.prove.replay, "take the findings from this capture instead of a controller")
      ->type_name("CAPTURE");

  c = add(app, d, "run", "run the team's program, bounded and watched");
  add_robot(c, d.run.robot);
  add_link(c, d);
  c->add_option("--for", d.run.seconds, "at most so many seconds")
      ->type_name("SECONDS")
      ->check(number_between(0.1, 3600.0, "seconds"))
      ->capture_default_str();

  c = add(app, d, "meters", "watch every point: commanded, expected, measured");
  add_robot(c, d.meters.robot);
  add_link(c, d);
  c->add_option("--for", d.for_seconds, "end after so many seconds; default: at the interrupt key")
      ->type_name("SECONDS")
      ->check(number_between(0.1, 86400.0, "seconds"));
  c->add_option("--every", d.meters.every_ms, "milliseconds between two readings")
      ->type_name("MS")
      ->check(number_between(50.0, 10000.0, "milliseconds"))
      ->capture_default_str();

  c = add(app, d, "twin", "put a simulated controller behind a pseudo-terminal; lines typed work the hands beside it");
  add_robot(c, d.twin.robot);
  c->add_option("--on", d.twin.link.on, "twin, twin:DEVIATIONS.toml, emulated or emulated:DEVIATIONS.toml")
      ->type_name("LINK")
      ->capture_default_str();
  add_built(c, d.twin.link.built);
}

void add_find(CLI::App& app, Draft& d) {
  CLI::App* c = add(app, d, "find", "something does not work: which check next, what it rules out, when to stop");
  c->add_option("robot", d.find.robot, "robot file")->type_name("FILE");
  c->add_option("--model", d.find.model, "a model of any machine instead (docs/find_model.md)")->type_name("FILE");
  add_link(c, d);
  c->add_option(
       "--trouble", d.find.trouble,
       "what is wrong, POINT=SYMPTOM as in clamp=nothing, or clamp=another_acts:pump; may be given several times; "
       "default: asked")
      ->allow_extra_args(false)
      ->type_name("TROUBLE");
  c->add_option("--rows", d.find.rows, "file of the team's own fault rows (docs/faults.md); may be given several times")
      ->allow_extra_args(false)
      ->type_name("FILE");
  c->add_flag("--resume", d.find.resume, "go on with a kept case: the newest open one, or that of --case");
  c->add_option("--case", d.find.kept, "where the case is kept; default: in .ringout beside the robot or model file")
      ->type_name("FILE");
  c->add_flag("--interview", d.find.interview, "with --model: lead through a case, instead of printing the tree");
  c->add_option("--strategy", d.find.strategy, "how the next step is chosen (docs/find.md)")
      ->type_name("NAME")
      ->capture_default_str();
  c->add_option("--depth", d.find.depth, "steps of the printed tree")
      ->type_name("STEPS")
      ->check(number_between(1, 40, "steps"))
      ->capture_default_str();
  c->add_option("--time", d.find.seconds,
                "how long to look for the next step (default 0.05; with --answers without limit), or for each of tree, "
                "cost and optimum of a model (default 2)")
      ->type_name("SECONDS")
      ->check(number_between(0.001, 86400, "seconds"));
  c->add_option("--history", d.find.history,
                "the team's history of closed cases; default: fault_history.txt beside the robot or model file")
      ->type_name("FILE");
  c->add_flag("--show-history", d.find_history, "print what the history holds, and what it changes");
  c->add_option("--export-history", d.find.export_to, "copy the history to this file")->type_name("FILE");
  c->add_option("--merge-history", d.find.merge_from, "add the counts of another team's history to ours")
      ->type_name("FILE");
}

void add_trial(CLI::App& app, Draft& d) {
  CLI::App* c =
      add(app, d, "trial", "how well find does on this robot: drawn faults on the twin, strategy by strategy");
  add_robot(c, d.trial.robot);
  c->add_option("--cases", d.trial.cases, "faults to draw")
      ->type_name("N")
      ->check(number_between(1, 100000, "cases"))
      ->capture_default_str();
  c->add_option("--faults", d.trial.faults, "faults at once, 1 or 2")
      ->type_name("N")
      ->check(number_between(1, 2, "faults"))
      ->capture_default_str();
  c->add_option("--strategy", d.trial.strategies,
                "a strategy (docs/find.md), with :hand for one without the bench; may be given several times; the "
                "others are compared with the first")
      ->type_name("NAME");
  c->add_option("--wrong-by", d.trial.wrong_by, "the faults' true chances are up to so many times more or less")
      ->type_name("FACTOR")
      ->check(number_between(1, 100, "times"))
      ->capture_default_str();
  c->add_option("--misread", d.trial.misread_percent, "percent of a person's answers that are wrong, beyond the rows'")
      ->type_name("PERCENT")
      ->check(number_between(0, 50, "percent"))
      ->capture_default_str();
  c->add_option("--seed", d.trial.seed, "another seed draws other faults")->type_name("N")->capture_default_str();
  c->add_option("--threads", d.trial.threads, "default: as many as there are cores")
      ->type_name("N")
      ->check(number_between(1, 1024, "threads"));
  c->add_option("--rows", d.trial.rows,
                "file of the team's own fault rows (docs/faults.md); may be given several times")
      ->type_name("FILE");
  c->add_flag("--show-missed", d.trial.show_missed, "print the steps of each case that was not found");
}

Command chosen(Draft& d, const std::string& name) {
  d.ready.depth = d.readings_only ? Depth::readings : Depth::with_motion;
  if (d.for_seconds > 0.0) d.meters.seconds = d.for_seconds;
  if (!d.answers.empty()) d.link.answers = d.answers;
  if (d.acknowledge) d.link.acknowledged = Acknowledged::yes;
  d.ready.link = d.load.link = d.jog.link = d.prove.link = d.run.link = d.meters.link = d.find.link = d.link;
  const bool a_case = d.find.resume || d.find.interview || !d.find.kept.empty() || d.link.answers;
  if (!d.find.model.empty() && !a_case) d.find.as = FindAs::tree;
  if (d.find_history || !d.find.export_to.empty() || !d.find.merge_from.empty()) d.find.as = FindAs::history;
  const std::map<std::string, std::function<Command()>> by_name = {
      {"new", [&] { return d.new_file; }},      {"check", [&] { return d.check; }},
      {"calc", [&] { return d.calc; }},         {"cold", [&] { return d.cold; }},
      {"export", [&] { return d.exported; }},   {"bind", [&] { return d.bind; }},
      {"build", [&] { return d.build; }},       {"draw", [&] { return d.draw; }},
      {"links", [] { return LinksCommand{}; }}, {"ready", [&] { return d.ready; }},
      {"load", [&] { return d.load; }},         {"jog", [&] { return d.jog; }},
      {"prove", [&] { return d.prove; }},       {"run", [&] { return d.run; }},
      {"meters", [&] { return d.meters; }},     {"twin", [&] { return d.twin; }},
      {"find", [&] { return d.find; }},         {"trial", [&] { return d.trial; }}};
  return by_name.at(name)();
}

// The library would only say that a command is missing.
std::optional<Error> unknown_command(const CLI::App& app, std::span<const std::string> words, const std::string& of) {
  if (words.empty() || words.front().starts_with("-")) return std::nullopt;
  std::vector<std::string> names;
  for (const CLI::App* known : app.get_subcommands([](const CLI::App*) { return true; })) {
    if (known->get_name() == words.front()) return unknown_command(*known, words.subspan(1), of + words.front() + " ");
    names.push_back(known->get_name());
  }
  if (names.empty()) return std::nullopt;
  const std::string near = nearest(words.front(), names);
  return Error{ErrorKind::bad_input, "cli.unknown-command", "there is no command " + of + words.front(),
               (near.empty() ? "" : "did you mean " + of + near + "? ") + "see: ringout " + of + "--help"};
}

// The command that was named, or the part of it: "ringout calc motor".
struct Named {
  CLI::App* app;
  std::string name;
};
Named deepest(CLI::App& app) {
  Named named{&app, app.get_name()};
  while (!named.app->get_subcommands().empty()) {
    named.app = named.app->get_subcommands().front();
    named.name += " " + named.app->get_name();
  }
  return named;
}

}  // namespace

Result<std::variant<Invocation, HelpText>> parse_arguments(std::span<const std::string> words) {
  CLI::App app{"Commissions small robots: what is drawn, what is coded and what is found, side by side.", "ringout"};
  Draft draft;
  draft.twin.link.on = "twin";
  app.require_subcommand(1);
  app.set_version_flag("--version", std::string("ringout ") + version);
  app.set_help_flag("-h,--help", "print this help");
  app.footer(
      "Exit status: 0 in order, 1 findings, 2 bad input or usage, 3 the robot could not be reached,\n"
      "4 stopped for safety, 70 a bug of ringout, 130 interrupted. docs/commands.md has examples.");
  add_paper_commands(app, draft);
  add_desk_commands(app, draft);
  add_bench_commands(app, draft);
  add_find(app, draft);
  add_trial(app, draft);
  if (const auto wrong = unknown_command(app, words, "")) return tl::unexpected<Error>(*wrong);
  std::vector<std::string> reversed(words.rbegin(), words.rend());  // the library takes them from the back
  try {
    app.parse(reversed);
  } catch (const CLI::CallForHelp&) {
    const Named named = deepest(app);
    if (named.app == &app) return HelpText{app.help()};
    return HelpText{named.app->help(named.name.substr(0, named.name.rfind(' ')))};
  } catch (const CLI::CallForAllHelp&) {
    return HelpText{app.help("", CLI::AppFormatMode::All)};
  } catch (const CLI::CallForVersion& asked) {
    return HelpText{std::string(asked.what()) + "\n"};
  } catch (const CLI::ParseError& refused) {
    const Named named = deepest(app);
    return tl::unexpected<Error>(usage_error(*named.app, named.name, refused));
  }
  const Named named = deepest(app);
  if (auto written = check_no_empty_text(*named.app, named.name); !written) return tl::unexpected(written.error());
  Invocation invocation = draft.invocation;
  invocation.name = app.get_subcommands().front()->get_name();
  invocation.format = draft.json ? Format::json : Format::text;
  if (invocation.name == "calc") draft.calc.subject = named.app->get_name();
  invocation.command = chosen(draft, invocation.name);
  return invocation;
}

}  // namespace ringout::cli
