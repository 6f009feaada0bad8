#include "sim/live/rtu_port.h"

#include <fcntl.h>
#include <pty.h>
#include <termios.h>

#include <catch2/catch.hpp>
#include <optional>

#include "sim/live/host_refusal.h"
#include "tests/hal/recorded_rigs.h"
#include "tests/live/outside_clients.h"

using namespace cornerbench;
using namespace cornerbench::live;
using namespace cornerbench::live::testing;

// Frames and silence: Modbus over Serial Line V1.02, 2.5.1.1 (from memory).

namespace {

using Bytes = std::vector<std::uint8_t>;

Bytes with_crc(Bytes bytes) {
    const std::uint16_t crc = console::crc16_modbus(bytes);
    bytes.push_back(static_cast<std::uint8_t>(crc & 0xFF));
    bytes.push_back(static_cast<std::uint8_t>(crc >> 8));
    return bytes;
}

/// A box, its line and a client on it, with the time in the test's hand.
struct Wire {
    LiveBench bench{"quarry-8"};
    RtuPort port{RtuSetting{.device = "pty", .baud = 9600}};
    Descriptor client{::open(port.path().c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC)};
    std::int64_t now_us = 1'000'000;
    std::optional<virtual_scale::ClientRegisters> registers;

    Wire() {
        bench.pass(1.0);
        registers.emplace(bench.yard().scale());
        look(0);
    }
    void look(std::int64_t later_us) {
        now_us += later_us;
        port.serve(now_us, &*registers);
    }
    void send(const Bytes& bytes) const {
        REQUIRE(::write(client.get(), bytes.data(), bytes.size()) == static_cast<ssize_t>(bytes.size()));
    }
    Bytes answer() const {
        Bytes bytes(300);
        const ssize_t got = ::read(client.get(), bytes.data(), bytes.size());
        bytes.resize(got > 0 ? static_cast<std::size_t>(got) : 0);
        return bytes;
    }
};

const Bytes ask_two = with_crc({1, 3, 0, 0, 0, 2});
const Bytes first_half(ask_two.begin(), ask_two.begin() + 4);
const Bytes second_half(ask_two.begin() + 4, ask_two.end());
/// 3.5 characters of 11 bits at 9600 baud.
constexpr std::int64_t silence_us = 4010;

}  // namespace

