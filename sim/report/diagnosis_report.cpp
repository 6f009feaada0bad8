#include "sim/report/diagnosis_report.h"

#include <algorithm>
#include <cmath>
#include <set>

#include <spdlog/fmt/fmt.h>

#include "sim/field/cause_catalogue.h"
#include "sim/field/diagnosed_sheet.h"
#include "sim/report/diagnosis_json.h"
#include "sim/report/disagreeing_report.h"
#include "sim/report/doubt_words.h"
#include "sim/report/finding_words.h"
#include "sim/report/next_report.h"
#include "sim/report/number_words.h"
#include "sim/report/table.h"

namespace cornerbench::report {

using diagnosis::Candidate;
using diagnosis::Compared;
using scale::Cause;

namespace {

constexpr std::size_t most_causes = 8;
constexpr double least_listed = 0.01;
constexpr std::size_t most_rows = 10;
constexpr std::size_t most_members = 6;

std::string signed_z(double z) {
    if (std::fabs(z) >= 1000.0) return z > 0.0 ? ">+999" : "<-999";
    if (std::fabs(z) < 0.05) return "0.0";
    return fmt::format("{:+.1f}", z);
}

double from_healthy(const Compared& c) {
    return (c.value - c.predicted) / c.uncertainty;
}

double from_explained(const Compared& c) {
    return (c.value - c.given_others) / c.given_others_uncertainty;
}

/// The reservation under which the shares above it hold.
void print_left_over(std::ostream& out, const files::SheetFile& sheet, const field::DiagnosedSheet& found) {
    if (!under_reservation(found)) return;
    out << '\n';
    print_wrapped(out, "These shares hold if " + condition_words(found) +
                           besides_words(sheet.sheet(), found, sheet.scale.description) + ".");
}

void print_groups(std::ostream& out, const files::SheetFile& sheet, const field::DiagnosedSheet& found,
                  const Style& style) {
    for (std::size_t g = 0; g < found.groups.size(); ++g) {
        const field::CauseGroup& group = found.groups[g];
        if (group.probability < least_listed) continue;
        out << '\n'
            << style(Tone::strong,
                     fmt::format("Group {}, together {}{}", static_cast<char>('A' + g % 26),
                                 probability_words(group.probability),
                                 under_reservation(found) ? " if " + condition_words(found) : ""))
            << '\n';
        std::string text = group.like_healthy
                               ? "Hardly moves these readings, so they cannot tell it from a healthy scale: "
                               : "These readings cannot tell apart: ";
        for (std::size_t m = 0; m < group.members.size(); ++m) {
            if (m == most_members && group.members.size() > most_members + 1) {
                text += fmt::format("; and {} more", group.members.size() - m);
                break;
            }
            if (m > 0) text += "; ";
            text += cause_words(found.candidates[static_cast<std::size_t>(group.members[m])],
                                sheet.scale.description);
        }
        print_wrapped(out, text + ".", 2);
        if (group.split_by.empty()) {
            print_wrapped(out, "No reading on the list would split them.", 2);
        } else {
            const field::NextCheck& check = group.split_by[0];
            print_wrapped(
                out,
                fmt::format("Split them by: {} (about {} min).",
                            check_words(check.reading, sheet.scale.description), figures(check.minutes, 2)),
                2);
        }
    }
}

std::size_t first_weight(const files::SheetFile& sheet, const std::vector<Compared>& rows) {
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const auto at = static_cast<std::size_t>(rows[i].reading);
        if (sheet.readings[at].quantity == diagnosis::Quantity::weight) return i;
    }
    return rows.size();
}

std::string predicted_words(const diagnosis::Reading& r, const diagnosis::Seen& seen, const MassWords& mass) {
    if (r.quantity == diagnosis::Quantity::inspection) {
        const double wrong = r.as_it_should_be ? 1.0 - seen.probability : seen.probability;
        return wrong < 0.5 ? "as it should be" : "not";
    }
    if (seen.shown != diagnosis::Shown::value) return shown_words(seen.shown);
    return value_words(r, seen.predicted, mass);
}

/// Readings without a value that the fault makes clearly likelier or less likely than a sound scale does, and
/// those that it does not let expect.
void add_seen(Table& table, const files::SheetFile& sheet, const field::Comparison& healthy,
              const field::Comparison& with, const MassWords& mass) {
    constexpr double telling = 2.0;
    constexpr double expected = 0.1;
    for (std::size_t i = 0; i < with.seen.size() && i < healthy.seen.size(); ++i) {
        const double sound = healthy.seen[i].probability;
        const double faulty = with.seen[i].probability;
        const bool against = faulty < expected;
        if (!against && faulty < telling * sound && sound < telling * faulty) continue;
        const diagnosis::Reading& r = sheet.readings[static_cast<std::size_t>(with.seen[i].reading)];
        const bool look = r.quantity == diagnosis::Quantity::inspection;
        table.row({{reading_words(r, sheet.scale.description), Tone::plain},
                   {look && !r.exchanged && !r.as_it_should_be ? "not" : seen_words(r), Tone::plain},
                   {predicted_words(r, healthy.seen[i], mass), Tone::plain},
                   {sound < expected ? "against" : "", sound < expected ? Tone::bad : Tone::plain},
                   {predicted_words(r, with.seen[i], mass), Tone::plain},
                   {against ? "against" : "", against ? Tone::bad : Tone::plain}});
    }
}

void print_comparison(std::ostream& out, const files::SheetFile& sheet, const field::DiagnosedSheet& found,
                      const field::Comparison& explained, const std::string& title, bool with_remedy,
                      const Style& style) {
    const Candidate& c = found.candidates[static_cast<std::size_t>(explained.candidate)];
    const MassWords mass(sheet.scale.description);
    std::vector<std::size_t> order(explained.rows.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    // What moves all weights alike is told by one of them; a corner stands out by its difference from the
    // rest.
    const auto told_apart = [&](std::size_t i) {
        return std::fabs(from_healthy(found.if_healthy.rows[i])) -
               std::fabs(from_explained(explained.rows[i]));
    };
    const auto quantity = [&](std::size_t i) {
        return sheet.readings[static_cast<std::size_t>(explained.rows[i].reading)].quantity;
    };
    std::vector<double> of_weights;
    for (const std::size_t i : order) {
        if (quantity(i) == diagnosis::Quantity::weight) of_weights.push_back(told_apart(i));
    }
    std::sort(of_weights.begin(), of_weights.end());
    const double usual = of_weights.empty() ? 0.0 : of_weights[of_weights.size() / 2];
    const auto telling = [&](std::size_t i) {
        const double poor_fit = std::max(std::fabs(from_explained(explained.rows[i])) - 2.0, 0.0);
        if (quantity(i) != diagnosis::Quantity::weight) return std::max(std::fabs(told_apart(i)), poor_fit);
        const bool first = of_weights.size() > 0 && i == first_weight(sheet, explained.rows);
        return first ? std::fabs(told_apart(i)) : std::max(std::fabs(told_apart(i) - usual), poor_fit);
    };
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return telling(a) > telling(b); });
    if (order.size() > most_rows) order.resize(most_rows);
    std::sort(order.begin(), order.end());

