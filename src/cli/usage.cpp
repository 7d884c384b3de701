#include "cli/usage.h"

#include <fmt/format.h>

#include <charconv>

#include "base/diagnostic.h"

namespace ringout::cli {
namespace {

std::string listed(const std::vector<std::string>& words) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) {
    text += (i == 0 ? "" : i + 1 == words.size() ? " or " : ", ") + words[i];
  }
  return text;
}

// "FILE", or what stands for it where the option has no name for its value.
std::string value_name(const CLI::Option& option) {
  const std::string name = option.get_type_name();  // with what is said of its range behind a colon
  return name.empty() ? "a value" : name.substr(0, name.find(':'));
}

std::vector<const CLI::Option*> options_around(const CLI::App* command) {
  std::vector<const CLI::Option*> all;
  for (; command != nullptr; command = command->get_parent()) {
    for (const CLI::Option* option : command->get_options()) all.push_back(option);
  }
  return all;
}

std::string missing_words(const CLI::App& command) {
  std::vector<std::string> missing;
  for (const CLI::Option* option : command.get_options()) {
    if (option->get_required() && option->count() == 0) {
      missing.push_back(fmt::format("{} ({})", value_name(*option), option->get_description()));
    }
  }
  if (!missing.empty()) return fmt::format("{} is missing", fmt::join(missing, " and "));
  std::vector<std::string> parts;
  for (const CLI::App* part : command.get_subcommands([](const CLI::App*) { return true; })) {
    parts.push_back(part->get_name());
  }
  if (parts.empty()) return "something is missing";
  return (parts.size() == 1 ? "it needs " : "it needs one of ") + listed(parts) + " behind it";
}

std::string unexpected_words(const CLI::App& command) {
  const CLI::App* outermost = &command;
  while (outermost->get_parent() != nullptr) outermost = outermost->get_parent();
  const std::vector<std::string> extra = outermost->remaining(true);
  if (extra.empty()) return "it cannot be read";
  const std::string& word = extra.front();
  if (!word.starts_with("-")) return fmt::format("\"{}\" is one word too many", word);
  std::vector<std::string> names;
  for (const CLI::Option* option : options_around(&command)) {
    for (const std::string& name : option->get_lnames()) names.push_back("--" + name);
  }
  const std::string near = nearest(word, names);
  return fmt::format("it has no option {}{}", word, near.empty() ? "" : "; did you mean " + near + "?");
}

// An option with too few values is the last one written; one with too many was written twice.
std::string mismatch_words(const CLI::App& command, const std::string& option_name) {
  for (const CLI::Option* option : options_around(&command)) {
    if (option->get_name() != option_name) continue;
    if (option->get_items_expected_max() == 0) return option_name + " takes no value";
    if (option->count() > 1) return option_name + " is given more than once";
    return fmt::format("{} needs {} behind it", option_name, value_name(*option));
  }
  return "an option has too few values behind it, or too many";
}

}  // namespace

CLI::Validator number_between(double low, double high, const std::string& unit) {
  return {[=](std::string& text) -> std::string {
            double value = 0.0;
            const char* begin = text.data() + (text.starts_with('+') ? 1 : 0);
            const char* end = text.data() + text.size();
            const auto [stop, problem] = std::from_chars(begin, end, value);
            if (problem != std::errc{} || stop != end) {
              return fmt::format("\"{}\" is no number; write one from {:g} to {:g} ({}), without its unit", text, low,
                                 high, unit);
            }
            if (value >= low && value <= high) return {};
            return fmt::format("{} is not from {:g} to {:g} ({})", text, low, high, unit);
          },
          fmt::format("{:g} to {:g}", low, high)};
}

CLI::Validator one_of(const std::vector<std::string>& words) {
  return {[words](std::string& text) -> std::string {
            for (const std::string& word : words) {
              if (word == text) return {};
            }
            const std::string near = nearest(text, words);
            return fmt::format("\"{}\" is not {}{}", text, listed(words),
                               near.empty() ? "" : "; did you mean " + near + "?");
          },
          listed(words)};
}

Error usage_error(const CLI::App& command, const std::string& name, const CLI::ParseError& refused) {
  const std::string text = refused.what();
  std::string what;
  if (dynamic_cast<const CLI::RequiredError*>(&refused) != nullptr) {
    what = missing_words(command);
  } else if (dynamic_cast<const CLI::ExtrasError*>(&refused) != nullptr) {
    what = unexpected_words(command);
  } else if (dynamic_cast<const CLI::ArgumentMismatch*>(&refused) != nullptr) {
    what = mismatch_words(command, text.substr(0, text.find(':')));
  } else if (dynamic_cast<const CLI::ValidationError*>(&refused) != nullptr) {
    what = text;  // of the checks above
  } else {
    what = "it cannot be read";
  }
  return {ErrorKind::bad_input, "cli.usage", name + ": " + what, "see: " + name + " --help"};
}

Result<void> check_no_empty_text(const CLI::App& command, const std::string& name) {
  for (const CLI::Option* option : options_around(&command)) {
    for (const std::string& text : option->results()) {
      if (!text.empty() || option->get_items_expected_max() == 0) continue;
      const std::string who = option->get_positional() ? value_name(*option) : option->get_name();
      return failure(ErrorKind::bad_input, "cli.usage", fmt::format("{}: {} is given an empty text", name, who),
                     option->get_required()
                         ? "see: " + name + " --help"
                         : "write " + value_name(*option) + " there, or leave it out; see: " + name + " --help");
    }
  }
  return {};
}

}  // namespace ringout::cli
