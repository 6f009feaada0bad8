#include "sim/cli/diagnosis_dialogue.h"

#include <cmath>
#include <filesystem>
#include <sstream>
#include <vector>

#include <spdlog/fmt/fmt.h>

#include "sim/cli/loading.h"
#include "sim/cli/typed_reading.h"
#include "sim/cli/written_file.h"
#include "sim/field/diagnosed_sheet.h"
#include "sim/field/read_number.h"
#include "sim/files/sheet_writer.h"
#include "sim/files/toml_text.h"
#include "sim/report/diagnosis_report.h"
#include "sim/report/finding_words.h"
#include "sim/report/next_report.h"
#include "sim/report/table.h"

namespace cornerbench::cli {

namespace {

using diagnosis::Quantity;
using diagnosis::Reading;

/// `text` with `block` in the place of the reading whose header is in line `header`, from 1.
std::string with_reading_at(const std::string& text, int header, const std::string& block) {
    std::istringstream in(text);
    std::string out;
    bool inside = false;
    int number = 0;
    for (std::string line; std::getline(in, line);) {
        ++number;
        if (number == header) {
            inside = true;
            out += block.substr(block.find_first_not_of('\n'));
            continue;
        }
        const std::size_t first = line.find_first_not_of(" \t");
        const bool said = first != std::string::npos && line[first] != '#';
        if (said && line[first] == '[') inside = false;
        if (!inside || !said) out += line + "\n";
    }
    return out;
}

class Dialogue {
  public:
    Dialogue(const std::string& path, const std::string& priors_path, const field::CheckMinutes& minutes,
             Session& session)
        : path_(path), priors_path_(priors_path), minutes_(minutes), session_(session) {}

    Exit hold() {
        sheet_ = load_sheet_or_stop(path_);
        // What the sheet tells of last still stands there.
        for (const Reading& r : sheet_.readings) ready_.standing = field::after(r, ready_).standing;
        while (propose()) {
            bool answered = false;
            while (!answered) {
                session_.out << "> " << std::flush;
                std::string line;
                if (!std::getline(session_.in, line)) {
                    session_.out << '\n';
                    return close();
                }
                // What was cut off may have lost a figure.
                if (session_.in.eof() && !line.empty() && line != "q" && line != "quit") {
                    session_.out << "\nThe input ends within a line, which is not taken.\n";
                    return close();
                }
                if (line.ends_with('\r')) line.pop_back();
                if (line == "q" || line == "quit") return close();
                answered = answer(line);
            }
        }
        return close();
    }

  private:
    /// What a reading that was typed here can be taken back to.
    struct Before {
        std::string text;
        field::Workplace ready;
        std::string words;
    };

    /// Shows what is known and what to read. False when the sheet is full of what tells anything.
    bool propose() {
        sheet_ = load_sheet_or_stop(path_);
        const files::Priors priors = priors_or_stop(priors_path_, sheet_.scale.description);
        found_ = field::diagnose_sheet(sheet_.scale.description, sheet_.sheet(), priors, minutes_, ready_,
                                       passed_over_);
        session_.out << session_.style(report::Tone::strong, sheet_.scale.name)
                     << fmt::format(": {} {}\n\n", sheet_.readings.size(),
                                    sheet_.readings.size() == 1 ? "reading" : "readings");
        report::print_causes(session_.out, sheet_, found_, session_.style);
        session_.out << '\n';
        report::print_checks(session_.out, sheet_, found_, session_.style);
        if (found_.next.empty() && taken_.empty()) return false;
        report::print_wrapped(session_.out,
                              found_.next.empty()
                                  ? "'back' takes the last reading off again; 'q' to end; '?' for more."
                                  : "Type a number and what you read, such as '1 12.5'; 'skip 1' for what "
                                    "you cannot take; 'q' to end; '?' for more.");
        return true;
    }

    void help() {
        session_.out << "  1 12.5       what you read of proposal 1, of a look 'ok' or 'not'; where\n"
                        "               it shows no number 'over range', 'under range' or 'blank'\n"
                        "  skip 1       for what you cannot take\n"
                        "  back         takes the last reading typed here off again, and off the sheet\n"
                        "  q, quit      ends; all readings are in the sheet\n"
                        "Any other reading, whether proposed or not, in the words of the sheet:\n"
                     << typed_reading_help;
        for (std::size_t i = 0; i < found_.next.size(); ++i) {
            const std::string unit = usual_unit(found_.next[i].reading, sheet_.scale.description);
            if (!unit.empty()) session_.out << fmt::format("Proposal {} is read in {}.\n", i + 1, unit);
        }
    }

