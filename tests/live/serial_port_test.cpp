#include <fcntl.h>
#include <unistd.h>

#include <catch2/catch.hpp>

#include "tests/live/live_bench.h"

using namespace cornerbench;
using namespace cornerbench::live::testing;

namespace {

/// Somebody at the other end of the serial line.
class User {
  public:
    explicit User(LiveBench& bench)
        : bench_(bench),
          port_(::open(bench.live().serial_path().c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC)) {
        REQUIRE(port_.open());
        REQUIRE(bench.pump([&] { return bench.live().serial_in_use(); }));
    }

    void send(const std::string& text) {
        REQUIRE(::write(port_.get(), text.data(), text.size()) == static_cast<ssize_t>(text.size()));
    }

    std::string line() {
        std::string came;
        bench_.pump([&] {
            char byte = 0;
            while (!came.ends_with('\n') && ::read(port_.get(), &byte, 1) == 1) came += byte;
            return came.ends_with('\n');
        });
        return came;
    }

  private:
    LiveBench& bench_;
    live::Descriptor port_;
};

}  // namespace

TEST_CASE("the serial line is the box's own, byte for byte", "[live]") {
    LiveBench bench;
    User user(bench);
    user.send("*IDN?;:MEAS?\r\n");
    // No echo, no CR put in: a raw line.
    CHECK(user.line() == identity() + ";0\n");
    user.send("UNIT T;:UNIT?\n");
    CHECK(user.line() == "T\n");
    bench.pass(1.0);
    CHECK(bench.indicator().readout().unit == scale::MassUnit::tonne);
}

TEST_CASE("who comes next on the serial line gets nothing that was meant for the one before", "[live]") {
    LiveBench bench;
    {
        User first(bench);
        first.send("*IDN?\nHELP:HEAD?\nMEAS");
        bench.pass(1.0);
    }
    REQUIRE(bench.pump([&] { return !bench.live().serial_in_use(); }));
    for (int i = 0; i < 3; ++i) {
        {
            User next(bench);
            next.send("*OPC?\n");
            CHECK(next.line() == "1\n");
        }
        REQUIRE(bench.pump([&] { return !bench.live().serial_in_use(); }));
    }
}

TEST_CASE("a line from somebody who leaves at once is carried out", "[live]") {
    LiveBench bench;
    {
        const live::Descriptor port(
            ::open(bench.live().serial_path().c_str(), O_WRONLY | O_NOCTTY | O_CLOEXEC));
        REQUIRE(port.open());
        REQUIRE(::write(port.get(), "TARE:PRES 500\n", 14) == 14);
    }
    REQUIRE(bench.pump([&] { return bench.indicator().readout().tare_kg == 500.0; }));
}
