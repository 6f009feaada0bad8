#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

#include "firmware/indicator/settings_block.h"
#include "sim/page/bench.h"
#include "sim/page/description_numbers.h"
#include "sim/page/meter.h"
#include "sim/page/page_diagnosis.h"
#include "sim/page/page_drill.h"
#include "sim/page/vehicle_numbers.h"
#include "sim/training/drill_level.h"
#include "sim/training/level_progress.h"
#include "sim/training/task_answer.h"

// What the page's script sees of the bench: numbers in, numbers out (module.js says which). Nothing is
// imported.

#define EXPORTED(name) extern "C" __attribute__((export_name(#name)))

namespace {

using namespace cornerbench;

constexpr std::size_t most_results = 16384;

std::array<double, 4096> given;
std::array<double, most_results> results;
SettingsBlock settings;
std::unique_ptr<page::Bench> bench;

/// Fills `results` from the front.
class Row {
  public:
    template <class... Values>
    void put(Values... values) {
        (one(static_cast<double>(values)), ...);
    }
    int count() const { return static_cast<int>(count_); }

  private:
    void one(double value) {
        if (count_ < results.size()) results[count_++] = value;
    }
    std::size_t count_ = 0;
};

double site_number(const scale::Description& d, const scale::Fault& fault) {
    for (int i = 0; i < scale::site_count(d, fault.cause); ++i) {
        if (scale::site_at(d, fault.cause, i) == fault.site) return i;
    }
    return 0.0;
}

double variant_number(const scale::Description& d, const scale::Fault& fault) {
    for (int i = 0; i < scale::variant_count(d, fault.cause); ++i) {
        if (scale::variant_at(d, fault.cause, i) == fault.variant) return i;
    }
    return 0.0;
}

void put_fault(const scale::Fault& fault, Row& row) {
    const scale::Description& d = bench->description();
    row.put(scale::index_of(fault.cause), site_number(d, fault), variant_number(d, fault));
}

/// Of a look 1: as it should be, 2: wires a and b stand exchanged, 0: not as it should be.
void put_reading(const diagnosis::Reading& r, Row& row) {
    row.put(static_cast<int>(r.quantity), r.cell, scale::index_of(r.between_a), scale::index_of(r.between_b),
            static_cast<int>(r.place), static_cast<int>(r.look), r.exchanged ? 2 : r.as_it_should_be, r.value,
            static_cast<int>(r.shown), static_cast<int>(r.direction), r.load.count);
    for (std::size_t i = 0; i < static_cast<std::size_t>(r.load.count); ++i)
        row.put(r.load.standing[i].mass_kg, r.load.standing[i].x_m, r.load.standing[i].y_m);
}

void put_against(const training::Against& against, std::size_t reading, Row& row) {
    const bool log = bench->readings()[reading].quantity == diagnosis::Quantity::resistance;
    row.put(reading, against.value, log ? std::exp(against.predicted) : against.predicted,
            against.standardised, against.seen, against.given_others);
}

/// What a drill hides; drawn once, for undoing a step opens the same drill again.
const std::vector<scale::Fault>& hidden_in(const page::BenchStart& start, std::span<const double> described) {
    struct Drawn {
        std::vector<double> described;
        int level = 0;
        std::uint64_t seed = 0;
        std::vector<scale::Fault> hidden;
    };
    static Drawn last;
    const bool same =
        last.level == start.drill_level && last.seed == start.seed &&
        std::equal(described.begin(), described.end(), last.described.begin(), last.described.end());
    if (!same)
        last = {{described.begin(), described.end()},
                start.drill_level,
                start.seed,
                training::draw_hidden(start.description, start.drill_level, start.seed)};
    return last.hidden;
}

/// The readings but those whose number is in `given`, as many as `left_out`.
struct Kept {
    explicit Kept(int left_out) {
        const auto out = given.begin() + left_out;
        for (std::size_t i = 0; i < bench->readings().size(); ++i) {
            if (std::find(given.begin(), out, static_cast<double>(i)) != out) continue;
            readings.push_back(bench->readings()[i]);
            number_of.push_back(i);
        }
    }
    std::vector<diagnosis::Reading> readings;
    std::vector<std::size_t> number_of;
};

}  // namespace

