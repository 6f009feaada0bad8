#include <catch2/catch.hpp>
#include <cmath>

#include "sim/field/cause_and_place.h"
#include "sim/field/comparing.h"
#include "sim/field/corner_test.h"
#include "sim/field/specimen.h"
#include "sim/field/test_load.h"
#include "sim/field/trimmed_corners.h"
#include "sim/files/scale_file.h"
#include "sim/training/drill_level.h"
#include "sim/training/drill_score.h"
#include "sim/training/drill_words.h"

using namespace cornerbench;
using namespace cornerbench::training;

namespace {

const scale::Description& sawmill() {
    static const scale::Description d =
        files::load_scale(CORNERBENCH_SOURCE_DIR "/configs/scales/sawmill-4.toml").value->description;
    return d;
}

Drill drill_of(int level, std::uint64_t seed) {
    return Drill(sawmill(), draw_hidden(sawmill(), level, seed),
                 {seed, {}, setting_of(level), diagnosis::default_priors(sawmill())});
}

/// Follows the hints until there is none left, or the drill is sure, and names what then stands first.
CallEnd follow_hints(Drill& drill) {
    for (int step = 0; step < 40; ++step) {
        const Hint hint = drill.hint();
        if (!hint.check || hint.likeliest.probability > 0.95) {
            std::vector<scale::Fault> named;
            if (hint.likeliest.fault.cause != scale::Cause::healthy) named.push_back(hint.likeliest.fault);
            if (hint.likeliest.two_at_once()) named.push_back(hint.likeliest.also);
            return drill.call(named).end;
        }
        if (!drill.take(hint.check->reading)) return CallEnd::wrong;
    }
    return CallEnd::wrong;
}

}  // namespace

TEST_CASE("who follows the hints of a drill finds what is hidden, mostly", "[training][long]") {
    int found = 0;
    int drills = 0;
    for (int level = 1; level <= level_count - 1; ++level) {
        for (std::uint64_t seed = 1; seed <= 4; ++seed) {
            Drill drill = drill_of(level, seed);
            const CallEnd end = follow_hints(drill);
            found += is_found(end) ? 1 : 0;
            ++drills;
        }
    }
    CAPTURE(found, drills);
    // What is hidden moves some reading of a full sheet by ten standard uncertainties.
    CHECK(found >= 0.85 * drills);
}

TEST_CASE("who does as the proposed checks do gets every point for minutes and steps", "[training][long]") {
    for (const std::uint64_t seed : {2u, 3u, 4u}) {
        Drill drill = drill_of(3, seed);
        field::VisitSetting visit;
        const field::VisitOutcome plan = field::visit(sawmill(), drill.setting().priors, drill.hidden(), seed,
                                                      visit, [&](const field::VisitSoFar& so_far) {
                                                          const auto next = field::planned_check(so_far);
                                                          if (next) REQUIRE(drill.take(*next));
                                                          return next;
                                                      });
        CHECK(drill.minutes() == plan.minutes);
        const DrillScore score = score_of(drill, CallEnd::right);
        CAPTURE(seed, plan.checks, score.needless.size());
        CHECK(score.plan == plan);
        CHECK(score.needless.empty());
        CHECK(score.points == 100);
        CHECK(score_of(drill, CallEnd::wrong).points == 0);
    }
}

TEST_CASE("needless readings, hints and wrong calls cost what they are said to cost", "[training][long]") {
    Drill drill = drill_of(2, 3);
    const Hint hint = drill.hint();
    if (hint.check) REQUIRE(drill.take(hint.check->reading));
    const int before = score_of(drill, CallEnd::right).points;
    diagnosis::Reading again;
    REQUIRE(drill.take(again));
    REQUIRE(drill.take(again));
    const DrillScore score = score_of(drill, CallEnd::right);
    CHECK(score.needless.size() == 2);
    CHECK(score.points < before);
    // 25 points for minutes at the most, two needless readings three each.
    CHECK(score.points >= before - 25 - 6);
}

