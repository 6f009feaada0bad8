#include "sim/report/survey_report.h"

#include <algorithm>
#include <cmath>
#include <functional>

#include <spdlog/fmt/fmt.h>

#include "sim/files/shown_words.h"
#include "sim/report/number_words.h"
#include "sim/report/simulated_words.h"
#include "sim/report/table.h"
#include "sim/report/test_cautions.h"

namespace cornerbench::report {

using commissioning::Judged;
using commissioning::Verdict;
using files::TestLine;

namespace {

Tone tone_of(Verdict verdict) {
    switch (verdict) {
        case Verdict::passes:
            return Tone::good;
        case Verdict::fails:
            return Tone::bad;
        case Verdict::uncertain:
            return Tone::caution;
        case Verdict::not_done:
            break;
    }
    return Tone::faint;
}

/// Masses on this page have one place more than the display.
class Fine {
  public:
    explicit Fine(const scale::Description& d) : mass_(d), unit_kg_(scale::kilograms_in(d.unit)) {}
    std::string number(double kg) const { return grouped(kg / unit_kg_, mass_.decimals() + 1); }
    std::string signed_number(double kg) const { return signed_grouped(kg / unit_kg_, mass_.decimals() + 1); }
    double in_unit(double kg) const { return std::round(kg / unit_kg_ * 1.0e6) / 1.0e6 + 0.0; }
    const MassWords& mass() const { return mass_; }

