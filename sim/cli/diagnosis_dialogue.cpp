#include "sim/cli/diagnosis_dialogue.h"

#include <array>
#include <cerrno>
#include <charconv>
#include <cstring>
#include <filesystem>
#include <limits>
#include <optional>
#include <set>
#include <sstream>
#include <vector>

#include <spdlog/fmt/fmt.h>

#include "sim/cli/loading.h"
#include "sim/cli/written_file.h"
#include "sim/field/diagnosed_sheet.h"
#include "sim/field/read_number.h"
#include "sim/files/mass_unit.h"
#include "sim/files/sheet_keys.h"
#include "sim/files/sheet_writer.h"
#include "sim/files/toml_text.h"
#include "sim/report/diagnosis_report.h"
#include "sim/report/finding_words.h"
#include "sim/report/outcome_words.h"
#include "sim/report/table.h"

namespace cornerbench::cli {

namespace {

using diagnosis::Quantity;
using diagnosis::Reading;
using diagnosis::Shown;

constexpr std::size_t most_proposed = 3;
constexpr std::size_t most_outcomes = 4;

/// The unit in which a value is typed when none is given, and others that may stand behind it.
struct Units {
    std::string usual;
    std::vector<std::pair<std::string, double>> si_per;
};

Units units_of(const Reading& r, const scale::Description& d) {
    Units units;
    for (const files::ValueKey& key : files::value_keys()) {
        const bool ratio = r.quantity == Quantity::channel || (r.quantity == Quantity::signal && r.is_ratio);
        if (key.quantity != r.quantity || key.is_ratio != ratio) continue;
        if (key.unit.empty())
            units.si_per.emplace_back(std::string(files::unit_name(d.unit)), scale::kilograms_in(d.unit));
        else
            units.si_per.emplace_back(std::string(key.unit), key.si_per_unit);
    }
    if (!units.si_per.empty()) units.usual = units.si_per.front().first;
    return units;
}

std::string joined(const std::vector<std::pair<std::string, double>>& units) {
    std::string text;
    for (const auto& [name, factor] : units) text += (text.empty() ? "" : " or ") + name;
    return text;
}

/// What can be answered where something is looked at.
std::string seen_choices(const Reading& look) {
    return look.look == diagnosis::Look::wire_colours
               ? ": ok, the two wires that stand exchanged, such as S+ S-, or not"
               : ": ok or not";
}

/// "S+ S-", with "exchanged" or not behind them; else says what would be valid.
std::optional<std::string> take_exchanged(const std::string& words, diagnosis::Reading& r) {
    std::istringstream in(words);
    std::array<std::string, 2> names;
    std::string rest;
    in >> names[0] >> names[1] >> rest;
    std::array<int, 2> wires{-1, -1};
    for (std::size_t i = 0; i < wires.size(); ++i) {
        for (int w = 0; w < scale::live_wire_count; ++w)
            if (names[i] == scale::name_of(static_cast<scale::Wire>(w))) wires[i] = w;
    }
    const bool well = wires[0] >= 0 && wires[1] >= 0 && wires[0] != wires[1];
    if (!well || !(rest.empty() || rest == "exchanged")) {
        return "valid: 'ok' when they are as they should be, the two of E+ E- S+ S- that stand exchanged, "
               "such as 'S+ S-', else 'not'";
    }
    r.as_it_should_be = false;
    r.exchanged = true;
    r.between_a = static_cast<scale::Wire>(wires[0]);
    r.between_b = static_cast<scale::Wire>(wires[1]);
    return std::nullopt;
}

/// Fills in what was read; else says what would be valid.
std::optional<std::string> take_value(const std::string& words, const scale::Description& d, Reading& r) {
    if (r.quantity == Quantity::inspection) {
        if (words == "ok" || words == "as it should be") {
            r.as_it_should_be = true;
        } else if (words == "not" || words == "not as it should be") {
            r.as_it_should_be = false;
        } else if (r.look == diagnosis::Look::wire_colours) {
            return take_exchanged(words, r);
        } else {
            return "valid: 'ok' when it is as it should be, else 'not'";
        }
        return std::nullopt;
    }
    for (const auto& [word, shown] :
         {std::pair{"over range", Shown::over_range}, std::pair{"under range", Shown::under_range},
          std::pair{"blank", Shown::blank}}) {
        if (words != word) continue;
        r.shown = shown;
        return std::nullopt;
    }
    const Units units = units_of(r, d);
    const std::string valid =
        fmt::format("valid: a number in {}{}, or what the display shows instead", joined(units.si_per),
                    r.quantity == Quantity::resistance ? ", or inf for no path" : "");
    double value = 0.0;
    const char* begin = words.data();
    const char* end = begin + words.size();
    if (begin != end && *begin == '+') ++begin;
    const auto [rest, error] = std::from_chars(begin, end, value);
    if (error != std::errc()) return valid;
    std::string unit(rest, end);
    unit.erase(0, std::min(unit.find_first_not_of(' '), unit.size()));
    for (const auto& [name, factor] : units.si_per) {
        if (unit != name && !(unit.empty() && name == units.usual)) continue;
        if (value == std::numeric_limits<double>::infinity() && r.quantity == Quantity::resistance) {
            r.value = value;
            return std::nullopt;
        }
        r.value = value * factor;
        return std::nullopt;
    }
    return valid;
}

class Dialogue {
  public:
    Dialogue(const std::string& path, const std::string& priors_path, const field::CheckMinutes& minutes,
             Session& session)
        : path_(path), priors_path_(priors_path), minutes_(minutes), session_(session) {}