TEST_CASE("a wrong call gets the reading that speaks against it", "[training][long]") {
    for (std::uint64_t seed = 1; seed <= 6; ++seed) {
        Drill drill = drill_of(2, seed);
        const CallVerdict verdict = drill.call({});
        CAPTURE(seed);
        CHECK(verdict.end == CallEnd::wrong);
        REQUIRE((verdict.against || verdict.missing));
        if (!verdict.against || verdict.against->seen) continue;
        // The same row of an independent comparison: how far a sound scale would let it be.
        CHECK(std::fabs(verdict.against->standardised) > 3.0);
        const diagnosis::Reading& r =
            drill.sheet().readings[static_cast<std::size_t>(verdict.against->reading)];
        CHECK(r.value == verdict.against->value);
        // By itself, it is what the sheet shows of a sound scale beside what was read.
        std::vector<double> memory(diagnosis::diagnosis_doubles(sawmill(), drill.sheet()));
        const auto healthy =
            field::Comparing(sawmill(), drill.sheet(), diagnosis::Outcome{}, memory).with_healthy();
        for (const diagnosis::Compared& row : healthy.rows) {
            if (row.reading != verdict.against->reading || verdict.against->given_others) continue;
            CHECK(verdict.against->predicted == row.predicted);
            CHECK(std::fabs(row.value - row.predicted) > 3.0 * row.uncertainty);
        }
        CHECK(drill.wrong_calls() == 1);
    }
}

TEST_CASE("a right word that the readings do not bear out is a guess and earns less", "[training][long]") {
    int guesses = 0;
    for (std::uint64_t seed = 1; seed <= 6; ++seed) {
        CAPTURE(seed);
        Drill guessing = drill_of(3, seed);
        const auto named = guessing.hidden();
        const field::DiagnosedSheet ranked =
            field::rank_causes(sawmill(), guessing.sheet(), guessing.setting().priors);
        diagnosis::Candidate truth;
        if (!named.empty()) truth.fault = named.front();
        double borne_out = 0.0;
        int group = -1;
        for (const diagnosis::Candidate& c : ranked.candidates) {
            if (field::same_cause_and_place(c, truth)) group = c.group;
        }
        for (const diagnosis::Candidate& c : ranked.candidates) {
            if (field::same_cause_and_place(c, truth) || (group >= 0 && c.group == group))
                borne_out += c.probability;
        }
        const CallVerdict verdict = guessing.call(named);
        REQUIRE(verdict.end == CallEnd::right);
        CHECK(verdict.guessed == (borne_out < 0.5));
        const DrillScore score = score_of(guessing, verdict.end);
        CHECK(score.guessed == verdict.guessed);
        if (!verdict.guessed) continue;
        ++guesses;
        CHECK(score.points == 30);
        CHECK(verdict.missing);
    }
    CHECK(guesses >= 2);
    // Who has read what the proposed checks read does not guess.
    Drill drill = drill_of(3, 2);
    field::visit(sawmill(), drill.setting().priors, drill.hidden(), 2, {},
                 [&](const field::VisitSoFar& so_far) {
                     const auto next = field::planned_check(so_far);
                     if (next) REQUIRE(drill.take(*next));
                     return next;
                 });
    CHECK_FALSE(drill.call(drill.hidden()).guessed);
}

TEST_CASE("what a drill hides is left open by the complaint and found by the proposed checks",
          "[training][campaign]") {
    for (int level = 1; level <= level_count; ++level) {
        for (std::uint64_t seed = 1; seed <= (level == level_count ? 2U : 5U); ++seed) {
            Drill drill = drill_of(level, seed);
            const DrillScore score = score_of(drill, CallEnd::wrong);
            CAPTURE(level, seed);
            CHECK(score.plan.checks >= 1);
            if (drill.hidden().size() == 1) CHECK(score.plan.right);
        }
    }
}

TEST_CASE("the last level's trims are told as far as they stand off", "[training]") {
    for (const char* name : {"quarry-8", "depot-6"}) {
        const scale::Description d =
            files::load_scale(std::string(CORNERBENCH_SOURCE_DIR "/configs/scales/") + name + ".toml")
                .value->description;
        CAPTURE(name);
        CHECK(tired_trims(d, setting_of(1), 3).empty());
        const auto off = tired_trims(d, setting_of(level_count), 3);
        REQUIRE(off.size() == static_cast<std::size_t>(d.cell_count()));
        // Turned back by what is told, the corners of the specimen weigh as equal as well set trims make
        // them.
        const auto spread = [&](bool turned_back) {
            scale::Condition c =
                field::draw_specimen(d, diagnosis::History::calibrated, setting_of(level_count).scatter, 3)
                    .condition;
            for (int i = 0; turned_back && i < d.cell_count(); ++i)
                field::knob(c, i) -= off[static_cast<std::size_t>(i)];
            return field::corner_spread_divisions(d, c);
        };
        CHECK(spread(true) < 1.0);
        CHECK(spread(false) > spread(true));
    }
}

