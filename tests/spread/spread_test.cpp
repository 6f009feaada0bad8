#include "sim/spread/spread.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "sim/spread/spread_tally.h"
#include "tests/spread/one_tolerance.h"

using namespace cornerbench;
using namespace cornerbench::spread;
using tests::plain_scale;
using tests::test_kg;

namespace {

double deviation(const std::vector<double>& values) {
    double mean = 0.0;
    double square = 0.0;
    for (const double v : values) mean += v / static_cast<double>(values.size());
    for (const double v : values) square += (v - mean) * (v - mean) / static_cast<double>(values.size());
    return std::sqrt(square);
}

field::PartTolerances times(field::PartTolerances t, double factor) {
    for (double* width : {&t.cable_length_percent, &t.cable_cut_m, &t.conductor_percent, &t.terminal_ohm,
                          &t.trim_percent, &t.fixed_trim_percent, &t.mixing_percent, &t.trim_setting_percent,
                          &t.corner_gain_percent, &t.temperature_K})
        *width *= factor;
    t.rated_output_percent = 0.1 * factor;
    t.zero_percent = factor;
    t.input_resistance_percent = factor;
    t.output_resistance_percent = 0.6 * factor;
    return t;
}

}  // namespace

// Two ways to one number: thousands of made-up scales solved in full, and derivatives added in squares. They
// agree as far as the scale is straight within its tolerances, which a fifth of the usual ones sees to, and
// as far as 20 000 scales tell a standard deviation, to 0.5 %.
TEST_CASE("made-up scales and first order agree within 3 % on small tolerances", "[spread][long]") {
    const struct {
        scale::TrimKind kind;
        double mixing_ohm;
        scale::Converter converter;
    } boxes[] = {{scale::TrimKind::none, 0.0, scale::Converter::summed},
                 {scale::TrimKind::excitation_series, 0.0, scale::Converter::summed},
                 {scale::TrimKind::signal_shunt, 1000.0, scale::Converter::summed},
                 {scale::TrimKind::none, 0.0, scale::Converter::per_cell}};
    for (const auto& box : boxes) {
        scale::Description d = plain_scale(8);
        d.converter = box.converter;
        d.trim = {box.kind, box.kind == scale::TrimKind::signal_shunt ? 200.0e3 : 20.0, 25.0, 20.0e3,
                  box.mixing_ohm};
        for (scale::Cell& cell : d.cells) cell.trim_at = 10.0;
        for (const State state : {State::as_delivered, State::trimmed}) {
            const bool trims =
                box.kind != scale::TrimKind::none || box.converter == scale::Converter::per_cell;
            if (state == State::trimmed && !trims) continue;
            CAPTURE(static_cast<int>(box.kind), static_cast<int>(state), static_cast<int>(box.converter));
            Chain chain(d, times({}, 0.2), state, test_kg);
            REQUIRE(chain.valid());
            CHECK(chain.by_batch());
            const Sensitivities straight(chain);
            const FirstOrder first = straight.first_order();
            std::vector<double> span;
            std::vector<double> zero;
            std::vector<double> spread;
            std::vector<double> straight_spread;
            double corner_square = 0.0;
            std::vector<Values> values;
            constexpr int scales = 20000;
            for (int i = 0; i < scales; ++i)
                values.push_back(values_of(chain.variables().size(), static_cast<std::uint64_t>(i)));
            for (std::size_t i = 0; const Outcome& o : chain.outcomes(values)) {
                span.push_back(o.span);
                zero.push_back(o.zero_kg);
                spread.push_back(o.spread_kg(chain.corners()));
                straight_spread.push_back(straight.spread_kg(values[i++]));
                for (int c = 0; c < chain.corners(); ++c)
                    corner_square += o.corner_kg[static_cast<unsigned>(c)] *
                                     o.corner_kg[static_cast<unsigned>(c)] / chain.corners() / scales;
            }
            std::sort(spread.begin(), spread.end());
            std::sort(straight_spread.begin(), straight_spread.end());
            CHECK(std::sqrt(corner_square) == Approx(first.deviation.corner_kg).epsilon(0.03));
            CHECK(deviation(span) == Approx(first.deviation.span).epsilon(0.03));
            CHECK(deviation(zero) == Approx(first.deviation.zero_kg).epsilon(0.03));
            CHECK(not_exceeded(spread, 0.95) == Approx(not_exceeded(straight_spread, 0.95)).epsilon(0.03));
        }
    }
}

