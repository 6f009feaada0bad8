#include "tests/diagnosis/corner_rounds.h"

#include <catch2/catch.hpp>

#include "sim/field/field_readings.h"

using namespace cornerbench;
using diagnosis::CornerFinding;
using diagnosis::CornerReport;
using oracle::Round;
using scale::Cause;
using scale::SiteKind;
using Kind = diagnosis::CornerFindingKind;

namespace {

CornerReport judged(const Round& round, std::span<const scale::Fault> faults, double false_alarms = 1.0e-3) {
    const field::SimulatedSheet sheet = round.sheet(faults);
    REQUIRE(sheet.error == mechanics::DeckError::none);
    field::CornerCheckInput input = field::corner_check_input(round.description, sheet.sheet());
    input.scale.false_alarms = false_alarms;
    const CornerReport report = input.judge();
    REQUIRE(report.error == diagnosis::CornerError::none);
    return report;
}

scale::Fault at_cell(Cause cause, int cell) {
    scale::Fault fault;
    fault.cause = cause;
    fault.site = {SiteKind::cell, cell, 0};
    return fault;
}

scale::Fault bound(int support, double share) {
    scale::Fault fault;
    fault.cause = Cause::bound_support;
    fault.site = {SiteKind::support, support, 0};
    fault.magnitude[0] = share;
    return fault;
}

/// A per-cell box asked for every channel under every corner.
diagnosis::ChannelReadings every_channel(const Round& round, const field::SimulatedSheet& sheet,
                                         double mass_kg) {
    field::FieldReadings field(round.description, sheet.truth, sheet.calibration, sheet.instruments, true,
                               round.seed + 1000000);
    diagnosis::Sheet taken = sheet.sheet();
    std::vector<diagnosis::Reading> readings;
    const int n = round.description.cell_count();
    field.unload();
    for (int c = 0; c < n; ++c) readings.push_back(field.channel(c));
    for (int i = 0; i < n; ++i) {
        field.load(mass_kg, field::over_support(round.description.deck, i));
        // A mass set down beside a limp deck's edge tips it.
        if (field.error() != mechanics::DeckError::none) continue;
        for (int c = 0; c < n; ++c) readings.push_back(field.channel(c));
    }
    taken.readings = readings;
    return field::corner_check_input(round.description, taken).channels;
}

constexpr Kind too_little[] = {Kind::carries_too_little, Kind::rubbing, Kind::bound_or_weak, Kind::dead_cell};

bool named_low(const CornerReport& report, int support) {
    for (const Kind kind : too_little) {
        if (oracle::found(report, support, {kind}) != nullptr) return true;
    }
    return false;
}

}  // namespace

TEST_CASE("sound scales are called sound as often as stated", "[corner check][campaign]") {
    int rounds = 0;
    int strict = 0;
    int loose = 0;
    for (std::uint64_t seed = 0; seed < 4000; ++seed) {
        field::RandomSource random(seed, 11);
        const Round round = oracle::random_round(random, oracle::random_vehicle_scale(random), seed);
        if (round.sheet({}).error != mechanics::DeckError::none) continue;
        ++rounds;
        if (judged(round, {}).count > 0) ++strict;
        if (judged(round, {}, 0.05).count > 0) ++loose;
    }
    INFO(strict << " alarms of " << rounds << " at 1 in 1000, " << loose << " at 1 in 20");
    CHECK(rounds > 3800);
    CHECK(strict <= oracle::most_by_chance(rounds, 1.0e-3));
    CHECK(loose <= oracle::most_by_chance(rounds, 0.05));
    // And not because nothing is ever called: even spreads and rounding have no tails, but some are left.
    CHECK(loose > 0);
}

TEST_CASE("sound per-cell scales are called sound as often as stated", "[corner check][campaign]") {
    int rounds = 0;
    int alarms = 0;
    for (std::uint64_t seed = 0; seed < 1000; ++seed) {
        field::RandomSource random(seed, 12);
        Round round = oracle::random_round(random, oracle::random_per_cell_scale(random), seed);
        round.plan.channels = true;
        if (!oracle::stands_well(round)) continue;
        const field::SimulatedSheet sheet = round.sheet({});
        ++rounds;
        field::CornerCheckInput input = field::corner_check_input(round.description, sheet.sheet());
        // Half of them with every channel under every corner.
        if (seed % 2 == 0) input.channels = every_channel(round, sheet, input.readings.corner(0).mass_kg);
        if (input.judge().count > 0) ++alarms;
    }
    CHECK(rounds > 900);
    CHECK(alarms <= oracle::most_by_chance(rounds, 1.0e-3));
}

