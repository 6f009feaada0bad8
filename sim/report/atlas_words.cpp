#include "sim/report/atlas_words.h"

#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/report/finding_words.h"
#include "sim/report/outcome_words.h"

namespace cornerbench::report {

using training::AtlasEntry;
using training::ErrorAtLoad;

namespace {

/// Divisions below which nothing is said to change.
constexpr double worth_saying = 0.1;
constexpr std::size_t most_outcomes = 2;

}  // namespace

std::string corner_error_words(const field::TestResult& r, const MassWords& mass) {
    if (r.deck_error != mechanics::DeckError::none) return "unstable";
    return r.shown == diagnosis::Shown::value ? mass.divisions(r.exact_error_kg) : shown_words(r.shown);
}

std::string sign_words(const training::MeterSign& sign) {
    if (sign.standardised == 0.0) return "";
    if (std::fabs(sign.standardised) > 999.0) return sign.standardised > 0.0 ? ">+999" : "<-999";
    return fmt::format("{:+.1f}", sign.standardised);
}

std::vector<std::string> change_words(const AtlasEntry& entry, const scale::Description& d) {
    const MassWords mass(d);
    std::vector<std::string> lines;
    std::string by_load;
    double most_down = 0.0;
    double most_warm = 0.0;
    for (const ErrorAtLoad& at : entry.by_load) {
        by_load += fmt::format("{}{} at {}", by_load.empty() ? "" : ", ",
                               at.known ? mass.divisions(at.up_kg) : "no weight", mass.with_unit(at.mass_kg));
        if (!at.known) continue;
        if (std::fabs(at.down_kg - at.up_kg) > std::fabs(most_down)) most_down = at.down_kg - at.up_kg;
        if (std::fabs(at.warm_kg - at.up_kg) > std::fabs(most_warm)) most_warm = at.warm_kg - at.up_kg;
    }
    lines.push_back(fmt::format("Over support {}, zeroed before: {}.", entry.near_support + 1, by_load));
    const double e = d.division_kg;
    lines.push_back(std::fabs(most_down) > worth_saying * e
                        ? fmt::format("Coming down from twice a load it reads up to {} differently.",
                                      mass.divisions(most_down))
                        : "Coming down from twice a load it reads the same.");
    lines.push_back(std::fabs(entry.left_at_zero_kg) > worth_saying * e
                        ? fmt::format("After a heavy load the empty deck shows {}.",
                                      mass.divisions(entry.left_at_zero_kg))
                        : "It comes back to zero.");
    lines.push_back(std::fabs(most_warm) > worth_saying * e
                        ? fmt::format("Cables 20 K warmer change it by up to {}.", mass.divisions(most_warm))
                        : "Warm cables change nothing.");
    return lines;
}

std::string told_words(const training::Lookalike& like, const scale::Description& d) {
    if (like.told_by.empty()) return "no reading on the list tells them apart";
    const field::NextCheck& check = like.told_by.front();
    std::string text = check_words(check.reading, d);
    std::string outcomes;
    for (const std::string& line : outcome_words(check, like.about, d, most_outcomes)) {
        outcomes += (outcomes.empty() ? "" : "; ") + line;
    }
    return outcomes.empty() ? text : text + " (" + outcomes + ")";
}

}  // namespace cornerbench::report
