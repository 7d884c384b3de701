#include "cli/bench.h"

#include <unistd.h>

#include <random>

#include "cli/paced_stream.h"
#include "cli/places.h"
#include "cli/tables.h"
#include "os/files.h"
#include "os/interrupts.h"
#include "session/answers_person.h"
#include "session/simulated_person.h"

namespace ringout::cli {
namespace {

Result<void> choose_person(const BenchRequest& request, const Terminal& terminal, Bench& bench) {
  const bool hardware = bench.link.stream->kind() == link::StreamKind::hardware;
  if (request.link.acknowledged == Acknowledged::yes && hardware) {
    return failure(ErrorKind::bad_input, "cli.acknowledge-on-hardware",
                   "--acknowledge takes the person's part on simulated robots only",
                   "leave it out: on hardware a person acknowledges, and holds the run control");
  }
  if (request.link.answers) {
    const bool now = request.answers == AnswersChecked::at_opening;
    auto person = answers_person(*request.link.answers, bench.link.bystander, now ? &bench.robot : nullptr);
    if (!person) return tl::unexpected(person.error());
    bench.person = *std::move(person);
    bench.person_words = "a file of answers";
    return {};
  }
  if (request.link.acknowledged == Acknowledged::yes && bench.link.bystander != nullptr) {
    bench.person = std::make_unique<session::SimulatedPerson>(*bench.link.bystander);
    bench.person_words = "the simulated bystander";
    return {};
  }
  if (request.moves == Moves::outputs && isatty(STDIN_FILENO) != 1) {
    return failure(ErrorKind::bad_input, "terminal.none", "holding the run control needs a terminal, and this is none",
                   hardware ? "run it in a terminal"
                            : "run it in a terminal; on a simulated robot --acknowledge or --answers FILE will do");
  }
  bench.person = std::make_unique<TerminalPerson>(terminal, bench.link.bystander);
  bench.person_words = "at the terminal";
  return {};
}

// A simulated controller hears the same nonces every time, so that a run can be repeated.
std::uint64_t seed_for(link::StreamKind kind) {
  if (kind == link::StreamKind::simulated) return 1;
  std::random_device chance;
  return (static_cast<std::uint64_t>(chance()) << 32U) | chance();
}

Result<void> read_kept_findings(const BenchRequest& request, const Terminal& terminal, Bench& bench) {
  bench.found_path = given_or_beside(request.found, request.robot, found_file_name);
  if (!os::is_file(bench.found_path)) return {};
  auto found = read_found_file(bench.found_path);
  if (!found) return tl::unexpected(found.error());
  const std::string now_on = bench.link.stream->name();
  if (same_machine(found->on, now_on) == SameMachine::yes) {
    bench.found = std::move(*found);
    return {};
  }
  if (request.finds == Finds::something && !is_simulated(found->on)) {
    return failure(ErrorKind::bad_input, "cli.found-on-real-robot",
                   bench.found_path + " was found on the real robot, and " + now_on + " is a simulated one",
                   "keep what is found now in another place: --findings FILE");
  }
  terminal.print("note: " + bench.found_path + " was found on " + found->on + " and says nothing about " + now_on +
                 "\n");
  return {};
}

void build_session(const BenchRequest& request, const Terminal& terminal, Bench& bench) {
  bench.interruptible = std::make_unique<InterruptiblePerson>(*bench.person);
  session::Setup setup{.robot = bench.robot, .stream = *bench.link.stream, .person = *bench.interruptible};
  setup.observe = [&terminal, also = request.also](const session::Event& event) {
    terminal.print(event_text(event, terminal.colour()));
    if (also) also(event);
  };
  setup.seed = seed_for(bench.link.stream->kind());
  if (bench.found) {
    setup.known = still_valid(bench.robot, *bench.found);
    if (!bench.found->identity.empty()) setup.identity = bench.found->identity;
  }
  bench.session = std::make_unique<session::Session>(std::move(setup));
}

}  // namespace

Result<std::unique_ptr<session::Person>> answers_person(const std::string& path, plant::Bystander* hands,
                                                        const robot::Robot* robot) {
  AnswersCheck check;
  if (robot != nullptr) {
    check = [robot](const session::Answers& answers, const SourceText& text, Diagnostics& found) {
      session::check_answers(answers, *robot, text, found);
    };
  }
  auto answers = read_answers_file(path, check);
  if (!answers) return tl::unexpected(answers.error());
  return std::make_unique<session::AnswersPerson>(*std::move(answers), hands);
}

Result<session::Answers> read_answers_file(const std::string& path, const AnswersCheck& check) {
  auto text = os::read_text(path);
  if (!text) return tl::unexpected(text.error());
  const SourceText source(path, std::move(*text));
  Diagnostics found;
  auto answers = session::read_answers(source, found);
  if (answers && check) check(*answers, source, found);
  if (answers && found.all().empty()) return *std::move(answers);
  return failure(ErrorKind::bad_input, "cli.answers-have-errors",
                 path + " has errors:\n" + reach::render_all(found, {source}));
}

reach::LinkSpec link_spec(const std::string& robot_path, const LinkOptions& link, const Folders& catalogues,
                          const robot::Robot& robot) {
  reach::LinkSpec spec;
  spec.on = link.on;
  spec.robot = robot_path;
  spec.catalogue = catalogues;
  spec.line_rate_baud = robot.board.line_rate_baud;
  const std::string built = given_or_beside(link.built, robot_path, "generated");
  const std::string program = built + "/" + robot.name + "_program";
  if (os::is_file(program)) spec.twin_program = program;
  spec.firmware = built + "/" + robot.name + ".elf";
  spec.source_root = installed_root();
  return spec;
}

Result<std::unique_ptr<Bench>> open_bench(const BenchRequest& request, const Folders& catalogues,
                                          const Terminal& terminal) {
  auto bench = std::make_unique<Bench>();
  auto robot = reach::load_robot(request.robot, catalogues);
  if (!robot) return tl::unexpected(robot.error());
  bench->robot = std::move(*robot);
  bench->robot_path = request.robot;
  auto link = reach::open_link(link_spec(request.robot, request.link, catalogues, bench->robot));
  if (!link) return tl::unexpected(link.error());
  bench->link = std::move(*link);
  if (bench->link.stream == nullptr) {
    return failure(ErrorKind::bad_input, "cli.no-link", "this command needs a controller, and --on is none",
                   "name one with --on; 'ringout links' lists what can be reached");
  }
  if (auto read = read_kept_findings(request, terminal, *bench); !read) return tl::unexpected(read.error());
  if (auto person = choose_person(request, terminal, *bench); !person) return tl::unexpected(person.error());
  if (!bench->link.note.empty()) terminal.print("note: " + bench->link.note + "\n");
  if (bench->link.bystander != nullptr && bench->person_words != "at the terminal") {
    terminal.print("simulated robot; nobody real is asked: " + bench->person_words + " takes the person's part\n");
  }
  const bool handled = request.moves == Moves::outputs && bench->person_words == "at the terminal";
  if (bench->link.bystander != nullptr && (handled || request.pace == Pace::of_the_clock)) {
    bench->link.stream = std::make_unique<PacedStream>(std::move(bench->link.stream), wall_clock());
  }
  os::catch_interrupts();
  build_session(request, terminal, *bench);
  return bench;
}

}  // namespace ringout::cli