TEST_CASE("reversed and dead cells are always named", "[corner check][campaign]") {
    constexpr Cause reversals[] = {Cause::upside_down, Cause::signal_pair_swapped,
                                   Cause::excitation_pair_swapped};
    int rounds = 0;
    int named = 0;
    int more = 0;
    for (std::uint64_t seed = 0; seed < 2000; ++seed) {
        field::RandomSource random(seed, 13);
        const Round round = oracle::random_round(random, oracle::random_vehicle_scale(random), seed);
        const int cell = random.index(round.description.cell_count());
        const int which = random.index(4);
        // A weak output of nothing is a dead cell.
        const scale::Fault fault = at_cell(which < 3 ? reversals[which] : Cause::weak_output, cell);
        if (!oracle::stands_well(round)) continue;
        const CornerReport report = judged(round, {&fault, 1});
        ++rounds;
        const bool hit =
            oracle::found(report, cell, {which < 3 ? Kind::reversed_cell : Kind::dead_cell}) != nullptr;
        INFO("seed " << seed);
        CHECK(hit);
        if (hit) ++named;
        if (report.count > 1) ++more;
    }
    CHECK(rounds > 1800);
    CHECK(named == rounds);
    INFO(more << " of " << rounds << " with more findings");
    CHECK(more <= rounds / 100);
}

TEST_CASE("a bound support is found as often as the normal distribution says", "[corner check][campaign]") {
    int rounds = 0;
    int five = 0;
    int surely = 0;
    int five_elsewhere = 0;
    double expected = 0.0;
    for (std::uint64_t seed = 0; seed < 2000; ++seed) {
        field::RandomSource random(seed, 14);
        const Round round = oracle::random_round(random, oracle::random_vehicle_scale(random), seed);
        const int support = random.index(round.description.cell_count());
        if (!oracle::stands_well(round)) continue;
        const CornerReport sound = judged(round, {});
        const auto at = static_cast<unsigned>(support);
        if (sound.surely_found[at] >= 1.0) continue;
        ++rounds;
        const scale::Fault five_sigma = bound(support, 5.0 * sound.gain[at].uncertainty);
        const CornerReport at_five = judged(round, {&five_sigma, 1});
        if (named_low(at_five, support)) ++five;
        if (at_five.count > 0 && !named_low(at_five, support)) ++five_elsewhere;
        // At 5 standard uncertainties, what is found lies beyond a limit of about 4.1: P(5 - 4.1).
        expected += numbers::exp(numbers::log_normal_below(5.0 - sound.limit_sigmas));
        const scale::Fault sure = bound(support, sound.surely_found[at]);
        if (named_low(judged(round, {&sure, 1}), support)) ++surely;
    }
    INFO(five << " and " << surely << " of " << rounds << ", " << expected << " expected at five");
    CHECK(rounds > 1800);
    CHECK(surely >= 0.99 * rounds);
    CHECK(std::fabs(five - expected) <= 3.5 * std::sqrt(0.18 * 0.82 * rounds));
    CHECK(five_elsewhere <= rounds / 100);
}

TEST_CASE("a bound support well beyond that is named at its place", "[corner check][campaign]") {
    int rounds = 0;
    int named = 0;
    int more = 0;
    for (std::uint64_t seed = 0; seed < 2000; ++seed) {
        field::RandomSource random(seed, 15);
        const Round round = oracle::random_round(random, oracle::random_vehicle_scale(random), seed);
        const int support = random.index(round.description.cell_count());
        if (!oracle::stands_well(round)) continue;
        const double least = judged(round, {}).surely_found[static_cast<unsigned>(support)];
        if (least >= 0.8) continue;
        const scale::Fault fault = bound(support, oracle::log_between(random, least, 0.9));
        const CornerReport report = judged(round, {&fault, 1});
        ++rounds;
        if (named_low(report, support)) ++named;
        if (report.count > 1) ++more;
    }
    INFO(named << " of " << rounds << " named, " << more << " with more findings");
    CHECK(named >= 0.99 * rounds);
    CHECK(more <= rounds / 100);
}