TEST_CASE("a frame on a serial line ends with 3.5 characters of silence, and is answered then", "[live]") {
    Wire wire;
    wire.send(ask_two);
    wire.look(100);
    CHECK(wire.answer().empty());
    CHECK(wire.port.wait_us(wire.now_us, 10'000) <= silence_us);
    wire.look(silence_us - 10);
    CHECK(wire.answer().empty());
    wire.look(10);
    const Bytes answer = wire.answer();
    REQUIRE(answer.size() == 9);
    CHECK(answer[0] == 1);
    CHECK(answer[1] == 3);
    CHECK(answer[2] == 4);
    CHECK(with_crc({answer.begin(), answer.end() - 2}) == answer);
    CHECK(wire.port.answered() == 1);
    CHECK(wire.port.wait_us(wire.now_us, 10'000) == 10'000);
}

TEST_CASE("a frame with a silence in it is two, and neither is answered", "[live]") {
    Wire wire;
    wire.send(first_half);
    wire.look(100);
    wire.look(silence_us);
    wire.send(second_half);
    wire.look(100);
    wire.look(silence_us + 10);
    CHECK(wire.answer().empty());
    // And the next one is read as if nothing had happened.
    wire.send(ask_two);
    wire.look(100);
    wire.look(silence_us + 10);
    CHECK(wire.answer().size() == 9);
}

TEST_CASE("a silence in which nobody listened is none", "[live]") {
    Wire wire;
    wire.send(first_half);
    wire.look(100);
    wire.send(second_half);
    // The yard was worked on for longer than a silence; the rest has waited meanwhile.
    wire.look(50'000);
    CHECK(wire.answer().empty());
    wire.look(silence_us + 10);
    CHECK(wire.answer().size() == 9);
}

TEST_CASE("damaged frames, those for others and a box without power are answered with silence", "[live]") {
    Wire wire;
    Bytes damaged = ask_two;
    damaged[3] = 1;
    for (const Bytes& frame :
         {damaged, with_crc({2, 3, 0, 0, 0, 2}), with_crc({0, 3, 0, 0, 0, 2}), Bytes(600, 1)}) {
        wire.send(frame);
        for (int i = 0; i < 5; ++i) wire.look(100);
        wire.look(silence_us + 10);
        CHECK(wire.answer().empty());
    }
    wire.send(ask_two);
    wire.port.serve(wire.now_us += 100, nullptr);
    wire.port.serve(wire.now_us += silence_us, nullptr);
    CHECK(wire.answer().empty());
    CHECK(wire.port.answered() == 0);
}

TEST_CASE("an answer that nobody has read is not there for the next who asks", "[live]") {
    Wire wire;
    for (int i = 0; i < 3; ++i) {
        wire.send(ask_two);
        wire.look(100);
        wire.look(silence_us);
    }
    CHECK(wire.port.answered() == 3);
    CHECK(wire.answer().size() == 9);
}

TEST_CASE("what is no serial device is refused with what would be valid", "[live]") {
    const auto refused = [](const std::string& device) {
        try {
            const RtuPort port(RtuSetting{.device = device});
            return std::string();
        } catch (const HostRefusal& refusal) {
            return std::string(refusal.what());
        }
    };
    for (const char* device : {"/dev/null", "/nowhere/ttyS9", "/tmp"}) {
        INFO(device);
        CHECK(refused(device).find("valid: a serial device such as /dev/ttyUSB0, or pty") !=
              std::string::npos);
    }
    const std::string scale = shipped_scale("sawmill-4");
    CHECK(cli::ask({"live", scale, "--rtu", "pty", "--rtu-baud", "12345"}).code == 2);
    CHECK(cli::ask({"live", scale, "--rtu", "pty", "--rtu-address", "248"}).code == 2);
    CHECK(cli::ask({"live", scale, "--rtu", "pty", "--rtu-parity", "mark"}).code == 2);
}

TEST_CASE("a device is set as asked, and is nobody else's meanwhile", "[live]") {
    // The far end of another pseudo-terminal stands for a serial device.
    int master = -1;
    int slave = -1;
    std::array<char, 128> name{};
    REQUIRE(openpty(&master, &slave, name.data(), nullptr, nullptr) == 0);
    const Descriptor far_end(master);
    Descriptor device(slave);
    const RtuPort port(RtuSetting{.device = name.data(), .baud = 9600, .parity = Parity::odd});
    termios now{};
    REQUIRE(tcgetattr(device.get(), &now) == 0);
    CHECK(cfgetospeed(&now) == B9600);
    CHECK((now.c_lflag & (ICANON | ECHO | ISIG)) == 0);
    CHECK(port.path() == name.data());
}

TEST_CASE("mbpoll reads and writes the same over a serial line as over TCP", "[live]") {
    if (missing("mbpoll")) return;
    LiveBench bench("quarry-8", 20.0, 1, nullptr, {.device = "pty"});
    bench.pass(2.0);
    const Mbpoll over_rtu{bench};
    REQUIRE(over_rtu.where().starts_with("/dev/pts/"));
    const auto values = over_rtu.read("4", 0, 16);
    CHECK(values.size() == 16);
    CHECK(values.at(1) == 1);
    CHECK(bench.live().rtu_answered() >= 1);
    // A preset tare, REGISTERS.md; then the key that clears it.
    const auto register_of = [&](int address) { return over_rtu.read("4", address, 1).at(address); };
    CHECK(register_of(0) == values.at(0));
    const Ended refused = over_rtu.run({"-t", "4", "-r", "60000", over_rtu.where()});
    CHECK(refused.says("Illegal data address"));
    CHECK(bench.live().rtu_answered() >= 3);
}

TEST_CASE("what a client on a serial line asks stands in the recording", "[live]") {
    hal::StringSink kept;
    LiveBench bench("sawmill-4", 20.0, 1, &kept, {.device = "pty"});
    bench.pass(1.0);
    const Descriptor client(
        ::open(bench.live().rtu_path().c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC));
    REQUIRE(::write(client.get(), ask_two.data(), ask_two.size()) == static_cast<ssize_t>(ask_two.size()));
    REQUIRE(bench.pump([&] { return bench.live().rtu_answered() == 1; }));
    bench.pass(0.1);
    (void)bench.yard().scale().end_recording();
    CHECK(kept.text.find("read 0 2") != std::string::npos);
}