TEST_CASE("a hint says where to look before it names a cause", "[training]") {
    Drill drill = drill_of(1, 2);
    CHECK_FALSE(drill.hint().again);
    CHECK(drill.hint().again);
    REQUIRE(drill.take({}));
    const Hint hint = drill.hint();
    CHECK_FALSE(hint.again);
    CHECK(hint.telling);
}

TEST_CASE("a drill is the same drill again, and its level's", "[training][long]") {
    for (int level = 1; level <= level_count; ++level) {
        for (std::uint64_t seed = 1; seed <= 5; ++seed) {
            const auto hidden = draw_hidden(sawmill(), level, seed);
            CHECK(hidden == draw_hidden(sawmill(), level, seed));
            CAPTURE(level, seed);
            if (level == level_count) {
                CHECK(hidden.size() == 2);
            } else {
                CHECK(hidden.size() <= 1);
            }
            if (level <= 2) CHECK(hidden.size() == 1);
        }
    }
    Drill once = drill_of(5, 9);
    Drill twice = drill_of(5, 9);
    const auto& a = once.sheet().readings;
    const auto& b = twice.sheet().readings;
    REQUIRE(a.size() == b.size());
    for (std::size_t i = 0; i < a.size(); ++i) CHECK(a[i].value == b[i].value);
}

TEST_CASE("a drill's words are readings, or are told what would be valid", "[training]") {
    const scale::Description& d = sawmill();
    const double kg = field::usual_corner_kg(d);
    const auto reads = [&](const char* words) { return read_tool(words, d, kg).reading; };
    REQUIRE(reads("weight over 3"));
    CHECK(reads("weight over 3")->load.standing[0].mass_kg == kg);
    CHECK(reads("weight over 3 down")->direction == diagnosis::Direction::decreasing);
    CHECK(reads("weight empty")->load.count == 0);
    CHECK(reads("signal 2 over 2")->quantity == diagnosis::Quantity::signal);
    CHECK(reads("ohms 4 S+ shield")->between_b == scale::Wire::shield);
    CHECK(reads("volts cell 4")->place == diagnosis::ExcitationPlace::cell);
    CHECK(reads("look ends")->look == diagnosis::Look::end_gap);
    CHECK(reads("look gap 1")->cell == 0);
    CHECK(reads("weight over 3 with 5t")->load.standing[0].mass_kg == 5000.0);
    CHECK(reads("weight over 3 down with 5 t")->load.standing[0].mass_kg == 5000.0);
    CHECK(reads("weight over 3 with 5000 kg")->load.standing[0].mass_kg == 5000.0);
    for (const char* words : {"",
                              "weight",
                              "weight over 5",
                              "weight over 0",
                              "weight over 3 up",
                              "weight empty down",
                              "signal",
                              "signal 9",
                              "signal 2 under 2",
                              "ohms 1 S+ S+",
                              "ohms 1 S+",
                              "ohms 1 S+ S- E+",
                              "volts",
                              "volts cell",
                              "look",
                              "look gap",
                              "look there 1",
                              "lift",
                              "channel 1",
                              "with",
                              "with 5 t",
                              "weight over 3 with",
                              "weight over 3 with t",
                              "weight over 3 with 5 lb",
                              "weight over 3 with 8,500",
                              "weight over 99999999999999999999"}) {
        const AskedReading asked = read_tool(words, d, kg);
        CAPTURE(words);
        CHECK_FALSE(asked.reading);
        CHECK_FALSE(asked.error.empty());
    }
    CHECK(read_call("healthy", d).faults->empty());
    CHECK(read_call("loose-terminal cell=3 wire=S+ ohm=4", d).faults->front().site.index == 2);
    CHECK(read_call("rubbing side=far with trim-off cell=2", d).faults->size() == 2);
    for (const char* words :
         {"", "unlisted", "loose", "loose-terminal", "loose-terminal cell=9", "healthy with healthy",
          "trim-off cell=1 with", "trim-off cell=1 with trim-off cell=2 with trim-off cell=3"}) {
        CAPTURE(words);
        CHECK_FALSE(read_call(words, d).faults);
    }
}
