#include "firmware/scale/limits.h"

#include <catch2/catch.hpp>

#include "sim/files/standard_file.h"

using namespace cornerbench;
using files::Stage;

namespace {

files::Standard shipped(const std::string& file) {
    const auto loaded =
        files::load_standard(std::string(CORNERBENCH_SOURCE_DIR) + "/configs/standards/" + file);
    REQUIRE(loaded);
    return *loaded.value;
}

struct Edge {
    double load;
    double limit;
};

}  // namespace

TEST_CASE("limits of OIML R 76 at every band edge", "[limits]") {
    // OIML R 76-1:2006 (E), 3.5.1, table 6 (initial verification) and 3.5.2 (in service: twice); an upper
    // bound belongs to the lower band.
    const files::Standard r76 = shipped("oiml-r76.toml");
    const Edge iii[] = {{0, 0.5}, {500, 0.5}, {501, 1.0}, {2000, 1.0}, {2001, 1.5}, {10000, 1.5}};
    const Edge iiii[] = {{0, 0.5}, {50, 0.5}, {51, 1.0}, {200, 1.0}, {201, 1.5}, {1000, 1.5}};
    for (const Edge& e : iii) {
        INFO("III at " << e.load << " e");
        CHECK(r76.limit_divisions("III", Stage::verification, e.load) == e.limit);
        CHECK(r76.limit_divisions("III", Stage::service, e.load) == 2.0 * e.limit);
        CHECK(r76.limit_divisions("III", Stage::verification, -e.load) == e.limit);
    }
    for (const Edge& e : iiii) {
        INFO("IIII at " << e.load << " e");
        CHECK(r76.limit_divisions("IIII", Stage::verification, e.load) == e.limit);
        CHECK(r76.limit_divisions("IIII", Stage::service, e.load) == 2.0 * e.limit);
    }
    CHECK(r76.limit_divisions("III L", Stage::service, 100.0) == 0.0);
}

TEST_CASE("a 60 t scale by 20 kg has the limits of its class in kilograms", "[limits]") {
    // The same table worked out for e = 20 kg.
    const files::Standard r76 = shipped("oiml-r76.toml");
    const Edge kg[] = {{10000, 10}, {10020, 20}, {40000, 20}, {40020, 30}, {60000, 30}};
    for (const Edge& e : kg) {
        INFO(e.load << " kg");
        CHECK(20.0 * r76.limit_divisions("III", Stage::verification, e.load / 20.0) == e.limit);
    }
}

TEST_CASE("tolerances of NIST Handbook 44 at every band edge", "[limits]") {
    // NIST Handbook 44, 2.20 Scales, table 6, maintenance; acceptance is half of it (from memory, edition not
    // confirmed).
    const files::Standard h44 = shipped("nist-handbook-44.toml");
    const Edge iii[] = {{0, 1}, {500, 1}, {501, 2}, {2000, 2}, {2001, 3}, {4000, 3}, {4001, 5}, {10000, 5}};
    const Edge iii_l[] = {{0, 1},    {500, 1},  {501, 2},  {1000, 2},  {1001, 3},
                          {1500, 3}, {1501, 4}, {4500, 9}, {4501, 10}, {10000, 20}};
    for (const Edge& e : iii) {
        INFO("III at " << e.load << " d");
        CHECK(h44.limit_divisions("III", Stage::service, e.load) == e.limit);
        CHECK(h44.limit_divisions("III", Stage::verification, e.load) == 0.5 * e.limit);
    }
    for (const Edge& e : iii_l) {
        INFO("III L at " << e.load << " d");
        CHECK(h44.limit_divisions("III L", Stage::service, e.load) == e.limit);
        CHECK(h44.limit_divisions("III L", Stage::verification, e.load) == 0.5 * e.limit);
    }
}

TEST_CASE("loads of a corner test follow the standard's rule", "[limits]") {
    // OIML R 76-1:2006 (E), 3.6.2.1 and 3.6.2.2, without additive tare.
    const auto r76 = shipped("oiml-r76.toml").corner_rule;
    CHECK(scale::corner_test_kg(r76, 60000.0, 8) == Approx(8571.43).margin(0.01));
    CHECK(scale::corner_test_kg(r76, 60000.0, 6) == Approx(12000.0));
    CHECK(scale::corner_test_kg(r76, 60000.0, 4) == Approx(20000.0));
    // NIST Handbook 44, 2.20, minimum test load of a vehicle scale's shift test: 12.5 % of capacity (from
    // memory).
    const auto h44 = shipped("nist-handbook-44.toml").corner_rule;
    CHECK(scale::corner_test_kg(h44, 200000.0, 10) == Approx(25000.0));
}

TEST_CASE("a load on an edge stays in its band through the arithmetic of other units", "[limits]") {
    // 10 000 lb by 20 lb is 500 d, in kg as well (1 lb = 0.45359237 kg).
    const files::Standard h44 = shipped("nist-handbook-44.toml");
    const double pound = 0.45359237;
    CHECK(h44.limit_divisions("III L", Stage::service, (10000.0 * pound) / (20.0 * pound)) == 1.0);
    CHECK(h44.limit_divisions("III L", Stage::service, 500.0000001) == 1.0);
    CHECK(h44.limit_divisions("III L", Stage::service, 501.0) == 2.0);
}

TEST_CASE("an empty table allows nothing", "[limits]") {
    CHECK(scale::limit_divisions({}, 100.0) == 0.0);
}
