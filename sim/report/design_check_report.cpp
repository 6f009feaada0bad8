#include "sim/report/design_check_report.h"

#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/report/number_words.h"
#include "sim/report/table.h"

namespace cornerbench::report {

using commissioning::Answer;
using commissioning::CheckLine;
using commissioning::Sense;

namespace {

constexpr int text_indent = 12;

const char* word_of(Answer answer) {
    return answer == Answer::pass ? "passes" : answer == Answer::fail ? "FAILS" : "question";
}

Tone tone_of(Answer answer) {
    return answer == Answer::pass ? Tone::good : answer == Answer::fail ? Tone::bad : Tone::caution;
}

const char* word_of(Sense sense) {
    return sense == Sense::at_most ? "at most" : sense == Sense::at_least ? "at least" : "about";
}

class Numbers {
  public:
    explicit Numbers(const scale::Description& d)
        : mass_(d),
          unit_kg_(scale::kilograms_in(d.unit)),
          least_kg_(told_divisions * d.division_at_kg(0.0)) {}

    double shown(double value, const CheckLine& line) const {
        return line.is_mass ? value / unit_kg_ : value;
    }
    std::string unit(const CheckLine& line) const { return line.is_mass ? mass_.unit() : line.unit; }

    std::string words(double value, const CheckLine& line) const {
        const std::string unit_word = unit(line);
        return figures(shown(value, line), 4) + (unit_word.empty() ? "" : " " + unit_word);
    }

    std::string both(const CheckLine& line) const {
        if (!line.value && !line.limit) return "not known";
        const bool tiny =
            line.is_mass && line.value && *line.value != 0.0 && std::fabs(*line.value) < least_kg_;
        std::string text = tiny ? fmt::format("below {} {}", figures(least_kg_ / unit_kg_), unit(line))
                           : line.value ? words(*line.value, line)
                                        : "not known";
        if (line.limit) text += fmt::format(", {} {}", word_of(line.sense), words(*line.limit, line));
        return text;
    }

  private:
    /// Masses below this many divisions are told as no more than that.
    static constexpr double told_divisions = 1.0e-3;

    MassWords mass_;
    double unit_kg_ = 1.0;
    double least_kg_ = 0.0;
};

std::string sentence(std::string text) {
    if (!text.empty() && text.back() != '.') text += '.';
    return text;
}

void print_line(std::ostream& out, const CheckLine& line, const Numbers& numbers, const Style& style) {
    const std::string word = word_of(line.answer);
    out << "  " << style(tone_of(line.answer), word)
        << std::string(static_cast<std::size_t>(text_indent - 2) - word.size(), ' ') << line.title << '\n';
    if (line.value || line.limit || line.answer == Answer::question)
        print_wrapped(out, sentence(numbers.both(line)), text_indent);
    print_wrapped(out, sentence(fmt::format("[{}] {}", line.clause, line.how)), text_indent);
    if (!line.mend.empty() && line.answer != Answer::pass)
        print_wrapped(out, sentence("Would mend it: " + line.mend), text_indent);
}

const CheckLine* find(const commissioning::DesignCheck& check, const std::string& id) {
    for (const CheckLine& line : check.lines)
        if (line.id == id) return &line;
    return nullptr;
}

}  // namespace

void print_design_check(std::ostream& out, const DesignCheckPage& page, const Style& style) {
    const auto& scale = page.design.scale;
    const MassWords mass(scale.description);
    const Numbers numbers(scale.description);
    out << style(Tone::strong, scale.name) << ": Max " << mass.max_words() << ", d " << mass.division_words()
        << ", " << scale.description.cell_count() << " cells\n";
    print_wrapped(out, fmt::format("By {} class {} ({}).", page.design.standard.name, scale.accuracy_class,
                                   page.design.standard.edition));
    for (const Answer answer : {Answer::fail, Answer::question, Answer::pass}) {
        if (page.check.count(answer) == 0) continue;
        out << '\n';
        for (const CheckLine& line : page.check.lines)
            if (line.answer == answer) print_line(out, line, numbers, style);
    }
    if (!page.check.sensitivities.empty()) {
        out << "\nWhat matters most\n";
        Table table;
        table.column("margin of")
            .column("is", Align::right)
            .column("by a tenth")
            .column("would be", Align::right);
        for (const commissioning::Sensitivity& each : page.check.sensitivities) {
            const CheckLine* line = find(page.check, each.line);
            table.row({{line != nullptr ? line->title : each.line},
                       {fmt::format("{:.2f}", each.before)},
                       {fmt::format("{} of {}", each.more ? "more" : "less", each.parameter)},
                       {fmt::format("{:.2f}", each.after)}});
        }
        table.print(out, style);
        print_wrapped(out, "Margin: what is allowed over what is needed; from 1 on it passes.", 2);
    }
    const int fails = page.check.count(Answer::fail);
    const int questions = page.check.count(Answer::question);
    out << '\n'
        << style(fails > 0 ? Tone::bad : Tone::good,
                 fails > 0 ? fmt::format("{} of {} checks {}", fails, page.check.lines.size(),
                                         fails == 1 ? "fails" : "fail")
                           : std::string("No check fails"))
        << fmt::format("; {} left as {}.\n", questions, questions == 1 ? "a question" : "questions");
    print_wrapped(
        out,
        "A check of numbers, no approval: type approval, foundations, wind and fire loads and whatever "
        "is traded by weight are for the authorities and licensed people of the place.");
}

Json design_check_json(const DesignCheckPage& page) {
    const auto& scale = page.design.scale;
    const Numbers numbers(scale.description);
    Json document = json_document();
    document["scale"] = scale.name;
    document["standard"] = page.design.standard.name;
    document["edition"] = page.design.standard.edition;
    document["class"] = scale.accuracy_class;
    document["checks"] = Json::array();
    for (const CheckLine& line : page.check.lines) {
        const auto number = [&](const std::optional<double>& value) {
            return value ? Json(numbers.shown(*value, line)) : Json(nullptr);
        };
        const char* answers[] = {"pass", "fail", "question"};
        document["checks"].push_back({{"check", line.id},
                                      {"title", line.title},
                                      {"clause", line.clause},
                                      {"value", number(line.value)},
                                      {"limit", number(line.limit)},
                                      {"sense", word_of(line.sense)},
                                      {"unit", numbers.unit(line)},
                                      {"margin", line.margin() ? Json(*line.margin()) : Json(nullptr)},
                                      {"answer", answers[static_cast<unsigned>(line.answer)]},
                                      {"how", line.how},
                                      {"mend", line.mend.empty() ? Json(nullptr) : Json(line.mend)}});
    }
    document["sensitivities"] = Json::array();
    for (const commissioning::Sensitivity& each : page.check.sensitivities) {
        document["sensitivities"].push_back({{"check", each.line},
                                             {"parameter", each.parameter},
                                             {"change", each.more ? "a tenth more" : "a tenth less"},
                                             {"margin", each.before},
                                             {"margin_then", each.after}});
    }
    document["sound"] = page.check.count(Answer::fail) == 0;
    return document;
}

}  // namespace cornerbench::report