EXPORTED(given) double* bench_given() {
    return given.data();
}

EXPORTED(results) double* bench_results() {
    return results.data();
}

EXPORTED(settings) std::uint8_t* bench_settings() {
    return settings.data();
}

/// `described` numbers of the scale, then those of the vehicles up to `count`; the settings' block is in
/// place; `level` of the drill whose number the seed is, or 0. 0 well, 1 numbers or block of another version,
/// 2 the indicator refuses its calibration.
EXPORTED(open) int bench_open(int described, int count, double seed, int level) {
    bench.reset();
    page::BenchStart start;
    const std::span<const double> all(given.data(), static_cast<std::size_t>(count));
    if (!page::from_numbers(all.first(static_cast<std::size_t>(described)), start.description)) return 1;
    start.vehicles = page::vehicles_from(all.subspan(static_cast<std::size_t>(described)));
    if (decode(settings, start.settings) != SettingsError::none) return 1;
    start.seed = static_cast<std::uint64_t>(seed);
    start.drill_level = std::clamp(level, 0, training::level_count);
    if (start.drill_level > 0)
        start.hidden = hidden_in(start, all.first(static_cast<std::size_t>(described)));
    bench = std::make_unique<page::Bench>(start);
    return bench->calibrated() ? 0 : 2;
}

/// A deed; its numbers stand in `given`.
EXPORTED(act) int bench_act(int kind) {
    if (kind < 0 || kind >= page::deed_kind_count) return 0;
    page::Deed deed;
    deed.kind = static_cast<page::DeedKind>(kind);
    std::copy_n(given.begin(), deed.number.size(), deed.number.begin());
    return bench->act(deed) ? 1 : 0;
}

EXPORTED(run) void bench_run(int frames) {
    for (int i = 0; i < frames; ++i) bench->frame();
}

/// The state at this moment.
EXPORTED(look) int bench_look() {
    Row row;
    const world::Truth truth = bench->scale().world().truth();
    const scale::Description& d = bench->description();
    const auto cells = static_cast<std::size_t>(d.cell_count());
    const scale::Condition& now = bench->scale().world().condition();
    const bool powered = bench->scale().powered();
    const std::uint64_t hash = bench->state_hash();
    row.put(bench->frames(), bench->time_s(), truth.mass_on_deck_kg, powered, hash >> 32U,
            hash & 0xffffffffU);
    const bool has_weight = powered && bench->scale().indicator().readout().has_weight();
    row.put(has_weight, has_weight ? bench->scale().indicator().readout().gross_kg : 0.0,
            has_weight && bench->scale().indicator().readout().stable);
    row.put(bench->vehicle_there(), bench->revealed(), bench->readings().size(), cells);
    for (std::size_t i = 0; i < cells; ++i) row.put(truth.support_N[i]);
    for (std::size_t i = 0; i < cells; ++i) row.put(truth.cell_N[i]);
    for (std::size_t i = 0; i < cells; ++i) row.put(now.positions[i].trim_at);
    const auto standing = bench->on_deck();
    row.put(standing.size());
    for (const page::OnDeck& each : standing) row.put(each.number, each.x_m, each.y_m, each.kg);
    row.put(bench->faults().size());
    for (const page::Bench::Present& each : bench->faults()) {
        const bool untold = each.hidden && !bench->revealed();
        row.put(each.number, untold);
        put_fault(untold ? scale::Fault{} : each.fault, row);
        row.put(untold ? 0.0 : each.fault.magnitude[0], untold ? 0.0 : each.fault.magnitude[1]);
    }
    const hal::PanelPicture picture = powered ? bench->scale().board().panel.picture() : hal::PanelPicture{};
    row.put(picture.lights);
    for (const char c : picture.digits) row.put(static_cast<unsigned char>(c));
    for (const char c : picture.words) row.put(static_cast<unsigned char>(c));
    for (const char c : picture.unit) row.put(static_cast<unsigned char>(c));
    return row.count();
}