    out << '\n' << style(Tone::strong, title + cause_words(c, sheet.scale.description)) << '\n';
    Table table;
    table.column("reading")
        .column("read", Align::right)
        .column("healthy", Align::right)
        .column("", Align::right)
        .column("this", Align::right)
        .column("", Align::right);
    for (const std::size_t i : order) {
        const Compared& healthy = found.if_healthy.rows[i];
        const Compared& with = explained.rows[i];
        const diagnosis::Reading& r = sheet.readings[static_cast<std::size_t>(with.reading)];
        const auto cell = [&](double value) { return error_words(r, value, mass); };
        const double z_healthy = from_healthy(healthy);
        const double z_with = from_explained(with);
        table.row({{reading_words(r, sheet.scale.description), Tone::plain},
                   {cell(with.value), Tone::plain},
                   {cell(healthy.predicted), Tone::plain},
                   {signed_z(z_healthy), std::fabs(z_healthy) > 3.0 ? Tone::bad : Tone::plain},
                   {cell(with.given_others), Tone::plain},
                   {signed_z(z_with), std::fabs(z_with) > 3.0 ? Tone::bad : Tone::plain}});
    }
    add_seen(table, sheet, found.if_healthy, explained, mass);
    table.print(out, style);
    const std::size_t others = explained.rows.size() - order.size();
    const bool weights = !of_weights.empty();
    print_wrapped(
        out,
        fmt::format(
            "{}Healthy: what a sound scale would show. This: what the cause predicts, given all other "
            "readings.{}{}",
            weights ? fmt::format("Weights are errors in divisions of {}. ",
                                  mass.with_unit(sheet.scale.description.division_kg))
                    : "",
            order.empty() ? ""
                          : " Behind each: by how many standard uncertainties the reading departs from it.",
            others == 1  ? " One more reading tells less."
            : others > 1 ? fmt::format(" {} more readings tell less.", others)
                         : ""),
        2);
    for (const field::Widened& widened : explained.widened) {
        print_wrapped(
            out, widened_words(sheet.sheet(), explained, widened, found.if_healthy, sheet.scale.description),
            2);
    }
    if (!with_remedy) return;
    print_wrapped(out,
                  (c.group >= 0 ? "What to do if it is this: " : "What to do: ") +
                      std::string(field::entry_of(c.fault.cause).remedy),
                  2);
    if (c.two_at_once() && c.also.cause != c.fault.cause) {
        print_wrapped(out, "And: " + std::string(field::entry_of(c.also.cause).remedy), 2);
    }
}