TEST_CASE("a contact at a support is named there, whether it sticks or slides", "[corner check][campaign]") {
    int rounds = 0;
    int named = 0;
    int more = 0;
    for (std::uint64_t seed = 0; seed < 2000; ++seed) {
        field::RandomSource random(seed, 16);
        const Round round = oracle::random_round(random, oracle::random_vehicle_scale(random), seed);
        const int support = random.index(round.description.cell_count());
        if (!oracle::stands_well(round)) continue;
        scale::Fault fault;
        fault.cause = Cause::rubbing;
        fault.site = {SiteKind::support, support, 0};
        fault.magnitude[0] = oracle::log_between(random, 1.0e6, 2.0e8);
        fault.magnitude[1] = oracle::log_between(random, 5.0e2, 1.0e5);

        // How much it takes off some corner, read exactly, against what can be known of that corner.
        const CornerReport sound = judged(round, {});
        const auto before = round.sheet({}, false);
        const auto after = round.sheet({&fault, 1}, false);
        REQUIRE(before.readings.size() == after.readings.size());
        double sigmas = 0.0;
        for (std::size_t i = 0; i < static_cast<std::size_t>(round.description.cell_count()); ++i) {
            const double less_kg = before.readings[i + 1].value - after.readings[i + 1].value -
                                   before.readings[0].value + after.readings[0].value;
            const double mass_kg = before.readings[i + 1].load.total_kg();
            sigmas = std::max(sigmas, less_kg / mass_kg / sound.gain[i].uncertainty);
        }
        if (sigmas < sound.limit_sigmas + 2.326) continue;
        const CornerReport report = judged(round, {&fault, 1});
        ++rounds;
        if (named_low(report, support)) ++named;
        for (int f = 0; f < report.count; ++f) {
            const CornerFinding& finding = report.findings[static_cast<unsigned>(f)];
            const bool placed = finding.place.kind != SiteKind::none && finding.kind != Kind::friction;
            if (placed && !oracle::stands_at(finding.place, support)) {
                ++more;
                break;
            }
        }
    }
    INFO(named << " of " << rounds << " named, " << more << " with another place named");
    CHECK(rounds > 800);
    CHECK(named >= 0.99 * rounds);
    CHECK(more <= 0.03 * rounds);
}

TEST_CASE("a contact at the middle of a side or an end is named there or at a support beside it",
          "[corner check][campaign]") {
    constexpr SiteKind sides[] = {SiteKind::far_side, SiteKind::near_side, SiteKind::left_end,
                                  SiteKind::right_end};
    int rounds = 0;
    int named = 0;
    int beside = 0;
    for (std::uint64_t seed = 0; seed < 1000; ++seed) {
        field::RandomSource random(seed, 17);
        const Round round = oracle::random_round(random, oracle::random_vehicle_scale(random), seed);
        const scale::Description& d = round.description;
        const int side = random.index(4);
        if (!oracle::stands_well(round)) continue;
        scale::Fault fault;
        fault.cause = Cause::rubbing;
        fault.site = {sides[side], 0, 0};
        // Stiff enough to take a tenth or more of a load over its supports, and it never slides.
        fault.magnitude[0] = random.between(0.2, 2.0) * d.support_stiffness_N_per_m;
        fault.magnitude[1] = 1.0e9;
        const CornerReport report = judged(round, {&fault, 1});
        ++rounds;
        REQUIRE(report.count > 0);
        const diagnosis::CornerPlaces places(d.deck);
        const auto weight = places.change(d.cell_count() + side);
        const scale::Site& place = report.findings[0].place;
        if (place.kind == sides[side]) {
            ++named;
        } else if (place.kind == SiteKind::support && weight[static_cast<unsigned>(place.index)] < -0.6) {
            ++beside;
        }
    }
    INFO(named << " named and " << beside << " at the support nearly above, of " << rounds);
    CHECK(named + beside >= 0.98 * rounds);
    CHECK(named >= 0.7 * rounds);
}

TEST_CASE("a per-cell box names reversed, dead, exchanged and bound ones", "[corner check][campaign]") {
    int rounds = 0;
    int named = 0;
    for (std::uint64_t seed = 0; seed < 1500; ++seed) {
        field::RandomSource random(seed, 18);
        Round round = oracle::random_round(random, oracle::random_per_cell_scale(random), seed);
        round.plan.channels = true;
        const int n = round.description.cell_count();
        const int cell = random.index(n);
        const int other = (cell + 1 + random.index(n - 1)) % n;
        const int which = random.index(4);
        scale::Fault fault = at_cell(which == 0 ? Cause::upside_down : Cause::weak_output, cell);
        if (which == 2) {
            fault.cause = Cause::swapped_cells;
            fault.site = {SiteKind::cell_pair, std::min(cell, other), std::max(cell, other)};
        } else if (which == 3) {
            fault = bound(cell, random.between(0.05, 0.9));
        }
        if (!oracle::stands_well(round)) continue;
        const field::SimulatedSheet sheet = round.sheet({&fault, 1});
        field::CornerCheckInput input = field::corner_check_input(round.description, sheet.sheet());
        if (seed % 2 == 0) input.channels = every_channel(round, sheet, input.readings.corner(0).mass_kg);
        const CornerReport report = input.judge();
        bool hit = which == 0   ? oracle::found(report, cell, {Kind::reversed_cell}) != nullptr
                   : which == 1 ? oracle::found(report, cell, {Kind::dead_cell}) != nullptr
                   : which == 3 ? named_low(report, cell)
                                : false;
        for (int f = 0; which == 2 && f < report.count; ++f) {
            const CornerFinding& finding = report.findings[static_cast<unsigned>(f)];
            hit = hit || (finding.kind == Kind::exchanged_channels && finding.place == fault.site);
        }
        INFO("seed " << seed << ", fault " << which);
        CHECK(hit);
        ++rounds;
        if (hit) ++named;
    }
    CHECK(rounds > 1300);
    CHECK(named == rounds);
}
