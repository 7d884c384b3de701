#include "cli/proving_record.h"

#include <cerrno>
#include <cstring>
#include <filesystem>

#include "os/files.h"
#include "prove/hand_proof.h"
#include "reach/robot_files.h"

namespace ringout::cli {
namespace {

constexpr std::size_t largest_capture = 256U << 20U;

tl::unexpected<Error> not_written(const std::string& path) {
  return failure(ErrorKind::bad_input, "cli.capture-not-written",
                 "the capture " + path + " could not be written: " + std::strerror(errno),
                 "name another place with --capture");
}

prove::Look look_from(const capture::AnswerGiven& answer) {
  prove::Look look;
  look.bridge = answer.bridge;
  look.saw = answer.saw == "device"           ? prove::Saw::device
             : answer.saw == "something_else" ? prove::Saw::something_else
                                              : prove::Saw::nothing;
  look.point = answer.point;
  look.direction = answer.direction;
  return look;
}

Taken taken_from(const capture::Capture& capture) {
  Taken taken;
  for (const auto& entry : capture.entries) {
    const auto* about = std::get_if<capture::About>(&entry);
    if (about == nullptr) continue;
    if (about->key == "on") taken.on = about->text;
    if (about->key == "controller") taken.identity = about->text;
    if (about->key == "person") taken.person = about->text;
    if (about->key == "date") taken.date = about->text;
    if (about->key == "drawing") taken.drawing = about->text;
    if (about->key == "ended") taken.whole = about->text == "whole";
  }
  return taken;
}

std::vector<prove::Finding> told_in(const capture::Capture& capture, const robot::Robot& robot) {
  std::vector<prove::Finding> all;
  for (const auto& entry : capture.entries) {
    const auto* about = std::get_if<capture::About>(&entry);
    if (about == nullptr || (about->key != "acts" && about->key != "fails")) continue;
    const robot::Output* output = robot.output(about->text);
    const robot::Input* input = robot.input(about->text);
    if (output == nullptr && input == nullptr) continue;
    const std::string& port = output != nullptr ? output->port : input->port;
    all.push_back(prove::told_by_person(about->text, port, about->key == "acts"));
  }
  return all;
}

std::optional<prove::Coded> coded_from(const capture::Capture& capture) {
  prove::Coded coded;
  for (const auto& entry : capture.entries) {
    const auto* carried = std::get_if<capture::PointCarried>(&entry);
    if (carried == nullptr) continue;
    prove::CodedPoint point{.name = carried->name, .kind = carried->kind, .entry = {}};
    if (carried->place) point.entry = {.port = carried->place->port, .reversed = carried->place->reversed};
    coded.points.push_back(std::move(point));
  }
  if (coded.points.empty()) return std::nullopt;
  return coded;
}

}  // namespace

Result<void> CaptureRecord::begin(const std::string& path, const robot::Robot& robot,
                                  const link::Controller& controller, const Taken& taken) {
  path_ = path;
  std::error_code ignored;
  const auto folder = std::filesystem::path(path).parent_path();
  if (!folder.empty()) std::filesystem::create_directories(folder, ignored);
  file_.reset(std::fopen(path.c_str(), "wb"));
  if (!file_) return not_written(path);
  const capture::Header header{.robot = robot.name,
                               .board = robot.board.name,
                               .table_fingerprint = controller.table_fingerprint,
                               .bridges = controller.bridges,
                               .encoders = controller.encoders,
                               .switches = controller.switches,
                               .adc_channels = controller.adc_channels};
  writer_ = std::make_unique<capture::CaptureWriter>(
      header, [file = file_.get()](std::string_view lines) { std::fwrite(lines.data(), 1, lines.size(), file); });
  writer_->append(capture::About{"on", taken.on});
  writer_->append(capture::About{"controller", taken.identity});
  writer_->append(capture::About{"person", taken.person});
  writer_->append(capture::About{"date", taken.date});
  writer_->append(capture::About{"drawing", taken.drawing});
  std::fflush(file_.get());
  return {};
}

void CaptureRecord::add(const session::Event& event) {
  if (!writer_) return;
  if (const auto* carried = std::get_if<session::CarriedRead>(&event)) return add(carried->coded);
  std::vector<capture::Entry> entries;
  if (const auto* bump = std::get_if<session::BumpRecorded>(&event)) capture::append_record(bump->record, entries);
  if (const auto* hand = std::get_if<session::HandRecorded>(&event)) capture::append_record(hand->record, entries);
  if (const auto* saw = std::get_if<session::PersonSaw>(&event)) entries.emplace_back(saw->answer);
  if (const auto* told = std::get_if<session::PersonTold>(&event))
    entries.emplace_back(capture::About{told->acts ? "acts" : "fails", told->point});
  for (const auto& entry : entries) writer_->append(entry);
  if (!entries.empty()) std::fflush(file_.get());
}

// Written at once, so that a replay shows the whole agreement wherever the capture is cut.
void CaptureRecord::add(const prove::Coded& coded) {
  for (const prove::CodedPoint& point : coded.points) {
    capture::PointCarried carried{.name = point.name, .kind = point.kind, .place = {}};
    if (point.entry) carried.place = {.port = point.entry->port, .reversed = point.entry->reversed};
    writer_->append(carried);
  }
  std::fflush(file_.get());
}

Result<void> CaptureRecord::end() {
  if (!file_) return {};
  writer_->append(capture::About{"ended", "whole"});
  const bool whole = std::fflush(file_.get()) == 0 && std::ferror(file_.get()) == 0;
  if (!whole) return not_written(path_);
  return {};
}

void CaptureRecord::discard() {
  writer_.reset();
  file_.reset();
  std::error_code ignored;
  std::filesystem::remove(path_, ignored);
}

Result<Replayed> replay_capture(const std::string& path, const robot::Robot& robot) {
  auto text = os::read_text(path, largest_capture);
  if (!text) return tl::unexpected(text.error());
  const SourceText source(path, std::move(*text));
  Diagnostics found;
  const auto capture = capture::read_capture(source, found);
  const std::string remarks = reach::render_all(found, {source});
  if (!capture) {
    return failure(ErrorKind::bad_input, "cli.capture-unreadable",
                   path + " is no capture that can be read\n" + remarks);
  }
  if (capture->header.board != robot.board.name) {
    return failure(ErrorKind::bad_input, "cli.capture-of-another-board",
                   path + " was taken on board " + capture->header.board + ", the robot file draws " + robot.board.name,
                   "replay it with the robot file that was in force then");
  }
  prove::Evidence evidence;
  evidence.bumps = capture::bump_records(*capture);
  for (const auto& entry : capture->entries) {
    if (const auto* answer = std::get_if<capture::AnswerGiven>(&entry)) evidence.looks.push_back(look_from(*answer));
  }
  prove::Identification identification = prove::identify(robot, evidence, {});
  Replayed replayed{.findings = std::move(identification.findings),
                    .supply = identification.supply,
                    .coded = coded_from(*capture),
                    .taken = taken_from(*capture),
                    .table_fingerprint = capture->header.table_fingerprint,
                    .remarks = remarks};
  prove::leave_unseen_untested(robot, replayed.findings);
  prove::add_by_hand(robot, capture::hand_records(*capture), replayed.findings);
  prove::put_told(told_in(*capture, robot), replayed.findings);
  return replayed;
}

}  // namespace ringout::cli