/// Where no cause on the list comes near: what departs most from a sound scale.
void print_departures(std::ostream& out, const files::SheetFile& sheet, const field::DiagnosedSheet& found,
                      const Style& style) {
    std::vector<Compared> rows = found.if_healthy.rows;
    if (rows.empty()) return;
    std::stable_sort(rows.begin(), rows.end(), [](const Compared& a, const Compared& b) {
        return std::fabs(from_healthy(a)) > std::fabs(from_healthy(b));
    });
    rows.resize(std::min(rows.size(), most_rows));
    const MassWords mass(sheet.scale.description);
    out << '\n' << style(Tone::strong, "What departs most from a sound scale") << '\n';
    Table table;
    table.column("reading")
        .column("read", Align::right)
        .column("healthy", Align::right)
        .column("", Align::right);
    for (const Compared& c : rows) {
        const diagnosis::Reading& r = sheet.readings[static_cast<std::size_t>(c.reading)];
        const double z = from_healthy(c);
        table.row({{reading_words(r, sheet.scale.description), Tone::plain},
                   {error_words(r, c.value, mass), Tone::plain},
                   {error_words(r, c.predicted, mass), Tone::plain},
                   {signed_z(z), std::fabs(z) > 3.0 ? Tone::bad : Tone::plain}});
    }
    table.print(out, style);
    print_wrapped(out,
                  "No cause on the list comes clearly nearer than that. Behind each: by how many "
                  "standard uncertainties the reading departs.",
                  2);
}

void print_next(std::ostream& out, const files::SheetFile& sheet, const field::DiagnosedSheet& found,
                const Style& style) {
    out << '\n' << style(Tone::strong, "What to read next") << '\n';
    print_checks(out, sheet, found, style);
}

}  // namespace

