#include <catch2/catch.hpp>

#include <algorithm>
#include <array>
#include <cmath>

#include "firmware/circuit/box.h"
#include "firmware/circuit/lifted_cell.h"
#include "firmware/diagnosis/ratio_curve.h"
#include "tests/random_scale.h"

using namespace cornerbench;
using diagnosis::RatioCurve;

TEST_CASE("A curve through five values gives back any polynomial of degree four", "[diagnosis]") {
    const auto polynomial = [](double x) {
        const double t = 1.0e3 * x;
        return std::array{3.0 - 2.0 * t + 0.5 * t * t - 0.25 * t * t * t + 0.125 * t * t * t * t};
    };
    const RatioCurve<1> curve(polynomial);
    for (int i = -40; i <= 40; ++i) {
        const double ratio = 1.0e-4 * i;
        CHECK(curve.at(ratio)[0] == Approx(polynomial(ratio)[0]).epsilon(1e-12).margin(1e-12));
    }
    CHECK(RatioCurve<1>::reaches(-RatioCurve<1>::reach));
    CHECK_FALSE(RatioCurve<1>::reaches(1.01 * RatioCurve<1>::reach));
}

TEST_CASE("A sound cell's ports and lifted signal run along their curves", "[diagnosis][property]") {
    tests::Draw draw(20260714);
    double ports_off = 0.0;   // parts of the cell's largest conductance
    double signal_off = 0.0;  // V/V
    for (int trial = 0; trial < 200; ++trial) {
        const auto adjusting = static_cast<tests::Adjusting>(draw.integer(0, tests::adjusting_count - 1));
        const scale::Condition condition = scale::sound_condition(tests::random_description(draw, adjusting));
        const circuit::Box box(condition);
        const int p = draw.integer(0, condition.cell_count - 1);
        const circuit::LiftedCell lifted(condition.cells[condition.positions[p].cell]);
        const RatioCurve<circuit::port_pair_count> ports(
            [&](double ratio) { return box.ports(p, ratio).siemens; });
        const RatioCurve<1> signal([&](double ratio) { return std::array{lifted.signal_ratio(ratio)}; });
        for (int i = 0; i < 20; ++i) {
            const double ratio = RatioCurve<1>::reach * draw.around_zero();
            const auto exact = box.ports(p, ratio).siemens;
            const auto near = ports.at(ratio);
            const double most = *std::max_element(exact.begin(), exact.end());
            for (std::size_t k = 0; k < exact.size(); ++k)
                ports_off = std::max(ports_off, std::fabs(near[k] - exact[k]) / most);
            signal_off = std::max(signal_off, std::fabs(signal.at(ratio)[0] - lifted.signal_ratio(ratio)));
        }
    }
    CHECK(ports_off < 2.0e-13);
    CHECK(signal_off < 1.0e-13);
}
