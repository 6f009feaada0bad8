#include <catch2/catch.hpp>
#include <filesystem>

#include "sim/virtual_scale/indicator_settings.h"
#include "sim/virtual_scale/line_talk.h"
#include "tests/hal/recorded_rigs.h"
#include "tests/hal/sealed_text.h"
#include "tests/live/outside_clients.h"
#include "tests/live/tcp_client.h"
#include "tests/random_scale.h"
#include "tests/virtual_scale/replayed_text.h"

using namespace cornerbench;
using namespace cornerbench::live::testing;
using hal::ReplayState;

// That one firmware on the same inputs says the same follows from determinism: nothing outside the project
// states it. The clients are ones that nobody here has written, where they are installed.

namespace {

std::string replaced(std::string text, const std::string& from, const std::string& to) {
    const std::size_t at = text.find(from);
    REQUIRE(at != std::string::npos);
    return hal::sealed_anew(text.replace(at, from.size(), to));
}

/// Reads registers 0 to 2, as in MODBUS V1.1b3, 6.3 (from memory).
const std::string read_three{"\x00\x07\x00\x00\x00\x06\x01\x03\x00\x00\x00\x03", 12};

}  // namespace

TEST_CASE("a live run with keys and clients replays to the same state and the same answers", "[live]") {
    hal::StringSink recording;
    std::uint64_t hash = 0;
    {
        LiveBench bench("quarry-8", 100.0, 3, &recording);
        const auto keys = [&](const std::string& typed) {
            bench.live().controls().take(typed);
            bench.pass(0.5);
        };
        bench.yard().move_weight(2);
        bench.pass(4.0);
        keys("tpu");
        TcpClient console(bench.live().console_port());
        CHECK(ask(bench, console, "*IDN?") == identity());
        CHECK(ask(bench, console, "TARE:CLE;:MEAS?;:STAT:OPER:COND?") != "(none)");
        TcpClient modbus(bench.live().modbus_port());
        CHECK(exchange(bench, modbus, read_three, 15).size() == 15);
        keys("s");
        // What is stored is read and written through the memory's port, and *OPC? waits for it.
        CHECK(ask(bench, console, "CAL:POIN 8580 KG;POIN:COUN?;:UNIT T;*OPC?;:SYST:ERR?") ==
              "1;1;0,\"No error\"");
        if (!missing("lxi"))
            CHECK(Lxi{bench}.ask("MEAS?;:CAL:POIN:CLE;:SYST:ERR?").ends_with("0,\"No error\""));
        if (!missing("mbpoll")) {
            CHECK(Mbpoll{bench}.run({"-t", "0", "-r", "1", "127.0.0.1", "1"}).code == 0);
            CHECK(Mbpoll{bench}.run({"-t", "4", "-r", "513", "127.0.0.1", "1"}).code == 0);
        }
        // A client that is cut off, a box that starts anew under another, and a line that is no command.
        console.vanish();
        bench.pass(0.5);
        TcpClient other(bench.live().console_port());
        CHECK(ask(bench, other, "NONSENSE;:MEAS?\nSYST:ERR?").starts_with("-113,"));
        keys("3w");
        keys("o");
        keys("o");
        bench.pass(3.0);
        keys("r");
        REQUIRE(bench.pump([&] { return !bench.live().controls().walk().under_way(); }));
        TcpClient last(bench.live().console_port());
        CHECK(ask(bench, last, "CORN:CHEC?").starts_with("ALIKE"));
        hash = bench.indicator().state_hash();
        REQUIRE(bench.yard().scale().end_recording());
    }
    const virtual_scale::ReplayOutcome outcome = tests::replay_text(recording.text);
    INFO(outcome.recorded << "\n" << outcome.came);
    CHECK(outcome.state == ReplayState::finished);
    CHECK(outcome.state_hash == hash);
    CHECK(outcome.same());
    CHECK(outcome.power_ons == 2);

    SECTION("an answer that was another one shows as a difference") {
        const std::string other =
            replaced(recording.text, "cornerbench,indicator,0,", "cornerbench,indicator,1,");
        const virtual_scale::ReplayOutcome differs = tests::replay_text(other);
        CHECK(differs.state == ReplayState::different);
        CHECK(differs.recorded.find("cornerbench,indicator,1,") != std::string::npos);
        CHECK(differs.came.find("cornerbench,indicator,0,") != std::string::npos);
    }
    SECTION("a register that was another one shows as a difference") {
        const std::string other = replaced(recording.text, "\">0 1 1 0\"", "\">0 1 1 9\"");
        const virtual_scale::ReplayOutcome differs = tests::replay_text(other);
        CHECK(differs.state == ReplayState::different);
        CHECK(differs.came == "registers, read 0 3: >0 1 1 0");
    }
    SECTION("a client that was told something else is another run") {
        const std::string other = replaced(recording.text, "TARE:CLE;", "TARE    ;");
        CHECK_FALSE(tests::replay_text(other).same());
    }
    SECTION("a note that no client can have left is said to be impossible") {
        const std::string other = replaced(recording.text, "\">0 1 1 0\"", "\"?0 1 1 0\"");
        CHECK(tests::replay_text(other).state != ReplayState::finished);
    }
}