/// Volts at every terminal, in the order of terminals.h.
EXPORTED(terminals) int bench_terminals() {
    Row row;
    for (const double volt : bench->terminal_volts()) row.put(volt);
    return row.count();
}

/// Signal of each lifted cell by box position, V.
EXPORTED(signals) int bench_signals() {
    Row row;
    const world::World& world = bench->scale().world();
    const page::MeterPlace place{bench->description(), world.condition(), world.box().exact(),
                                 world.ratios()};
    for (int i = 0; i < bench->description().cell_count(); ++i) row.put(page::lifted_signal_V(place, i));
    return row.count();
}

EXPORTED(spread) double bench_spread() {
    return bench->corner_spread_divisions();
}

/// 0 wrong, 1 that cause elsewhere, 2 right.
EXPORTED(named) int bench_named(int cause, int site) {
    return static_cast<int>(bench->named(cause, site));
}

/// The reading that was taken as number `index`, from 0.
EXPORTED(reading) int bench_reading(int index) {
    Row row;
    put_reading(bench->readings()[static_cast<std::size_t>(index)], row);
    return row.count();
}

/// Diagnoses the readings but those whose number is in `given`, as many as `left_out`: how many of the most
/// probable causes follow, nineteen results for each, then four for each reading that the first of them
/// explains: its number, what a healthy scale and what this cause lets expect, and how far it is from
/// healthy.
EXPORTED(diagnose) int bench_diagnose(int left_out, int zeroed_now) {
    const Kept kept(left_out);
    const diagnosis::Sheet sheet = page::sheet_of(kept.readings, zeroed_now != 0);
    Row row;
    const auto ranked = page::ranked_causes(bench->description(), sheet);
    const std::size_t told = std::min<std::size_t>(ranked.size(), 12);
    row.put(told);
    for (std::size_t i = 0; i < told; ++i) {
        const diagnosis::Candidate& c = ranked[i];
        put_fault(c.fault, row);
        row.put(c.probability, c.group);
        for (const diagnosis::Estimate& e : c.estimate) row.put(e.value, e.low, e.high);
        put_fault(c.also, row);
        row.put(c.also_estimate[0].value, c.also_estimate[0].low, c.also_estimate[0].high, c.two_at_once());
        row.put(c.fault.cause != scale::Cause::healthy && c.fault.cause != scale::Cause::unlisted);
    }
    if (told == 0) return row.count();
    for (const page::Explained& each : page::explained(bench->description(), sheet, ranked.front()))
        row.put(kept.number_of[static_cast<std::size_t>(each.reading)], each.if_healthy, each.by_cause,
                each.better);
    return row.count();
}

/// Minutes that the readings took, and how many of them were more than the complaint.
EXPORTED(clock) int bench_clock() {
    Row row;
    const page::DrillClock clock = page::clock_of(bench->readings(), bench->probed());
    row.put(clock.minutes, clock.steps.size());
    return row.count();
}

/// Minutes of reading the meter between two terminals now; negative when there are no such.
EXPORTED(probe_minutes) double bench_probe_minutes(double terminal_a, double terminal_b) {
    return page::probe_minutes(*bench, terminal_a, terminal_b).value_or(-1.0);
}

/// 1 when the reading taken as number `index` is the one that `given` asks for: quantity, cell, wires, place
/// and look in the order of `put_reading`, then of what stands on the deck how many, mass, x, y of each.
EXPORTED(answers) int bench_answers(int index) {
    diagnosis::Reading asked;
    asked.quantity = static_cast<diagnosis::Quantity>(static_cast<int>(given[0]));
    asked.cell = static_cast<int>(given[1]);
    asked.between_a = static_cast<scale::Wire>(static_cast<int>(given[2]));
    asked.between_b = static_cast<scale::Wire>(static_cast<int>(given[3]));
    asked.place = static_cast<diagnosis::ExcitationPlace>(static_cast<int>(given[4]));
    asked.look = static_cast<diagnosis::Look>(static_cast<int>(given[5]));
    asked.load.count = std::clamp(static_cast<int>(given[6]), 0, diagnosis::max_standing);
    for (std::size_t i = 0; i < static_cast<std::size_t>(asked.load.count); ++i)
        asked.load.standing[i] = {given[7 + 3 * i], given[8 + 3 * i], given[9 + 3 * i]};
    return training::answers_task(bench->readings()[static_cast<std::size_t>(index)], asked) ? 1 : 0;
}

