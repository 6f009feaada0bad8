#pragma once

#include <array>
#include <stdexcept>
#include <string>
#include <string_view>

/// How the program ends. One table for scripts, for help and for error messages.
namespace cornerbench::cli {

/// The codes with which the program ends; `exit_meanings` says what each means.
enum class Exit : int {
    done = 0,
    answer_is_no = 1,
    wrong_usage = 2,
    impossible_file = 3,
    host = 4,
    internal = 5
};

/// One row of that table: a code, its name, what it means and what to do next.
struct ExitMeaning {
    Exit code;
    std::string_view name;
    std::string_view text;
    std::string_view hint;  ///< what to do next
};

inline constexpr std::array<ExitMeaning, 6> exit_meanings{{
    {Exit::done, "done", "Done; where a verdict was asked, the answer is yes.", "Nothing to do."},
    {Exit::answer_is_no, "answer-is-no", "Done, and the answer is no: a check failed or a limit was passed.",
     "Read the answer above: this is a result, not a failure of the program."},
    {Exit::wrong_usage, "wrong-usage", "The command line does not make sense.",
     "The message names what would; 'cornerbench COMMAND --help' shows an example."},
    {Exit::impossible_file, "impossible-file", "A file says something that cannot be.",
     "The message names file, line and key, what stands there and what would be valid."},
    {Exit::host, "host", "A file or the computer refused: not found, not readable, no space left.",
     "Check the path, its permissions and the space on the disk, then run it again."},
    {Exit::internal, "internal", "The program itself went wrong.",
     "Please send us the command line, the files it names, the message, and 'cornerbench --version'."},
}};

constexpr const ExitMeaning& meaning_of(Exit code) {
    return exit_meanings[static_cast<unsigned>(code)];
}

/// Ends a command early with this code and message; `hint` in place of the code's own where that is about
/// something else.
class Stop : public std::runtime_error {
  public:
    Stop(Exit code, const std::string& message, std::string_view hint = {})
        : std::runtime_error(message), code_(code), hint_(hint.empty() ? meaning_of(code).hint : hint) {}
    Exit code() const { return code_; }
    const std::string& hint() const { return hint_; }

  private:
    Exit code_;
    std::string hint_;
};

}  // namespace cornerbench::cli
