#include <catch2/catch.hpp>

#include <sstream>
#include <string>

#include "sim/files/trial_file.h"
#include "tests/random_scale.h"

using namespace cornerbench;

namespace {

/// Part 2 of 3 of a trial that never was, with every kind of number.
files::TrialPart part(tests::Draw& draw) {
    files::TrialPart part;
    part.question.scale = "a \"quoted\" scale";
    part.question.scale_checksum = 4000000000U;
    for (double& prior : part.question.priors) prior = draw.uniform(0.0, 1.0);
    part.question.sheets = 20;
    part.question.first_seed = 0xffffffffff000000U;
    part.question.readings = "weights";
    part.shard = {2, 3};
    part.question.wild = draw.chance(0.5);
    part.question.world = "plain";
    for (int i = part.shard.begin(20); i < part.shard.end(20); ++i) {
        field::SheetOutcome o;
        o.seed = part.question.first_seed + static_cast<std::uint64_t>(i);
        o.truth = static_cast<scale::Cause>(draw.integer(0, scale::cause_count - 1));
        o.answered = draw.chance(0.8);
        if (o.answered) {
            o.first = static_cast<scale::Cause>(draw.integer(0, scale::cause_count - 1));
            o.first_probability = draw.uniform(0.0, 1.0);
            o.rank = draw.integer(-1, 100);
            o.in_top_group = draw.chance(0.5);
            o.probability = draw.uniform(0.0, 1.0e-9);
            o.brier = draw.uniform(0.0, 2.0);
            o.group_size = draw.integer(1, 20);
            o.plain = draw.chance(0.5);
            o.wild = part.question.wild;
            o.wild_named = o.wild && draw.chance(0.5);
            o.right_as_read = o.wild && draw.chance(0.5);
            for (auto& bin : o.said) {
                if (!draw.chance(0.5)) continue;
                bin.statements = draw.integer(1, 200);
                bin.true_ones = draw.integer(0, bin.statements);
                bin.stated = draw.uniform(0.0, 100.0);
            }
        }
        part.outcomes.push_back(o);
    }
    return part;
}

/// The same of visits.
files::TrialPart visits(tests::Draw& draw) {
    files::TrialPart all = part(draw);
    all.outcomes.clear();
    all.question.kind = files::TrialKind::minutes;
    all.question.minutes.move_weight = draw.uniform(0.1, 600.0);
    all.question.minutes.read = draw.uniform(0.1, 600.0);
    for (int i = all.shard.begin(20); i < all.shard.end(20); ++i) {
        field::VisitCase visit;
        visit.seed = all.question.first_seed + static_cast<std::uint64_t>(i);
        visit.truth = static_cast<scale::Cause>(draw.integer(0, scale::cause_count - 1));
        for (field::VisitOutcome* o : {&visit.plan, &visit.textbook}) {
            o->end = static_cast<field::VisitEnd>(draw.integer(0, 4));
            o->minutes = draw.uniform(0.0, 480.0);
            o->checks = draw.integer(0, 200);
            o->right = draw.chance(0.5);
        }
        all.visits.push_back(visit);
    }
    return all;
}

/// And of ranks.
files::TrialPart ranks(tests::Draw& draw) {
    files::TrialPart all = part(draw);
    all.outcomes.clear();
    all.question.kind = files::TrialKind::ranks;
    for (int i = all.shard.begin(20); i < all.shard.end(20); ++i) {
        field::RankCase c;
        c.seed = all.question.first_seed + static_cast<std::uint64_t>(i);
        c.truth = static_cast<scale::Cause>(draw.integer(0, scale::cause_count - 1));
        c.answered = draw.chance(0.8);
        if (c.answered) c.magnitudes.push_back({"kN_per_mm", draw.uniform(0.0, 1.0e-9)});
        if (c.answered && draw.chance(0.3)) c.magnitudes.push_back({"limit_kN", draw.uniform(0.0, 1.0)});
        all.ranks.push_back(c);
    }
    return all;
}

/// And of an ideal observer beside the diagnosis.
files::TrialPart observed(tests::Draw& draw) {
    files::TrialPart all = part(draw);
    all.question.kind = files::TrialKind::ideal;
    const files::TrialPart other = part(draw);
    for (std::size_t i = 0; i < all.outcomes.size(); ++i) {
        field::SheetOutcome ideal = other.outcomes[i];
        ideal.seed = all.outcomes[i].seed;
        all.observed.push_back({all.outcomes[i].seed, all.outcomes[i], ideal});
    }
    all.outcomes.clear();
    return all;
}

files::TrialPart part_of_any_kind(tests::Draw& draw, int number) {
    return number % 4 == 0   ? part(draw)
           : number % 4 == 1 ? visits(draw)
           : number % 4 == 2 ? ranks(draw)
                             : observed(draw);
}

std::string text_of(const files::TrialPart& part) {
    std::ostringstream out;
    files::write_trial_part(out, part);
    return out.str();
}

}  // namespace