TEST_CASE("any bytes of clients are recorded and replay to the same state", "[live]") {
    for (const std::uint64_t seed : {1, 2, 3}) {
        INFO("seed " << seed);
        hal::StringSink recording;
        std::uint64_t hash = 0;
        {
            LiveBench bench("harbour-8", 100.0, seed, &recording);
            tests::Draw draw(seed);
            std::vector<std::unique_ptr<TcpClient>> clients;
            for (int i = 0; i < 60; ++i) {
                const bool modbus = draw.chance(0.3);
                if (clients.size() < 6)
                    clients.push_back(std::make_unique<TcpClient>(modbus ? bench.live().modbus_port()
                                                                         : bench.live().console_port()));
                TcpClient& client =
                    *clients[static_cast<std::size_t>(draw.integer(0, static_cast<int>(clients.size()) - 1))];
                const std::string words[] = {"MEAS?\n",         "TARE;:STAT:OPER?\n",     "*ESR?;*STB?\n",
                                             "UNIT LB;*OPC?\n", "ZERO\nSYST:ERR:COUN?\n", "MEA",
                                             read_three};
                if (draw.chance(0.8)) {
                    client.send(draw.one_of(words));
                } else {
                    std::string bytes;
                    for (int k = draw.integer(1, 300); k > 0; --k)
                        bytes += static_cast<char>(draw.integer(0, 255));
                    client.send(bytes);
                }
                if (draw.chance(0.1)) {
                    client.vanish();
                    std::erase_if(clients, [&](const auto& each) { return each.get() == &client; });
                }
                const std::string keys[] = {"z", "t", "c", "u", "p", "w", "s", "o"};
                if (draw.chance(0.3)) bench.live().controls().take(draw.one_of(keys));
                bench.pass(draw.chance(0.5) ? 0.01 : 0.5);
            }
            if (!bench.yard().powered()) bench.yard().switch_power();
            bench.pass(1.0);
            hash = bench.indicator().state_hash();
            REQUIRE(bench.yard().scale().end_recording());
        }
        const virtual_scale::ReplayOutcome outcome = tests::replay_text(recording.text);
        INFO(outcome.recorded << "\n" << outcome.came);
        CHECK(outcome.same());
        CHECK(outcome.state_hash == hash);
    }
}

TEST_CASE("live --record writes what replay repeats", "[live]") {
    const auto path = std::filesystem::temp_directory_path() / "cornerbench-live-record.recording";
    const std::string line =
        "printf 'z2wptcz' | '" CORNERBENCH_PROGRAM "' live '" + shipped_scale("quarry-8") +
        "' --console-port 0 --modbus-port 0 --no-serial --pace max --for 20 --force --record '" +
        path.string() + "' > /dev/null";
    CHECK(std::system(line.c_str()) == 0);
    const cli::Answer replayed = cli::ask({"replay", path.string()});
    CHECK(replayed.code == 0);
    CHECK(replayed.says("No difference"));
    CHECK(replayed.says("live, seed 1"));
    std::filesystem::remove(path);
}

TEST_CASE("a session's box says which program it is of, as a live one does", "[live]") {
    const files::ScaleFile file = cli::load_scale_or_stop(shipped_scale("quarry-8"));
    virtual_scale::VirtualScale scale(file.description, scale::sound_condition(file.description),
                                      virtual_scale::indicator_settings(file), 1,
                                      world::calm(file.description));
    CHECK(virtual_scale::ask(scale, "*IDN?") == identity());
}
