#include "sim/report/atlas_words.h"

#include <cmath>

#include <spdlog/fmt/fmt.h>

#include "sim/report/finding_words.h"

namespace cornerbench::report {

using training::AtlasEntry;
using training::ErrorAtLoad;

namespace {

/// Divisions below which nothing is said to change.
constexpr double worth_saying = 0.1;

}  // namespace

std::string corner_error_words(const field::TestResult& r, const MassWords& mass) {
    if (r.deck_error != mechanics::DeckError::none) return "unstable";
    return r.shown == diagnosis::Shown::value ? mass.divisions(r.exact_error_kg) : shown_words(r.shown);
}

std::string sign_words(const training::MeterSign& sign) {
    if (sign.unchanged) return "unchanged";
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
    const MassWords mass(d);
    const std::string check = check_words(like.told_by.front().reading, d);
    const std::string here = read_words(like.here, mass);
    const std::string there = read_words(like.there, mass);
    // At their best fits they may agree where the sizes that fit nearly as well do not.
    if (here == there) return fmt::format("{}, though at the best fit it reads {} with both", check, here);
    return fmt::format("{}: {} here, {} there", check, here, there);
}

}  // namespace cornerbench::report