TEST_CASE("A part of a trial comes back from its file to the last digit", "[files]") {
    tests::Draw draw(7);
    for (int trial = 0; trial < 50; ++trial) {
        const files::TrialPart before = part_of_any_kind(draw, trial);
        const auto after = files::parse_trial_part(text_of(before), "part.json");
        CAPTURE(files::to_string(after.errors));
        REQUIRE(after.value.has_value());
        CHECK(after.value->question == before.question);
        CHECK(after.value->shard.number == 2);
        CHECK(after.value->shard.parts == 3);
        CHECK(after.value->outcomes == before.outcomes);
        CHECK(after.value->visits == before.visits);
        CHECK(after.value->ranks == before.ranks);
        CHECK(after.value->observed == before.observed);
    }
}

TEST_CASE("A damaged part of a trial is refused or says what it says, and never crashes", "[files]") {
    tests::Draw draw(8);
    const std::string whole[] = {text_of(part(draw)), text_of(visits(draw)), text_of(ranks(draw)),
                                 text_of(observed(draw))};
    int refused = 0;
    for (int trial = 0; trial < 4000; ++trial) {
        std::string text = whole[trial % 4];
        const int blows = draw.integer(1, 3);
        for (int blow = 0; blow < blows && !text.empty(); ++blow) {
            const auto at = static_cast<std::size_t>(draw.integer(0, static_cast<int>(text.size()) - 1));
            switch (draw.integer(0, 3)) {
                case 0:
                    text[at] = static_cast<char>(draw.integer(0, 255));
                    break;
                case 1:
                    text.erase(at, static_cast<std::size_t>(draw.integer(1, 20)));
                    break;
                case 2:
                    text.insert(at, text.substr(static_cast<std::size_t>(
                                                    draw.integer(0, static_cast<int>(text.size()) - 1)),
                                                30));
                    break;
                default:
                    text.resize(at + 1);
            }
        }
        const auto loaded = files::parse_trial_part(text, "part.json");
        if (!loaded.value) {
            ++refused;
            CHECK(loaded.errors.size() == 1);
            continue;
        }
        // What is taken is whole: every sheet of the part, in order, within its ranges.
        const files::TrialPart& taken = *loaded.value;
        const int begin = taken.shard.begin(taken.question.sheets);
        const auto sheets =
            taken.outcomes.size() + taken.visits.size() + taken.ranks.size() + taken.observed.size();
        REQUIRE(static_cast<int>(sheets) == taken.shard.end(taken.question.sheets) - begin);
        for (const field::VisitCase& visit : taken.visits) CHECK(visit.plan.minutes >= 0.0);
        for (std::size_t i = 0; i < taken.outcomes.size(); ++i) {
            const field::SheetOutcome& o = taken.outcomes[i];
            CHECK(o.seed == taken.question.first_seed + static_cast<std::uint64_t>(begin) + i);
            CHECK(o.probability >= 0.0);
            CHECK(o.first_probability <= 1.0 + 1.0e-9);
        }
    }
    CHECK(refused > 2000);
}

TEST_CASE("The parts of a trial are the whole, each sheet once", "[field]") {
    for (const int sheets : {1, 7, 100, 1000000}) {
        for (const int parts : {1, 2, 3, 7}) {
            if (parts > sheets) continue;
            int next = 0;
            for (int k = 1; k <= parts; ++k) {
                const field::TrialShard shard{k, parts};
                CHECK(shard.begin(sheets) == next);
                CHECK(shard.end(sheets) > next);
                next = shard.end(sheets);
            }
            CHECK(next == sheets);
        }
    }
}