TEST_CASE("the shares of variance of all parts together are the whole", "[spread]") {
    Chain chain(plain_scale(6), {}, State::as_delivered, test_kg);
    const FirstOrder first = Sensitivities(chain).first_order();
    Triple sum;
    for (const PartShare& part : first.parts) {
        sum.corner_kg += part.share.corner_kg;
        sum.span += part.share.span;
        sum.zero_kg += part.share.zero_kg;
    }
    CHECK(sum.corner_kg == Approx(1.0));
    CHECK(sum.span == Approx(1.0));
    CHECK(sum.zero_kg == Approx(1.0));
}

TEST_CASE("the worst case is met by parts at their ends and by nothing else", "[spread]") {
    Chain chain(plain_scale(6), {}, State::as_delivered, test_kg);
    const Sensitivities straight(chain);
    const FirstOrder first = straight.first_order();
    double met = 0.0;
    for (unsigned i = 0; i < 6; ++i) {
        for (unsigned j = 0; j < 6; ++j) {
            Values ends(chain.variables().size());
            for (std::size_t v = 0; v < ends.size(); ++v)
                ends[v] = straight.corners_kg(v)[i] > straight.corners_kg(v)[j] ? 1.0 : -1.0;
            met = std::max(met, straight.spread_kg(ends));
        }
    }
    CHECK(met == Approx(first.worst_spread_kg));
    for (std::uint64_t seed = 0; seed < 500; ++seed)
        CHECK(straight.spread_kg(values_of(chain.variables().size(), seed)) < first.worst_spread_kg);
}

TEST_CASE("the made-up scales of all shards are those of the whole, and one seed is one scale", "[spread]") {
    scale::Description d = plain_scale(4);
    d.trim = {scale::TrimKind::excitation_series, 20.0, 25.0, 0.0, 0.0};
    for (const State state : {State::as_delivered, State::trimmed}) {
        Chain chain(d, {}, state, test_kg);
        const Sensitivities straight(chain);
        const SampleSetting setting{131, 9};
        const std::vector<Sample> whole = draw_samples(chain, straight, setting);
        REQUIRE(whole.size() == 131);
        std::vector<Sample> put_together;
        for (int number = 1; number <= 7; ++number) {
            Chain own(d, {}, state, test_kg);
            const std::vector<Sample> part = draw_samples(own, straight, setting, {number, 7});
            put_together.insert(put_together.end(), part.begin(), part.end());
        }
        const bool same = put_together == whole;
        CHECK(same);
        CHECK(draw_samples(chain, straight, {1, 139}).front() == whole.back());
        CHECK_FALSE(whole[0] == whole[1]);
    }
}

TEST_CASE("with one part alone, half its tolerance is half the spread", "[spread]") {
    Chain chain(plain_scale(6), tests::only(&field::PartTolerances::rated_output_percent, 0.1),
                State::as_delivered, test_kg);
    const Sensitivities straight(chain);
    for (const Sample& s : draw_samples(chain, straight, {50, 1})) {
        REQUIRE(s.halved_spread_kg.size() == 1);
        CHECK(s.halved_spread_kg[0] == Approx(0.5 * s.spread_kg).epsilon(5.0e-3));
    }
}

TEST_CASE("the nearest rank is the value that so many do not exceed", "[spread]") {
    const std::vector<double> ten{1, 2, 3, 4, 5, 6, 7, 8, 9, 10};
    CHECK(not_exceeded(ten, 0.5) == 5.0);
    CHECK(not_exceeded(ten, 0.95) == 10.0);
    CHECK(not_exceeded(ten, 0.9) == 9.0);
    CHECK(not_exceeded({3.0}, 0.95) == 3.0);
    CHECK(not_exceeded({}, 0.95) == 0.0);
}