/// What the word in `given`, a deed's numbers, is worth in a drill: its end by CallEnd, -1 when it names
/// nothing that can be; of what speaks against it as `against` but 0 or 1 first; then, where no reading taken
/// does and one would, or a right word was guessed, its minutes and the reading.
EXPORTED(verdict) int bench_verdict() {
    Row row;
    std::array<double, page::max_deed_numbers> number{};
    std::copy_n(given.begin(), number.size(), number.begin());
    const auto verdict = page::verdict_of(*bench, number);
    row.put(verdict ? static_cast<int>(verdict->end) : -1);
    if (!verdict) return row.count();
    row.put(verdict->against.has_value());
    if (verdict->against)
        put_against(*verdict->against, static_cast<std::size_t>(verdict->against->reading), row);
    if (!verdict->missing) return row.count();
    row.put(verdict->missing->minutes);
    put_reading(verdict->missing->reading, row);
    return row.count();
}

/// Of drills in `given`, level, 1 if found, points of each: done, found and mean points of every level, then
/// the level to do next.
EXPORTED(progress) int bench_progress(int count) {
    Row row;
    std::vector<training::LevelDone> drills;
    for (std::size_t i = 0; i < static_cast<std::size_t>(count) && 3 * i + 2 < given.size(); ++i)
        drills.push_back(
            {static_cast<int>(given[3 * i]), given[3 * i + 1] != 0.0, static_cast<int>(given[3 * i + 2])});
    const training::LevelProgress progress = training::level_progress(drills);
    for (const training::LevelTally& tally : progress.of) row.put(tally.done, tally.found, tally.mean_points);
    row.put(progress.next);
    return row.count();
}

/// Left out as in `diagnose`. Nothing where the readings do not go together; else the likeliest cause by
/// three numbers and its probability, then, where a reading would tell more, its minutes and the reading.
EXPORTED(hint) int bench_hint(int left_out, int zeroed_now) {
    Row row;
    const Kept kept(left_out);
    const auto hint = page::hint_for(bench->description(), page::sheet_of(kept.readings, zeroed_now != 0));
    if (!hint) return row.count();
    put_fault(hint->likeliest.fault, row);
    row.put(hint->likeliest.probability, hint->enough);
    if (!hint->check) return row.count();
    row.put(hint->check->minutes);
    put_reading(hint->check->reading, row);
    return row.count();
}

/// What speaks most against this cause and place: number of the reading, its value, what the cause lets
/// expect, standard uncertainties between them, 1 for a thing seen, 1 where it is expected only given the
/// other readings; nothing where nothing does.
EXPORTED(against) int bench_against(int left_out, int zeroed_now, int cause, int site) {
    Row row;
    const Kept kept(left_out);
    const auto against =
        page::against(bench->description(), page::sheet_of(kept.readings, zeroed_now != 0), cause, site);
    if (!against) return row.count();
    const std::size_t reading = kept.number_of[static_cast<std::size_t>(against->reading)];
    put_against(*against, reading, row);
    return row.count();
}

/// Points, minutes, steps, needless ones, the plan's minutes, steps and whether it found the cause, and 1 for
/// a guess.
EXPORTED(score) int bench_score(int zeroed_now, int right, int hints, int wrong_calls) {
    Row row;
    const diagnosis::Sheet sheet = page::sheet_of(bench->readings(), zeroed_now != 0);
    const training::DrillScore score = page::score_of(*bench, sheet, right != 0, hints, wrong_calls);
    row.put(score.points, score.minutes, score.steps, score.needless.size(), score.plan.minutes,
            score.plan.checks, score.plan.right, score.guessed);
    return row.count();
}
