#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <memory>

#include "tests/live/tcp_client.h"
#include "tests/random_scale.h"

using namespace cornerbench;
using namespace cornerbench::live::testing;

namespace {

std::string random_bytes(std::uint64_t seed, std::size_t count) {
    tests::Draw draw(seed);
    std::string bytes;
    for (std::size_t i = 0; i < count; ++i) bytes += static_cast<char>(draw.integer(0, 255));
    return bytes;
}

/// A request to read registers 0 to 2: a good frame, as long as its answer's 15 bytes are right.
const std::string read_three{"\x00\x07\x00\x00\x00\x06\x01\x03\x00\x00\x00\x03", 12};
const std::string three_read{"\x00\x07\x00\x00\x00\x09\x01\x03\x06\x00\x01\x00\x01\x00\x00", 15};

/// Sends all of it, pumping; stops when the bench has ended the connection.
void send_all(LiveBench& bench, TcpClient& client, std::string_view bytes) {
    bench.pump([&] {
        bytes.remove_prefix(client.send(bytes));
        return bytes.empty() || client.closed();
    });
}

/// The bench answers somebody new, on both ports.
void check_well(LiveBench& bench) {
    TcpClient console(bench.live().console_port());
    CHECK(ask(bench, console, "*IDN?") == identity());
    TcpClient modbus(bench.live().modbus_port());
    CHECK(exchange(bench, modbus, read_three, 15) == three_read);
}

}  // namespace

