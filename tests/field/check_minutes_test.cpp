#include <catch2/catch.hpp>

#include <vector>

#include "sim/field/check_minutes.h"
#include "sim/field/textbook_order.h"
#include "tests/field/field_scales.h"
#include "tests/random_scale.h"

using namespace cornerbench;
using namespace cornerbench::field;
using diagnosis::Look;
using diagnosis::Quantity;
using diagnosis::Reading;
using scale::Wire;

namespace {

Reading of(Quantity quantity, int cell = 0) {
    Reading r;
    r.quantity = quantity;
    r.cell = cell;
    return r;
}

Reading with_weight(Reading r, double x_m) {
    r.load.count = 1;
    r.load.standing[0] = {5000.0, x_m, 0.0};
    return r;
}

Reading look(Look at, int cell) {
    Reading r = of(Quantity::inspection, cell);
    r.look = at;
    return r;
}

double minutes_of_all(const std::vector<Reading>& readings, const CheckMinutes& with = {}) {
    Workplace from;
    double sum = 0.0;
    for (const Reading& r : readings) {
        sum += minutes_of(r, from, with);
        from = after(r, from);
    }
    return sum;
}

}  // namespace

// The numbers are the sums of the table in check_minutes.h: common practice, no source.
TEST_CASE("A check by itself takes the sum of what is done for it", "[field]") {
    CHECK(minutes_of_all({with_weight(of(Quantity::weight), 0.0)}) == 4.0);
    Reading down = with_weight(of(Quantity::weight), 0.0);
    down.direction = diagnosis::Direction::decreasing;
    CHECK(minutes_of_all({down}) == 6.0);
    CHECK(minutes_of_all({of(Quantity::resistance)}) == 5.0);
    CHECK(minutes_of_all({of(Quantity::signal)}) == 5.0);
    CHECK(minutes_of_all({with_weight(of(Quantity::signal), 0.0)}) == 9.0);
    CHECK(minutes_of_all({of(Quantity::excitation)}) == 3.0);
    CHECK(minutes_of_all({look(Look::terminals, 0)}) == 3.0);
    CHECK(minutes_of_all({look(Look::load_arrow, 0)}) == 8.0);
    CHECK(minutes_of_all({look(Look::end_gap, 0)}) == 2.0);
}

TEST_CASE("What stands ready is not paid for twice", "[field]") {
    const Reading in = of(Quantity::resistance, 2);
    Reading out = in;
    out.between_a = Wire::signal_plus;
    out.between_b = Wire::signal_minus;
    CHECK(minutes_of_all({in, out}) == 6.0);
    CHECK(minutes_of_all({in, of(Quantity::signal, 2), with_weight(of(Quantity::signal, 2), 3.0)}) == 11.0);
    CHECK(minutes_of_all({in, of(Quantity::resistance, 3)}) == 8.0);
    // A weight is the whole scale's: the wires have to be landed for it, and lifted again.
    CHECK(minutes_of_all({in, with_weight(of(Quantity::weight), 3.0), in}) == 12.0);
    CHECK(minutes_of_all({look(Look::load_arrow, 1), look(Look::gap_at_support, 1)}) == 9.0);
    CHECK(minutes_of_all({look(Look::load_arrow, 1), in, look(Look::gap_at_support, 1)}) == 21.0);
    CHECK(minutes_of_all({with_weight(of(Quantity::weight), 3.0), with_weight(of(Quantity::weight), 3.0)}) ==
          5.0);
}

TEST_CASE("Every kind of work counts, and more of it never costs less", "[field]") {
    tests::Draw draw(11);
    const std::vector<Reading> order = textbook_order(stiff_eight());
    double CheckMinutes::*const kinds[] = {&CheckMinutes::move_weight, &CheckMinutes::come_down,
                                           &CheckMinutes::open_box,    &CheckMinutes::lift_wires,
                                           &CheckMinutes::read,        &CheckMinutes::at_indicator,
                                           &CheckMinutes::look_at_end, &CheckMinutes::look_under_deck,
                                           &CheckMinutes::jacking};
    const double usual = minutes_of_all(order);
    for (double CheckMinutes::*const kind : kinds) {
        CheckMinutes slower;
        slower.*kind += draw.uniform(0.5, 20.0);
        CHECK(minutes_of_all(order, slower) > usual);
    }
}

TEST_CASE("A deck is jacked up once for all that is seen at a support", "[field]") {
    CheckMinutes minutes;
    minutes.jacking = 30.0;
    CHECK(minutes_of_all({look(Look::gap_at_support, 1), look(Look::load_arrow, 1)}, minutes) == 39.0);
    CHECK(minutes_of_all({look(Look::gap_at_support, 1), look(Look::gap_at_support, 2)}, minutes) == 76.0);
    CHECK(minutes_of_all({look(Look::end_gap, 0), look(Look::terminals, 1)}, minutes) == 5.0);
}

TEST_CASE("The textbook asks for nothing twice", "[field]") {
    for (const scale::Description& d : {stiff_eight(), per_cell_eight()}) {
        const std::vector<Reading> order = textbook_order(d);
        for (std::size_t i = 0; i < order.size(); ++i) {
            for (std::size_t j = 0; j < i; ++j) {
                const Reading& a = order[i];
                const Reading& b = order[j];
                const bool same =
                    a.quantity == b.quantity && a.cell == b.cell && a.look == b.look && a.place == b.place &&
                    a.between_a == b.between_a && a.between_b == b.between_b && a.direction == b.direction &&
                    a.load.count == b.load.count && a.load.standing[0].x_m == b.load.standing[0].x_m &&
                    a.load.standing[0].y_m == b.load.standing[0].y_m;
                CAPTURE(i, j);
                CHECK_FALSE(same);
            }
        }
    }
}
