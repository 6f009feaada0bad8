#include <spdlog/fmt/fmt.h>

#include "sim/field/cause_catalogue.h"
#include "sim/report/number_words.h"
#include "sim/report/table.h"
#include "sim/report/wiring_report.h"

namespace cornerbench::report {

namespace {

/// "support 3", "supports 3 and 5".
std::string support_words(const std::vector<int>& supports) {
    std::string words = supports.size() == 1 ? "support " : "supports ";
    for (std::size_t i = 0; i < supports.size(); ++i) {
        if (i > 0) words += i + 1 == supports.size() ? " and " : ", ";
        words += std::to_string(supports[i] + 1);
    }
    return words;
}

std::string shim_words(const commissioning::Shim& shim) {
    const std::string mm =
        fmt::format("{:.1f} mm, give or take {:.1f} mm", shim.mm, 2.0 * shim.uncertainty_mm);
    if (!shim.at_least()) return fmt::format("Under support {}: {}.", shim.support + 1, mm);
    // A piece of deck turns about its other supports: of several gaps each counts by its lever.
    return shim.gaps.size() == 1
               ? fmt::format(
                     "Under support {}: at least {}, beyond contact: measure the gap under {} first and "
                     "add it.",
                     shim.support + 1, mm, support_words(shim.gaps))
               : fmt::format(
                     "Under support {}: at least {}, beyond contact: measure the gaps under {} first; "
                     "they come on top.",
                     shim.support + 1, mm, support_words(shim.gaps));
}

/// What is to be done, and what comes of it as far as the signals show.
void print_lifts(std::ostream& out, const commissioning::ShimPlan& plan) {
    for (const commissioning::Shim& shim : plan.shims) print_wrapped(out, shim_words(shim));
    if (plan.hanging.empty())
        print_wrapped(
            out,
            fmt::format("{}, and the supports depart by {:.1f} standard uncertainties instead of {:.1f}.",
                        plan.shims.size() == 1 ? "One lift" : fmt::format("{} lifts", plan.shims.size()),
                        plan.misfit_after, plan.misfit_before));
    print_wrapped(out,
                  "Shims under a support and under the one diagonally across the same piece of deck do the "
                  "same: take the one that is easier to reach. Read the signals again after each lift.");
    if (plan.unexplained)
        print_wrapped(out, "More is left than shims explain: look at the cells' zeros as well.");
}

/// What nobody can read off the signals.
void print_hanging(std::ostream& out, const std::vector<int>& hanging) {
    if (hanging.empty()) return;
    std::string words = support_words(hanging);
    words[0] = 'S';
    words += hanging.size() == 1
                 ? " hangs free, or may: its signal is the same however wide the gap is."
                 : " hang free, or may: their signals are the same however wide the gaps are.";
    print_wrapped(out,
                  words +
                      " Measure with the deck empty, with plates pushed in until one just holds. What the "
                      "supports will carry shows once all of them touch.");
}

const char* word_of(commissioning::Bearing bearing) {
    switch (bearing) {
        case commissioning::Bearing::free:
            return "hangs free";
        case commissioning::Bearing::light:
            return "too light";
        case commissioning::Bearing::heavy:
            return "too heavy";
        case commissioning::Bearing::fair:
            break;
    }
    return "fair";
}

}  // namespace

void print_shims(std::ostream& out, const files::ScaleFile& scale, const commissioning::ShimPlan& plan,
                 const Style& style) {
    const MassWords mass(scale.description);
    out << style(Tone::strong, scale.name) << ": what the supports carry, deck empty\n\n";
    Table table;
    table.column("support", Align::right)
        .column("carries " + mass.unit(), Align::right)
        .column("+-", Align::right)
        .column("should", Align::right)
        .column("");
    const bool foretold = !plan.shims.empty() && plan.hanging.empty();
    if (foretold) table.column("with shims", Align::right);
    for (std::size_t i = 0; i < plan.loads.size(); ++i) {
        const commissioning::SupportLoad& load = plan.loads[i];
        const bool fair = load.bearing == commissioning::Bearing::fair;
        std::vector<Cell> row{{std::to_string(load.support + 1)},
                              {mass.number(load.carried_kg)},
                              {mass.number(load.uncertainty_kg), Tone::faint},
                              {mass.number(load.expected_kg)},
                              {word_of(load.bearing), fair ? Tone::good : Tone::bad}};
        if (foretold) row.push_back({mass.number(plan.after_kg[i])});
        table.row(std::move(row));
    }
    table.print(out, style);
    print_wrapped(
        out,
        "+-: standard uncertainty, mostly the cell's own zero. Should: by the statics, every support at its "
        "height. Fair: within twice the uncertainty.",
        2);
    out << '\n';
    print_hanging(out, plan.hanging);
    if (!plan.shims.empty()) {
        print_lifts(out, plan);
    } else if (plan.unexplained) {
        print_wrapped(out,
                      "No shim evens this out: look at the cells' zeros and at what touches the deck "
                      "(cornerbench diagnose).");
    } else if (plan.hanging.empty()) {
        print_wrapped(out, "Nothing to shim.");
    } else {
        print_wrapped(out, "Fill the gap, if there is one, and read the signals again.");
    }
    out << "\nMind\n";
    for (const field::Caution caution : {field::Caution::jacking, field::Caution::under_deck,
                                         field::Caution::pinching, field::Caution::seals})
        print_wrapped(out, field::text_of(caution), 2);
}

Json shims_json(const files::ScaleFile& scale, const commissioning::ShimPlan& plan) {
    const double unit_kg = scale::kilograms_in(scale.description.unit);
    Json document = json_document();
    document["scale"] = scale.name;
    document["unit"] = MassWords(scale.description).unit();
    document["supports"] = Json::array();
    for (std::size_t i = 0; i < plan.loads.size(); ++i) {
        const commissioning::SupportLoad& load = plan.loads[i];
        document["supports"].push_back(
            {{"support", load.support + 1},
             {"carries", load.carried_kg / unit_kg},
             {"standard_uncertainty", load.uncertainty_kg / unit_kg},
             {"should", load.expected_kg / unit_kg},
             {"bearing", word_of(load.bearing)},
             {"with_shims", plan.hanging.empty() ? Json(plan.after_kg[i] / unit_kg) : Json(nullptr)}});
    }
    document["shims"] = Json::array();
    for (const commissioning::Shim& shim : plan.shims) {
        Json gaps = Json::array();
        for (const int support : shim.gaps) gaps.push_back(support + 1);
        document["shims"].push_back({{"support", shim.support + 1},
                                     {"mm", shim.mm},
                                     {"standard_uncertainty_mm", shim.uncertainty_mm},
                                     {"at_least", shim.at_least()},
                                     {"gaps_to_measure", gaps}});
    }
    document["misfit"] = plan.misfit_before;
    document["misfit_with_shims"] = plan.hanging.empty() ? Json(plan.misfit_after) : Json(nullptr);
    document["unexplained"] = plan.unexplained;
    return document;
}

}  // namespace cornerbench::report