  private:
    MassWords mass_;
    double unit_kg_ = 1.0;
};

std::string test_text(const TestLine& line) {
    std::string text(files::test_words[static_cast<unsigned>(line.test)]);
    if (line.place.kind != files::PlaceKind::empty) text += ", " + files::place_text(line.place);
    if (line.decreasing) text += ", decreasing";
    return text;
}

std::string shown_text(const TestLine& line, const MassWords& mass) {
    if (line.shown != diagnosis::Shown::value) return std::string(files::word_of(line.shown));
    return line.indication_kg ? mass.number(*line.indication_kg) : "";
}

void print_clauses(std::ostream& out, const SurveyPage& page, const Fine& fine, const Style& style) {
    const bool turns = !page.standard.before_rounding;
    Table table;
    table.column("clause")
        .column("verdict")
        .column("nearest its limit", Align::right)
        .column("+-U", Align::right)
        .column("limit", Align::right);
    if (turns) table.column("turns at", Align::right);
    table.column("where");
    for (const auto& clause : page.survey.clauses) {
        std::vector<Cell> row{{clause.title + " [" + clause.clause + "]"},
                              {commissioning::word_of(clause.verdict), tone_of(clause.verdict)}};
        if (clause.worst && clause.worst->verdict != Verdict::not_done) {
            row.push_back({fine.signed_number(clause.worst->value)});
            row.push_back({fine.number(clause.worst->uncertainty)});
            row.push_back({fine.number(clause.worst->limit)});
            if (turns) row.push_back({fine.number(clause.worst->turns_at)});
        } else {
            row.insert(row.end(), turns ? 4 : 3, Cell{});
        }
        row.push_back({clause.words});
        table.row(std::move(row));
    }
    table.print(out, style);
}

void print_lines(std::ostream& out, const SurveyPage& page, const Fine& fine, const Style& style) {
    const bool turns = !page.standard.before_rounding;
    Table table;
    table.column("line", Align::right)
        .column("test")
        .column("load", Align::right)
        .column("shown", Align::right)
        .column("error", Align::right)
        .column("+-U", Align::right)
        .column("limit", Align::right);
    if (turns) table.column("turns at", Align::right);
    table.column("verdict");
    for (const auto& result : page.survey.lines) {
        const TestLine& line = page.sheet.lines[static_cast<std::size_t>(result.line)];
        const bool has_error = result.error.uncertainty > 0.0;
        std::vector<Cell> row{{std::to_string(result.line + 1)},
                              {test_text(line)},
                              {line.load_kg > 0.0 ? fine.mass().number(line.load_kg) : ""},
                              {shown_text(line, fine.mass())},
                              {has_error ? fine.signed_number(result.error.value) : ""},
                              {has_error ? fine.number(result.error.uncertainty) : ""},
                              {result.judged ? fine.number(result.error.limit) : ""}};
        if (turns) row.push_back({result.judged ? fine.number(result.error.turns_at) : ""});
        row.push_back({result.judged ? commissioning::word_of(result.error.verdict) : "",
                       result.judged ? tone_of(result.error.verdict) : Tone::plain});
        table.row(std::move(row));
    }
    table.print(out, style);
}

std::string numbered(const std::vector<int>& supports) {
    std::string text;
    for (const int support : supports) text += (text.empty() ? "" : ", ") + std::to_string(support + 1);
    return text;
}

bool has_empty_lines(const files::TestSheet& sheet) {
    return !std::all_of(sheet.lines.begin(), sheet.lines.end(), std::mem_fn(&TestLine::is_read));
}

Json json_of(const Judged& judged, const Fine& fine) {
    return {{"value", fine.in_unit(judged.value)},
            {"expanded_uncertainty", fine.in_unit(judged.uncertainty)},
            {"limit", fine.in_unit(judged.limit)},
            {"turns_at", fine.in_unit(judged.turns_at)},
            {"verdict", commissioning::word_of(judged.verdict)}};
}

}  // namespace

std::string next_step_words(const SurveyPage& page) {
    const Verdict verdict = page.survey.verdict();
    if (verdict == Verdict::passes || verdict == Verdict::not_done) {
        std::string text = has_empty_lines(page.sheet) ? "Fill in the lines that are empty. " : "";
        if (!page.survey.whole)
            text += "Make good what is missing, as said above. ";
        else if (text.empty() && verdict == Verdict::not_done)
            text = "Add the lines that are missing, as said above. ";
        if (!text.empty()) text.pop_back();
        return text;
    }
    std::string text;
    if (!page.survey.corners_off.empty())
        text = "Corners outside their limits: " + numbered(page.survey.corners_off) + ". ";
    if (const std::vector<int>& blank = page.survey.corners_blank; !blank.empty()) {
        const bool all = static_cast<int>(blank.size()) == page.sheet.scale.description.cell_count();
        text += all ? "No weight is shown at any corner. "
                    : "Corners at which no weight is shown: " + numbered(blank) + ". ";
    }
    if (verdict == Verdict::uncertain)
        text += "Where the verdict is uncertain, repeat the line with better weights or more weighings. ";
    const std::string sheet = page.readings_path.empty() ? "READINGS" : page.readings_path;
    text += page.readings_path.empty() ? "For the cause and the trims: cornerbench survey " +
                                             page.sheet.path + " --readings READINGS, then "
                                       : "For the cause and the trims: ";
    return text + "cornerbench diagnose " + sheet + ", and when nothing is broken cornerbench trim " + sheet +
           ".";
}

void print_survey(std::ostream& out, const SurveyPage& page, const Style& style) {
    const Fine fine(page.sheet.scale.description);
    const files::StageRule& stage = page.standard.stage(page.sheet.stage);
    out << style(Tone::strong, page.sheet.scale.name) << ": Max " << fine.mass().max_words() << ", d "
        << fine.mass().division_words() << (page.sheet.date.empty() ? "" : ", " + page.sheet.date) << '\n';
    print_wrapped(out, fmt::format("By {} class {}, {} ({}); {} lines, in {}.", page.standard.name,
                                   page.sheet.scale.accuracy_class, stage.word, page.standard.edition,
                                   page.sheet.lines.size(), fine.mass().unit()));
    if (page.sheet.simulated) print_wrapped(out, std::string(simulated_words));
    out << '\n';
    print_clauses(out, page, fine, style);
    for (const std::string& remark : page.survey.remarks) print_wrapped(out, "Mind: " + remark + ".", 2);
    out << '\n';
    print_lines(out, page, fine, style);
    print_wrapped(
        out,
        fmt::format(
            "Error: before rounding, P = I + e/2 - dL with the small weights added, less load and less "
            "the error at zero. {}+-U: expanded uncertainty, k = 2, from repeatability ({} {} standard "
            "deviation), small weights, test weights and where they stood. Uncertain: where the "
            "verdict turns lies within it.",
            page.standard.before_rounding
                ? ""
                : "What is shown is judged: an error before rounding shows as more than the limit only from "
                  "\"turns at\" on, half a division past the last whole one within it; of spreads, what "
                  "was shown counts. ",
            fine.number(page.survey.repeatability_kg), fine.mass().unit()),
        2);
    if (!page.survey.hysteresis.empty()) {
        out << "\nComing down less going up\n";
        Table table;
        table.column("load", Align::right).column("difference", Align::right).column("+-U", Align::right);
        for (const auto& each : page.survey.hysteresis)
            table.row({{fine.mass().number(each.load_kg)},
                       {fine.signed_number(each.difference_kg)},
                       {fine.number(each.uncertainty)}});
        table.print(out, style);
    }
    const Verdict verdict = page.survey.verdict();
    out << '\n' << "All together: " << style(tone_of(verdict), commissioning::word_of(verdict));
    out << (page.survey.whole ? ".\n" : "; the test is not whole, see above.\n");
    const std::string next = next_step_words(page);
    if (!next.empty()) print_wrapped(out, next);
    out << "\nMind\n";
    for (const std::string_view caution : test_cautions) print_wrapped(out, caution, 2);
}

Json survey_json(const SurveyPage& page) {
    const Fine fine(page.sheet.scale.description);
    Json document = json_document();
    document["scale"] = page.sheet.scale.name;
    document["standard"] = page.standard.name;
    document["edition"] = page.standard.edition;
    document["class"] = page.sheet.scale.accuracy_class;
    document["stage"] = page.standard.stage(page.sheet.stage).word;
    document["date"] = page.sheet.date.empty() ? Json(nullptr) : Json(page.sheet.date);
    document["simulated"] = page.sheet.simulated;
    document["unit"] = fine.mass().unit();
    document["verdict"] = commissioning::word_of(page.survey.verdict());
    document["whole"] = page.survey.whole;
    document["clauses"] = Json::array();
    for (const auto& clause : page.survey.clauses) {
        document["clauses"].push_back({{"title", clause.title},
                                       {"clause", clause.clause},
                                       {"verdict", commissioning::word_of(clause.verdict)},
                                       {"worst", clause.worst ? json_of(*clause.worst, fine) : Json(nullptr)},
                                       {"where", clause.words}});
    }
    document["lines"] = Json::array();
    for (const auto& result : page.survey.lines) {
        const TestLine& line = page.sheet.lines[static_cast<std::size_t>(result.line)];
        Json json{
            {"test", std::string(files::test_words[static_cast<unsigned>(line.test)])},
            {"place", files::place_text(line.place)},
            {"load", result.load_kg ? Json(fine.in_unit(*result.load_kg)) : Json(nullptr)},
            {"before_rounding",
             result.before_rounding_kg ? Json(fine.in_unit(*result.before_rounding_kg)) : Json(nullptr)}};
        json["error"] = result.error.uncertainty > 0.0 ? json_of(result.error, fine) : Json(nullptr);
        json["verdict"] = result.judged ? Json(commissioning::word_of(result.error.verdict)) : Json(nullptr);
        document["lines"].push_back(std::move(json));
    }
    document["hysteresis"] = Json::array();
    for (const auto& each : page.survey.hysteresis)
        document["hysteresis"].push_back({{"load", fine.in_unit(each.load_kg)},
                                          {"difference", fine.in_unit(each.difference_kg)},
                                          {"expanded_uncertainty", fine.in_unit(each.uncertainty)}});
    document["repeatability"] = fine.in_unit(page.survey.repeatability_kg);
    document["corners_off"] = Json::array();
    for (const int corner : page.survey.corners_off) document["corners_off"].push_back(corner + 1);
    document["corners_without_weight"] = Json::array();
    for (const int corner : page.survey.corners_blank)
        document["corners_without_weight"].push_back(corner + 1);
    document["remarks"] = page.survey.remarks;
    document["readings_written_to"] = page.readings_path.empty() ? Json(nullptr) : Json(page.readings_path);
    return document;
}

}  // namespace cornerbench::report