void print_causes(std::ostream& out, const files::SheetFile& sheet, const field::DiagnosedSheet& found,
                  const Style& style) {
    Table table;
    const bool grouped = !found.groups.empty();
    table.column("", Align::right).column("cause and place").column("size (90 % range)");
    if (grouped) table.column("group");
    const auto row = [&](const std::string& share, const std::string& cause, const std::string& size,
                         const std::string& group, Tone tone, Tone of_size) {
        std::vector<Cell> cells{{share, tone}, {cause, tone}, {size, of_size}};
        if (grouped) cells.push_back({group, of_size});
        table.row(cells);
    };
    std::size_t listed = 0;
    double rest = 1.0;
    for (const Candidate& c : found.candidates) {
        if (listed == most_causes || (listed > 0 && c.probability < least_listed)) break;
        const std::string group = c.group >= 0 ? std::string(1, static_cast<char>('A' + c.group % 26)) : "";
        const Tone tone = listed == 0 ? Tone::strong : Tone::plain;
        const auto rows = [&](const std::string& share, const std::string& cause,
                              const std::vector<std::string>& sizes) {
            row(share, cause, sizes.empty() ? "" : sizes[0], share.empty() ? "" : group, tone, Tone::plain);
            for (std::size_t k = 1; k < sizes.size(); ++k)
                row("", "", sizes[k], "", Tone::plain, Tone::plain);
        };
        const scale::Description& d = sheet.scale.description;
        rows(probability_words(c.probability), c.two_at_once() ? cause_words(c.fault) : cause_words(c, d),
             magnitude_words(c.fault, c.estimate, d));
        if (c.two_at_once()) {
            rows("", "with " + cause_words(c.also), magnitude_words(c.also, c.also_estimate, d));
        }
        rest -= c.probability;
        ++listed;
    }
    if (listed < found.candidates.size()) {
        row(probability_words(rest), fmt::format("{} others", found.candidates.size() - listed), "", "",
            Tone::faint, Tone::faint);
    }
    table.print(out, style);
}

void print_cautions(std::ostream& out, const field::DiagnosedSheet& found, const Style& style) {
    std::set<field::Caution> cautions;
    for (const Candidate& c : found.candidates) {
        if (c.probability < 0.05) break;
        for (const Cause cause : {c.fault.cause, c.also.cause}) {
            for (const field::Caution caution : field::entry_of(cause).cautions) cautions.insert(caution);
        }
    }
    if (cautions.empty()) return;
    out << '\n' << style(Tone::strong, "Mind") << '\n';
    for (const field::Caution caution : cautions) print_wrapped(out, field::text_of(caution), 2);
}

void print_diagnosis(std::ostream& out, const files::SheetFile& sheet, const files::Priors& priors,
                     const field::CheckMinutes& minutes, bool json, const Style& style) {
    const field::DiagnosedSheet found =
        field::diagnose_sheet(sheet.scale.description, sheet.sheet(), priors, minutes);
    if (json) {
        print_json(out, diagnosis_json(sheet, found));
        return;
    }
    print_found(out, sheet, found, style);
}

void print_found(std::ostream& out, const files::SheetFile& sheet, const field::DiagnosedSheet& found,
                 const Style& style) {
    out << style(Tone::strong, sheet.scale.name)
        << fmt::format(": {} {}, {} supports\n\n", sheet.readings.size(),
                       sheet.readings.size() == 1 ? "reading" : "readings",
                       sheet.scale.description.cell_count());
    print_causes(out, sheet, found, style);
    print_left_over(out, sheet, found);
    print_groups(out, sheet, found, style);
    for (const field::Comparison& explained : found.explained) {
        print_comparison(out, sheet, found, explained, "Why ", true, style);
    }
    print_disagreeing(out, sheet, found, style);
    if (found.candidates.front().fault.cause == Cause::unlisted && found.explained.empty()) {
        if (found.nearest) {
            print_comparison(out, sheet, found, *found.nearest, "The nearest on the list: ", false, style);
        } else {
            print_departures(out, sheet, found, style);
        }
    }
    const bool nothing_read = found.if_healthy.rows.empty() && found.if_healthy.seen.empty();
    if (nothing_read) {
        out << '\n';
        print_wrapped(out, "Nothing was read yet: these are the causes' shares before any reading.");
    } else if (found.candidates.front().fault.cause == Cause::healthy && found.unexpected.empty()) {
        out << '\n';
        print_wrapped(out,
                      "Nothing on this sheet calls for a broken part. If the corners differ by more than you "
                      "accept, `cornerbench trim` computes the settings.");
    }
    print_next(out, sheet, found, style);
    print_cautions(out, found, style);
}

}  // namespace cornerbench::report