    /// True when the line moved things on.
    bool answer(const std::string& line) {
        std::istringstream text(line);
        std::string word;
        text >> word;
        if (word == "?" || word == "help") {
            help();
            return false;
        }
        if (word == "back") return take_back();
        const scale::Description& d = sheet_.scale.description;
        const bool proposal = !word.empty() && word.find_first_not_of("0123456789") == std::string::npos;
        // A '>' between place and value says "or more" and belongs to the value.
        if (const std::size_t sign = line.find_first_of("=>"); sign != std::string::npos && !proposal) {
            Reading reading;
            if (const auto why = typed_place(line.substr(0, sign), d, reading)) return refuse(*why);
            return take(line.substr(line[sign] == '=' ? sign + 1 : sign), reading, line, -1);
        }
        const bool skips = word == "skip";
        if (skips) text >> word;
        const std::size_t number = field::read_number<std::size_t>(word).value_or(0);
        if (number < 1 || number > found_.next.size()) {
            if (found_.next.empty()) return refuse("valid: a reading, as in ? for more, back or q");
            return refuse(
                fmt::format("valid: a number from 1 to {} and what you read, 'skip' and a number, "
                            "back, q, or ? for more",
                            found_.next.size()));
        }
        const field::NextCheck& check = found_.next[number - 1];
        if (skips) {
            passed_over_.push_back(check.reading);
            return true;
        }
        std::string value;
        std::getline(text, value);
        Reading reading = check.reading;
        reading.shown = diagnosis::Shown::value;
        return take(value, reading, line, check.repeats);
    }

    bool refuse(const std::string& why) {
        report::print_wrapped(session_.out, why);
        return false;
    }

    bool take(std::string value, Reading reading, const std::string& line, int repeats) {
        const auto is_blank = [](char c) { return c == ' ' || c == '\t'; };
        while (!value.empty() && is_blank(value.back())) value.pop_back();
        while (!value.empty() && is_blank(value.front())) value.erase(value.begin());
        const scale::Description& d = sheet_.scale.description;
        if (const auto why = take_value(value, d, reading)) return refuse(*why);
        if (off_division(reading) && doubted_ != line) {
            doubted_ = line;
            const report::MassWords mass(d);
            return refuse(
                fmt::format("{} is no multiple of the division, {}: type the same again if that is "
                            "what you read",
                            value, mass.with_unit(d.division_at_kg(reading.value))));
        }
        const bool replaces =
            repeats >= 0 && !confirms(reading, sheet_.readings[static_cast<std::size_t>(repeats)]);
        const int line_of_old = replaces ? sheet_.notes[static_cast<std::size_t>(repeats)].line : 0;
        if (!keep(files::reading_block(d, reading), report::check_words(reading, d), line_of_old))
            return false;
        if (repeats >= 0)
            session_.out << (replaces ? "The reading before is replaced by this one.\n\n"
                                      : "The reading before is confirmed.\n\n");
        ready_ = field::after(reading, ready_);
        return true;
    }

    bool off_division(const Reading& r) const {
        constexpr double nearly = 1.0e-6;
        if (r.quantity != Quantity::weight || r.shown != diagnosis::Shown::value) return false;
        const double divisions = r.value / sheet_.scale.description.division_at_kg(r.value);
        return std::fabs(divisions - std::round(divisions)) > nearly;
    }

    /// Whether both say the same, as far as one reads a thing twice alike.
    bool confirms(const Reading& now, const Reading& before) const {
        constexpr double alike = 0.02;
        if (now.shown != before.shown) return false;
        if (now.shown != diagnosis::Shown::value) return true;
        const double by = now.quantity == Quantity::weight
                              ? 1.5 * sheet_.scale.description.division_at_kg(before.value)
                              : alike * std::fabs(before.value);
        return std::fabs(now.value - before.value) <= by;
    }

    bool take_back() {
        if (taken_.empty()) {
            return refuse("Nothing was read here yet; what was on the sheet before stays for an editor.");
        }
        replace_or_stop(path_, taken_.back().text);
        ready_ = taken_.back().ready;
        session_.out << "Taken off again: " << taken_.back().words << "\n\n";
        taken_.pop_back();
        return true;
    }

    /// Appends to the sheet what leaves it a valid sheet, or puts it in the place of the reading that begins
    /// in line `replaced`, from 1.
    bool keep(const std::string& block, const std::string& words, int replaced) {
        files::Findings findings(path_);
        const auto before = files::read_text(path_, findings);
        if (!before) throw Stop(Exit::host, path_ + ": cannot be read again");
        const std::string after = replaced > 0 ? with_reading_at(*before, replaced, block)
                                               : *before + (before->ends_with('\n') ? "" : "\n") + block;
        const std::string folder = std::filesystem::path(path_).parent_path().string();
        const auto checked = files::parse_sheet(after, path_, files::sources_beside(folder));
        if (!checked.value) {
            session_.out << files::to_string(checked.errors);
            return false;
        }
        replace_or_stop(path_, after);
        taken_.push_back({*before, ready_, words});
        session_.out << '\n';
        return true;
    }

    Exit close() {
        report::print_cautions(session_.out, found_, session_.style);
        session_.out << '\n';
        report::print_wrapped(session_.out, fmt::format("All readings are in {}; 'cornerbench diagnose {}' "
                                                        "says why.",
                                                        path_, path_));
        return Exit::done;
    }

    std::string path_;
    std::string priors_path_;
    field::CheckMinutes minutes_;
    field::Workplace ready_;  ///< what the readings taken here have left standing
    Session& session_;
    files::SheetFile sheet_;
    field::DiagnosedSheet found_;
    std::vector<Before> taken_;
    std::string doubted_;  ///< the last line whose value was questioned
    std::vector<Reading> passed_over_;
};

}  // namespace

Exit hold_diagnosis_dialogue(const std::string& path, const std::string& priors_path,
                             const std::string& minutes_path, Session& session) {
    return Dialogue(path, priors_path, minutes_or_stop(minutes_path), session).hold();
}

}  // namespace cornerbench::cli
