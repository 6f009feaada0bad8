#pragma once

#include <optional>
#include <string>

namespace cornerbench::commissioning {

/// What came of a question.
enum class Answer : unsigned char {
    pass,
    fail,
    question  ///< the file does not say enough, or departs from what is usual
};

/// How a value has to stand to its limit.
enum class Sense : unsigned char { at_most, at_least, about };

/// One thing that a scale's design is asked, and the answer.
struct CheckLine {
    std::string id;      ///< stable, for scripts: "v-min"
    std::string title;   ///< "Smallest verification interval of a cell"
    std::string clause;  ///< where it is asked, or "common practice, no source"
    std::optional<double> value{};
    std::optional<double> limit{};
    Sense sense = Sense::at_most;
    bool is_mass = false;  ///< value and limit in kg, shown in the scale's unit
    std::string unit{};    ///< of value and limit otherwise
    Answer answer = Answer::pass;
    std::string how{};   ///< the computed numbers in words
    std::string mend{};  ///< what would mend it; only where it does not pass

    /// Allowed over needed: 1 and more passes; nothing without both numbers.
    std::optional<double> margin() const {
        if (!value || !limit || sense == Sense::about) return std::nullopt;
        const double over = sense == Sense::at_most ? *limit : *value;
        const double under = sense == Sense::at_most ? *value : *limit;
        if (!(under > 0.0)) return std::nullopt;
        return over / under;
    }
};

/// Bits of arithmetic that do not decide.
inline constexpr double line_slack = 1.0e-9;

/// Answers by the two numbers; a missing one is a question.
inline void judge(CheckLine& line, Answer otherwise = Answer::fail) {
    if (!line.value || !line.limit) {
        line.answer = Answer::question;
        return;
    }
    const double slack = line_slack * (1.0 + (*line.limit > 0.0 ? *line.limit : -*line.limit));
    const bool holds = line.sense == Sense::at_most ? *line.value <= *line.limit + slack
                                                    : *line.value >= *line.limit - slack;
    line.answer = holds ? Answer::pass : otherwise;
    if (holds) line.mend.clear();
}

}  // namespace cornerbench::commissioning
