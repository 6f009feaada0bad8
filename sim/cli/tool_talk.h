#pragma once

#include <optional>
#include <ostream>
#include <string>
#include <vector>

#include "sim/cli/session.h"
#include "sim/files/scale_file.h"
#include "sim/training/drill.h"
#include "sim/training/drill_progress.h"

namespace cornerbench::cli {

/// What drills and lessons have in common where somebody types: a line at a time, and the tools.
class ToolTalk {
  public:
    /// Session and scale are kept by reference. Reads the file of what was done before, if one is named.
    ToolTalk(Session& session, const files::ScaleFile& scale, const std::string& progress_path);

  protected:
    /// With --json nothing but the document is written.
    std::ostream& out() { return session_.json ? unheard_ : session_.out; }
    const scale::Description& d() const { return scale_.description; }

    /// The next line without its comment and the spaces around it, after a prompt with the clock; false at
    /// the end of the input.
    bool next(double minutes, std::string& line);

    void say(const std::string& text, int indent = 0);
    /// Every tool, a line each.
    void list_tools();
    /// All causes, or one in full.
    void causes(const std::string& name);

    /// Adds `done`, dated today, to the file of what was done before, if one was named.
    void keep(training::DoneDrill done);

    /// Does what a tool's `line` asks for, by `take`, and says what was read. False when nothing was.
    template <class Take>
    bool use_tool(const std::string& line, const training::Drill& drill, Take take) {
        const auto wanted = asked_for(line);
        if (!wanted) return false;
        const double minutes = drill.minutes_of(*wanted);
        const std::optional<diagnosis::Reading> read = take(*wanted);
        tell(read, minutes);
        return read.has_value();
    }

    Session& session_;
    const files::ScaleFile& scale_;

  private:
    std::optional<diagnosis::Reading> asked_for(const std::string& line);
    void tell(const std::optional<diagnosis::Reading>& read, double minutes);

    std::string progress_path_;
    std::vector<training::DoneDrill> done_before_;
    std::ostream unheard_{nullptr};
};

}  // namespace cornerbench::cli
