#include "sim/report/doubt_words.h"

#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/field/cause_catalogue.h"
#include "sim/report/finding_words.h"
#include "sim/report/number_words.h"

namespace cornerbench::report {

using diagnosis::Candidate;
using diagnosis::Quantity;
using diagnosis::Reading;
using diagnosis::Shown;

namespace {

/// A cause above this probability is worth its remedy.
constexpr double worth_mending = 0.01;

/// The cause that the answer's predictions come from.
std::string answer_words(const field::DiagnosedSheet& found, const scale::Description& d) {
    if (found.answer.candidate < 0) return "a healthy scale";
    const Candidate& c = found.candidates[static_cast<std::size_t>(found.answer.candidate)];
    return c.fault.cause == scale::Cause::healthy ? "a healthy scale" : cause_words(c, d);
}

/// The width of an uncertainty in the same unit.
std::string width_words(const Reading& r, double width, const MassWords& mass) {
    if (r.quantity == Quantity::resistance) return percent(width);
    if (r.quantity != Quantity::weight) return value_words(r, width, mass);
    const std::string text = mass.divisions(width);
    return text.substr(text.find_first_not_of('+'));
}

}  // namespace

std::string unexpected_words(const Reading& r, const field::Unexpected& u, const field::DiagnosedSheet& found,
                             const scale::Description& d) {
    const std::string answer = answer_words(found, d);
    std::string text = seen_words(r);
    if (r.quantity == Quantity::inspection) {
        text += fmt::format(", which {} lets expect in {} of such looks", answer,
                            percent(u.by_answer.probability));
    } else {
        const MassWords mass(d);
        text += fmt::format(", where {} lets expect {}", answer,
                            u.by_answer.shown == Shown::value ? value_words(r, u.by_answer.predicted, mass)
                                                              : shown_words(u.by_answer.shown));
    }
    if (u.shown_by >= 0) {
        const Candidate& c = found.candidates[static_cast<std::size_t>(u.shown_by)];
        text += fmt::format("; {} would show it, with a probability of {} beside all other readings",
                            cause_words(c), probability_words(c.probability));
    }
    return text;
}

std::string blank_advice() {
    return "First see whether the indicator is alive and has supply: mains, plug, fuse, any other sign of "
           "life; "
           "then measure the excitation at its terminals";
}

std::string unexpected_advice(const Reading& r, const field::Unexpected& u,
                              const field::DiagnosedSheet& found) {
    if (r.quantity == Quantity::weight || r.quantity == Quantity::channel) {
        return r.shown == Shown::blank
                   ? blank_advice()
                   : "Take it again; if it stays, more than one thing is wrong, or something that is not on "
                     "the list";
    }
    if (r.quantity != Quantity::inspection) {
        return "Take it again; if it stays, more than one thing is wrong with that cell";
    }
    if (u.shown_by < 0) return "Look again";
    const Candidate& c = found.candidates[static_cast<std::size_t>(u.shown_by)];
    std::string text =
        "Look again: if it is so, put it right before all else, or find out why it does no harm";
    if (c.probability < worth_mending) return text;
    const std::string_view remedy = field::entry_of(c.fault.cause).remedy;
    return text + ". " + std::string(remedy.substr(0, remedy.find_last_not_of('.') + 1));
}

bool under_reservation(const field::DiagnosedSheet& found) {
    return !found.left_over.empty() && found.candidates.front().fault.cause != scale::Cause::unlisted;
}

std::string left_over_words(const diagnosis::Sheet& sheet, int row, const field::DiagnosedSheet& found,
                            const scale::Description& d) {
    const diagnosis::Compared& c = found.answer.rows[static_cast<std::size_t>(row)];
    const Reading& r = sheet.readings[static_cast<std::size_t>(c.reading)];
    const MassWords mass(d);
    const double z = (c.value - c.given_others) / c.given_others_uncertainty;
    return fmt::format("{} reads {} where {} lets expect {} ({} standard uncertainties)", reading_words(r, d),
                       error_words(r, c.value, mass), answer_words(found, d),
                       error_words(r, c.given_others, mass), figures(std::fabs(z), 2));
}

std::string condition_words(const field::DiagnosedSheet& found) {
    return found.candidates.front().two_at_once() ? "two causes explain all readings"
                                                  : "one cause explains all readings";
}

std::string besides_words(const diagnosis::Sheet& sheet, const field::DiagnosedSheet& found,
                          const scale::Description& d) {
    std::string text;
    for (const int row : found.left_over) {
        text += (text.empty() ? "; and besides, " : "; ") + left_over_words(sheet, row, found, d);
    }
    return text;
}

std::string widened_words(const diagnosis::Sheet& sheet, const field::Comparison& with,
                          const field::Widened& widened, const field::Comparison& healthy,
                          const scale::Description& d) {
    const auto at = static_cast<std::size_t>(widened.row);
    const diagnosis::Compared& c = with.rows[at];
    const Reading& r = sheet.readings[static_cast<std::size_t>(c.reading)];
    const MassWords mass(d);
    std::string text = fmt::format(
        "This does not predict what '{}' reads, it only leaves it less sure: by {} either way, against {} on "
        "a healthy scale",
        reading_words(r, d), width_words(r, c.given_others_uncertainty, mass),
        width_words(r, healthy.rows[at].uncertainty, mass));
    if (widened.by_placing) {
        text +=
            ", mostly because a few centimetres in where the load stands then change the reading by far more";
    }
    return text + ".";
}

}  // namespace cornerbench::report