    Exit hold() {
        while (propose()) {
            bool answered = false;
            while (!answered) {
                session_.out << "> " << std::flush;
                std::string line;
                if (!std::getline(session_.in, line)) {
                    session_.out << '\n';
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
    /// Shows what is known and what to read. False when nothing tells more.
    bool propose() {
        sheet_ = load_sheet_or_stop(path_);
        const files::Priors priors = priors_or_stop(priors_path_, sheet_.scale.description);
        found_ = field::diagnose_sheet(sheet_.scale.description, sheet_.sheet(), priors, minutes_, ready_);
        session_.out << session_.style(report::Tone::strong, sheet_.scale.name)
                     << fmt::format(": {} readings\n\n", sheet_.readings.size());
        report::print_causes(session_.out, sheet_, found_, session_.style);
        session_.out << '\n';
        checks_.clear();
        for (const auto* list : {&found_.next, &found_.further}) {
            for (const field::NextCheck& check : *list) {
                const std::string words = report::check_words(check.reading, sheet_.scale.description);
                if (checks_.size() < most_proposed && !passed_over_.contains(words)) checks_.push_back(check);
            }
        }
        if (checks_.empty()) {
            report::print_wrapped(session_.out, "No reading that could still be taken tells these apart.");
            return false;
        }
        for (std::size_t i = 0; i < checks_.size(); ++i) print_check(i);
        report::print_wrapped(session_.out,
                              "Type a number and what you read, such as '1 12.5'; 'skip 1' for what you "
                              "cannot take; 'q' to end.");
        return true;
    }

    void print_check(std::size_t i) {
        const field::NextCheck& check = checks_[i];
        const scale::Description& d = sheet_.scale.description;
        const std::string unit = units_of(check.reading, d).usual;
        report::print_wrapped(
            session_.out,
            fmt::format("{}  {}{} ({} min, clears up {})", i + 1, report::check_words(check.reading, d),
                        unit.empty() ? seen_choices(check.reading) : ", in " + unit,
                        report::figures(check.minutes, 2), report::percent(check.of_doubt)),
            2);
        for (const std::string& line : report::outcome_words(check, found_.next_about, d, most_outcomes))
            report::print_wrapped(session_.out, line, 7);
    }

    /// True when the line moved things on.
    bool answer(const std::string& line) {
        std::istringstream text(line);
        std::string word;
        text >> word;
        const bool skips = word == "skip";
        if (skips) text >> word;
        const std::size_t number = field::read_number<std::size_t>(word).value_or(0);
        if (number < 1 || number > checks_.size()) {
            session_.out << fmt::format(
                "valid: a number from 1 to {} and what you read, 'skip' and a "
                "number, or q\n",
                checks_.size());
            return false;
        }
        Reading reading = checks_[number - 1].reading;
        const scale::Description& d = sheet_.scale.description;
        if (skips) {
            passed_over_.insert(report::check_words(reading, d));
            return true;
        }
        std::string value;
        std::getline(text >> std::ws, value);
        while (value.ends_with(' ')) value.pop_back();
        if (const auto why = take_value(value, d, reading)) {
            session_.out << *why << '\n';
            return false;
        }
        if (!keep(files::reading_block(d, reading))) return false;
        ready_ = field::after(reading, ready_);
        return true;
    }

    /// Appends to the sheet what leaves it a valid sheet.
    bool keep(const std::string& block) {
        files::Findings findings(path_);
        const auto before = files::read_text(path_, findings);
        if (!before) throw Stop(Exit::host, path_ + ": cannot be read again");
        const std::string after = *before + (before->ends_with('\n') ? "" : "\n") + block;
        const std::string folder = std::filesystem::path(path_).parent_path().string();
        const auto checked = files::parse_sheet(after, path_, files::sources_beside(folder));
        if (!checked.value) {
            session_.out << files::to_string(checked.errors);
            return false;
        }
        replace_or_stop(path_, after);
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
    std::vector<field::NextCheck> checks_;
    std::set<std::string> passed_over_;
};

}  // namespace

Exit hold_diagnosis_dialogue(const std::string& path, const std::string& priors_path,
                             const std::string& minutes_path, Session& session) {
    return Dialogue(path, priors_path, minutes_or_stop(minutes_path), session).hold();
}

}  // namespace cornerbench::cli