TEST_CASE("10 000 random bytes on the console are errors of the standard and change no calibration",
          "[live]") {
    for (const std::uint64_t seed : {1, 2, 3}) {
        INFO("seed " << seed);
        LiveBench bench;
        const storage::Record before = bench.calibration();
        TcpClient client(bench.live().console_port());
        send_all(bench, client, random_bytes(seed, 10'000) + "\n");
        CHECK(ask(bench, client, "*IDN?").find(identity()) != std::string::npos);
        // SCPI-99, 21.8: -100 to -199 are command errors; -363 input buffer overrun; -350 queue overflow
        // (from memory).
        int errors = 0;
        for (std::string error; (error = ask(bench, client, "SYST:ERR?")) != "0,\"No error\""; ++errors) {
            INFO(error);
            const int number = std::stoi(error);
            CHECK(((number <= -100 && number > -200) || number == -363 || number == -350));
            REQUIRE(errors < 100);
        }
        CHECK(errors == 16);
        check_well(bench);
        CHECK(bench.calibration() == before);
        CHECK(bench.indicator().calibration_changes() == 1);
    }
}

TEST_CASE("10 000 random bytes on the serial line are errors too", "[live]") {
    LiveBench bench;
    const storage::Record before = bench.calibration();
    const std::string bytes = random_bytes(9, 10'000) + "\n*CLS\n";
    live::Descriptor port(::open(bench.live().serial_path().c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK));
    REQUIRE(port.open());
    std::string_view rest = bytes;
    REQUIRE(bench.pump([&] {
        const ssize_t went = ::write(port.get(), rest.data(), rest.size());
        if (went > 0) rest.remove_prefix(static_cast<std::size_t>(went));
        return rest.empty();
    }));
    bench.pass(1.0);
    CHECK(::write(port.get(), "*IDN?\n", 6) == 6);
    std::string came;
    REQUIRE(bench.pump([&] {
        char byte = 0;
        while (::read(port.get(), &byte, 1) == 1) came += byte;
        return came.ends_with(identity() + "\n");
    }));
    CHECK(bench.calibration() == before);
}

TEST_CASE("random bytes on the Modbus port end that connection and no other", "[live]") {
    LiveBench bench;
    const storage::Record before = bench.calibration();
    TcpClient good(bench.live().modbus_port());
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        TcpClient client(bench.live().modbus_port());
        send_all(bench, client, random_bytes(seed, 10'000));
        REQUIRE(bench.pump([&] { return client.closed(); }));
        CHECK(exchange(bench, good, read_three, 15) == three_read);
    }
    CHECK(bench.calibration() == before);
    CHECK(bench.indicator().calibration_changes() == 1);
}

TEST_CASE("random requests in good frames are all answered, by values or by an exception", "[live]") {
    LiveBench bench;
    const storage::Record before = bench.calibration();
    TcpClient client(bench.live().modbus_port());
    tests::Draw draw(5);
    int exceptions = 0;
    for (int i = 0; i < 2000; ++i) {
        const int length = draw.integer(1, 40);
        std::string unit;
        const unsigned char functions[] = {1, 2, 3, 4, 5, 6, 15, 16, 22, 23, 43};
        unit += static_cast<char>(draw.chance(0.8) ? draw.one_of(functions) : draw.integer(0, 127));
        for (int k = 1; k < length; ++k)
            unit += static_cast<char>(draw.chance(0.6) ? 0 : draw.integer(0, 255));
        const std::string head{
            static_cast<char>(i >> 8), static_cast<char>(i), 0, 0, 0, static_cast<char>(length + 1), 1};
        const std::string answer = exchange(bench, client, head + unit, 9);
        REQUIRE(answer.size() >= 9);
        // The transaction comes back, and the function, with its highest bit set in an exception.
        CHECK(answer.substr(0, 2) == head.substr(0, 2));
        const auto function = static_cast<unsigned char>(answer[7]);
        CHECK((function & 0x7Fu) == static_cast<unsigned char>(unit[0]));
        if (function & 0x80u) {
            ++exceptions;
            CHECK(answer.size() == 9);
            const int code = answer[8];
            CHECK((code == 1 || code == 2 || code == 3 || code == 4 || code == 6));
        }
    }
    CHECK(exceptions > 500);
    CHECK(exceptions < 2000);
    CHECK(bench.calibration() == before);
    check_well(bench);
}

TEST_CASE("a console line that is too long or has a strange byte is dropped whole", "[live]") {
    LiveBench bench;
    TcpClient client(bench.live().console_port());
    CHECK(ask(bench, client, std::string(300, 'A') + "\n*IDN?") == identity());
    CHECK(ask(bench, client, "SYST:ERR?").starts_with("-363,"));
    CHECK(ask(bench, client, "ZERO\x01\n*IDN?") == identity());
    CHECK(ask(bench, client, "SYST:ERR?").starts_with("-101,"));
    CHECK(ask(bench, client, "NOSUCH\nSYST:ERR?").starts_with("-113,"));
    // Somebody else's errors are not one's own.
    TcpClient other(bench.live().console_port());
    client.send("NOSUCH\n");
    CHECK(ask(bench, other, "SYST:ERR?") == "0,\"No error\"");
}

TEST_CASE("who sends half of something and waits holds up nobody", "[live]") {
    LiveBench bench;
    TcpClient half_line(bench.live().console_port());
    half_line.send("MEAS");
    TcpClient half_frame(bench.live().modbus_port());
    half_frame.send(read_three.substr(0, 5));
    bench.pass(2.0);
    check_well(bench);
    CHECK(ask(bench, half_line, "?") == "0");
    CHECK(exchange(bench, half_frame, read_three.substr(5), 15) == three_read);
}

TEST_CASE("a frame cut into single bytes is one frame, two in one piece are two", "[live]") {
    LiveBench bench;
    TcpClient client(bench.live().modbus_port());
    for (const char byte : read_three) {
        CHECK(client.came().empty());
        client.send({&byte, 1});
        bench.live().turn();
    }
    REQUIRE(bench.pump([&] { return client.came().size() == 15; }));
    CHECK(client.take() == three_read);
    CHECK(exchange(bench, client, read_three + read_three, 30) == three_read + three_read);
}

TEST_CASE("a client that asks and never reads loses answers, and slows down nobody", "[live]") {
    LiveBench bench;
    TcpClient deaf(bench.live().console_port(), 2048);
    TcpClient deaf_master(bench.live().modbus_port(), 2048);
    std::string questions;
    for (int i = 0; i < 40; ++i) questions += "HELP:HEAD?\n";
    const std::string long_read{"\x00\x01\x00\x00\x00\x06\x01\x03\x00\x00\x00\x7D", 12};
    std::string requests;
    for (int i = 0; i < 100; ++i) requests += long_read;
    // Megabytes of answers: more than any buffer on the way holds.
    for (int i = 0; i < 200; ++i) {
        deaf.send(questions);
        deaf_master.send(requests);
        for (int k = 0; k < 10; ++k) bench.live().turn();
    }
    check_well(bench);
    // The one who listens again is told that something was lost.
    std::string error;
    for (int i = 0; i < 2000 && error.find("-430,\"Query DEADLOCKED") == std::string::npos; ++i) {
        (void)deaf.came();
        (void)deaf.take();
        error = ask(bench, deaf, "SYST:ERR?");
    }
    CHECK(error.find("-430") != std::string::npos);
    // Half an answer cannot be made good: who does not read what Modbus answers is dropped.
    CHECK(bench.pump([&] {
        deaf_master.send(requests);
        return bench.live().modbus_clients() == 0;
    }));
}

TEST_CASE("clients that vanish, leave or have said all are gone, and their answers with them", "[live]") {
    LiveBench bench;
    const int port = bench.live().console_port();
    TcpClient vanishing(port);
    TcpClient leaving(port);
    TcpClient finishing(port);
    CHECK(ask(bench, vanishing, "*OPC?") == "1");
    CHECK(ask(bench, leaving, "*OPC?") == "1");
    CHECK(ask(bench, finishing, "*OPC?") == "1");
    CHECK(bench.live().console_clients() == 3);
    vanishing.send("*IDN?\nHELP:HEAD?\nMEAS");
    vanishing.vanish();
    leaving.send("*IDN?\n");
    leaving.leave();
    finishing.send("*IDN?\nMEAS?\n");
    finishing.finish();
    REQUIRE(bench.pump([&] { return finishing.closed(); }));
    CHECK(finishing.take() == identity() + "\n0\n");
    REQUIRE(bench.pump([&] { return bench.live().console_clients() == 0; }));
    check_well(bench);
}

TEST_CASE("hundreds of silent clients keep nobody out", "[live]") {
    LiveBench bench;
    TcpClient busy(bench.live().console_port());
    CHECK(ask(bench, busy, "*OPC?") == "1");
    std::vector<std::unique_ptr<TcpClient>> silent;
    for (int i = 0; i < 200; ++i) {
        silent.push_back(std::make_unique<TcpClient>(bench.live().console_port()));
        silent.push_back(std::make_unique<TcpClient>(bench.live().modbus_port()));
        // Who has something to say is heard all the time, and stays.
        if (i % 8 == 0) CHECK(ask(bench, busy, "*OPC?") == "1");
    }
    check_well(bench);
    CHECK(ask(bench, busy, "MEAS?") == "0");
    // Two of those who asked have left again by now.
    for (const std::size_t clients : {bench.live().console_clients(), bench.live().modbus_clients()}) {
        CHECK(clients <= live::Server::most_clients);
        CHECK(clients >= live::Server::most_clients - 2);
    }
}

TEST_CASE("when the box's power goes, so do its connections, and the calibration is there again with it",
          "[live]") {
    LiveBench bench;
    const storage::Record before = bench.calibration();
    TcpClient console(bench.live().console_port());
    CHECK(ask(bench, console, "TARE:PRES 100;:MEAS:TARE?") == "100");
    TcpClient modbus(bench.live().modbus_port());
    CHECK(exchange(bench, modbus, read_three, 15).size() == 15);
    bench.yard().switch_power();
    REQUIRE(bench.pump([&] { return console.closed() && modbus.closed(); }));
    TcpClient early(bench.live().console_port());
    REQUIRE(bench.pump([&] { return early.closed(); }));
    bench.yard().switch_power();
    bench.pass(5.0);
    check_well(bench);
    CHECK(bench.calibration() == before);
    TcpClient again(bench.live().console_port());
    CHECK(ask(bench, again, "MEAS:TARE?") == "0");
}
