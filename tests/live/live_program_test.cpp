#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <regex>
#include <sstream>

#include "tests/cli/command_line.h"
#include "tests/live/running_program.h"
#include "tests/live/tcp_client.h"
#include "tests/live/terminal_model.h"

using namespace cornerbench;
using namespace cornerbench::live::testing;

namespace {

const std::string quarry = shipped_scale("quarry-8");
const std::vector<std::string> any_ports{"live", quarry, "--console-port", "0", "--modbus-port", "0"};

std::vector<std::string> with(std::vector<std::string> words) {
    words.insert(words.begin(), any_ports.begin(), any_ports.end());
    return words;
}

/// Output of the program with a shell line before and behind its name.
std::string output_of(const std::string& before, const std::string& arguments, int& code) {
    const std::string line = before + " '" CORNERBENCH_PROGRAM "' live '" + quarry +
                             "' --console-port 0 --modbus-port 0 " + arguments;
    std::string out;
    std::FILE* pipe = popen(line.c_str(), "r");
    REQUIRE(pipe != nullptr);
    char bytes[4096];
    for (std::size_t got = 0; (got = std::fread(bytes, 1, sizeof bytes, pipe)) > 0;) out.append(bytes, got);
    const int status = pclose(pipe);
    code = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
    return out;
}

}  // namespace

TEST_CASE("the panel comes up, works by keys, and leaves the terminal as it was", "[live]") {
    RunningProgram program(with({"--pace", "20"}));
    TerminalModel screen;
    const auto take = [&screen](std::string_view bytes) { screen.take(bytes); };
    const auto until = [&](const std::string& part) {
        const bool seen = program.follow(take, [&] { return screen.shows(part); });
        INFO(part << "\n" << screen.text());
        CHECK(seen);
    };
    until("stable, zero");
    until("Corner check  no round yet");
    until("q quit");
    CHECK(screen.other_screen());
    CHECK(screen.cursor_hidden());
    program.type("4w");
    until("> 4 W [");
    until("truly 8 580 kg");
    until("stable");
    program.type("fweak-output cell=4 ratio=0.9\r");
    until("fault: weak-output cell=4 ratio=0.9");
    until(" #####");
    program.type("wr");
    until("support 4: carries too little");
    CHECK(screen.coloured());
    program.type("q");
    REQUIRE(program.follow(take, [&] { return program.ended(); }));
    CHECK(program.code == 0);
    CHECK(program.as_before());
    INFO(screen.complaints());
    CHECK(screen.complaints().empty());
    CHECK(program.follow(take, [&] { return !screen.other_screen() && !screen.cursor_hidden(); }));
}

TEST_CASE("a terminal that is not read any more holds up nobody", "[live]") {
    RunningProgram program(with({"--pace", "100"}));
    TerminalModel screen;
    REQUIRE(program.follow([&screen](std::string_view bytes) { screen.take(bytes); },
                           [&] { return screen.shows("q quit"); }));
    const std::string text = screen.text();
    const std::string mark = "console 127.0.0.1:";
    const int port = std::stoi(text.substr(text.find(mark) + mark.size()));
    TcpClient client(port);
    // The clock on the panel alone fills what the system has room for.
    std::size_t unread = 0;
    for (int i = 0; i < 6000 && unread < 3500; ++i) {
        client.send("*OPC?\n");
        REQUIRE(program.follow([](std::string_view) {},
                               [&] { return client.came().find('\n') != std::string::npos; }, false));
        (void)client.take();
        std::this_thread::sleep_for(std::chrono::milliseconds(10));
        unread = program.unread();
    }
    CHECK(unread >= 3500);
    for (int i = 0; i < 100; ++i) {
        client.send("MEAS?\n");
        REQUIRE(program.follow([](std::string_view) {},
                               [&] { return client.came().find('\n') != std::string::npos; }, false));
        CHECK(client.take() == "0\n");
    }
    program.signal(SIGTERM);
    REQUIRE(program.follow([](std::string_view) {}, [&] { return program.ended(); }));
    CHECK(program.code == 0);
    CHECK(program.as_before());
}

TEST_CASE("Ctrl-C, SIGTERM, SIGHUP and the end of its time leave the terminal as it was", "[live]") {
    for (const std::string how : {"Ctrl-C", "SIGTERM", "SIGHUP", "SIGINT", "--for"}) {
        INFO(how);
        RunningProgram program(with(how == "--for" ? std::vector<std::string>{"--for", "1"}
                                                   : std::vector<std::string>{"--no-colour"}));
        TerminalModel screen;
        const auto take = [&screen](std::string_view bytes) { screen.take(bytes); };
        REQUIRE(program.follow(take, [&] { return screen.shows("q quit"); }));
        if (how == "Ctrl-C") program.type("\x03");
        if (how == "SIGTERM") program.signal(SIGTERM);
        if (how == "SIGHUP") program.signal(SIGHUP);
        if (how == "SIGINT") program.signal(SIGINT);
        REQUIRE(program.follow(take, [&] { return program.ended(); }));
        CHECK(program.code == 0);
        CHECK(program.as_before());
        CHECK(program.follow(take, [&] { return !screen.other_screen() && !screen.cursor_hidden(); }));
        if (how != "--for") CHECK_FALSE(screen.coloured());
    }
}

// A hung-up terminal fails every write with EIO and is ready for the next one (POSIX.1-2017, 11.1.10; from
// memory).
TEST_CASE("a terminal that goes away ends it, whether a signal tells of that or not", "[live]") {
    for (const bool told : {true, false}) {
        INFO((told ? "SIGHUP" : "SIGHUP ignored"));
        const auto before = std::signal(SIGHUP, told ? SIG_DFL : SIG_IGN);
        RunningProgram program(with({}));
        std::signal(SIGHUP, before);
        TerminalModel screen;
        REQUIRE(program.follow([&screen](std::string_view bytes) { screen.take(bytes); },
                               [&] { return screen.shows("q quit"); }));
        program.hang_up();
        REQUIRE(program.follow([](std::string_view) {}, [&] { return program.ended(); }, false));
        CHECK(program.code == 0);
    }
}

TEST_CASE("without a terminal it prints what happens, line by line", "[live]") {
    int code = -1;
    const std::string out = output_of("printf 3w |", "--pace max --for 8", code);
    INFO(out);
    CHECK(code == 0);
    CHECK(out.starts_with("console  127.0.0.1:"));
    CHECK(out.find("\nModbus   127.0.0.1:") != std::string::npos);
    CHECK(out.find("\nserial   /dev/") != std::string::npos);
    CHECK(out.find("8 580 kg put over support 3\n") != std::string::npos);
    // A specimen's corners differ by a division.
    CHECK(std::regex_search(out, std::regex("  8(56|58|60)0 kg\n")));
    CHECK(out.find("end; state hash ") != std::string::npos);
    CHECK(out.find('\x1b') == std::string::npos);
    std::istringstream lines(out);
    for (std::string line; std::getline(lines, line);) CHECK(line.size() <= 80);
}

TEST_CASE("one seed is one run when nobody is connected", "[live]") {
    const auto hash_of = [](const std::string& arguments) {
        int code = -1;
        const std::string out = output_of("", "--pace max --for 60 </dev/null " + arguments, code);
        const std::string mark = "state hash ";
        REQUIRE(out.find(mark) != std::string::npos);
        return out.substr(out.find(mark) + mark.size());
    };
    const std::string fault = " --with 'wet-leak cell=2 wires=S+,E- ohm=1e6'";
    CHECK(hash_of("--seed 4" + fault) == hash_of("--seed 4" + fault));
    CHECK(hash_of("--seed 4") != hash_of("--seed 5"));
    CHECK(hash_of("--seed 4") != hash_of("--seed 4" + fault));
}

TEST_CASE("with --json one line tells a script where everything is", "[live]") {
    int code = -1;
    const std::string out = output_of("", "--json --pace max --for 1", code);
    CHECK(code == 0);
    CHECK(std::count(out.begin(), out.end(), '\n') == 1);
    const auto document = nlohmann::json::parse(out);
    CHECK(document["schema"] == 1);
    CHECK(document["address"] == "127.0.0.1");
    CHECK(document["console_port"].get<int>() > 0);
    CHECK(document["modbus_port"].get<int>() > 0);
    CHECK(document["serial"].get<std::string>().starts_with("/dev/"));
    CHECK(nlohmann::json::parse(output_of("", "--json --no-serial --pace max --for 1", code))["serial"]
              .is_null());
}

TEST_CASE("what cannot be opened or makes no sense is said, with the code for it", "[live]") {
    using cli::ask;
    live::Listener taken("127.0.0.1", 0, "test");
    const std::string port = std::to_string(taken.port());
    for (const char* option : {"--console-port", "--modbus-port"}) {
        const std::string other = option == std::string("--modbus-port") ? "--console-port" : "--modbus-port";
        const cli::Answer answer = ask({"live", quarry, other, "0", "--for", "1", option, port});
        CHECK(answer.code == 4);
        CHECK(answer.complains("port " + port + " of 127.0.0.1 cannot be opened"));
        CHECK(answer.complains("0 for any free port"));
        const auto document = ask({"live", quarry, other, "0", "--for", "1", option, port, "--json"}).json();
        const std::string hint = document["error"]["hint"];
        CHECK(hint.find("disk") == std::string::npos);
        CHECK(hint.find("'cornerbench live --help'") != std::string::npos);
    }
    const std::vector<std::vector<std::string>> senseless{{"--pace", "0"},
                                                          {"--pace", "fast"},
                                                          {"--pace", "-1"},
                                                          {"--pace", "nan"},
                                                          {"--for", "0"},
                                                          {"--listen", "home"},
                                                          {"--console-port", "70000"},
                                                          {"--modbus-port", "-1"},
                                                          {"--with", "rubbing-x"},
                                                          {"--listen", ""}};
    for (const auto& words : senseless) {
        INFO(words[0] << " " << words[1]);
        CHECK(ask(with(words)).code == 2);
    }
    CHECK(ask(with({"--listen", "home"})).complains("no address; valid is a numeric one"));
    CHECK(ask({"live", "/nowhere.toml"}).code == 4);
    CHECK(ask(with({"--vehicle", "/nowhere.toml"})).code == 4);
    CHECK(ask(with({"--vehicle", quarry})).code == 3);
    CHECK(ask(with({"--vehicle", "tipper-3-axle", "--for", "0.5", "--pace", "max"})).code == 0);
    const cli::Answer unknown = ask(with({"--vehicle", "cart"}));
    CHECK(unknown.code == 4);
    CHECK(unknown.complains("one of: semitrailer-5-axle, tipper-3-axle"));
    CHECK(ask({"live", quarry, "--listen", "203.0.113.7", "--for", "1"}).code == 4);
}

TEST_CASE("only who asks for it is reachable from outside, and is told what that means", "[live]") {
    const cli::Answer inside = cli::ask(with({"--for", "0.5", "--pace", "max"}));
    CHECK(inside.code == 0);
    CHECK(inside.err.empty());
    CHECK(inside.says("console  127.0.0.1:"));
    const cli::Answer outside = cli::ask(with({"--for", "0.5", "--pace", "max", "--listen", "0.0.0.0"}));
    CHECK(outside.code == 0);
    CHECK(outside.complains("neither the console nor Modbus knows a password"));
    CHECK(live::is_loopback("127.0.0.5"));
    CHECK(live::is_loopback("::1"));
    CHECK_FALSE(live::is_loopback("0.0.0.0"));
    CHECK_FALSE(live::is_loopback("::"));
    CHECK_FALSE(live::is_loopback("localhost"));
}

TEST_CASE("without being told otherwise both ports are bound to this computer alone", "[live]") {
    LiveBench bench;
    // Linux: /proc/net/tcp has every local address as its bytes in host order and a port, state 0A is
    // listening (proc(5)).
    std::ifstream table("/proc/net/tcp");
    int found = 0;
    for (std::string line; std::getline(table, line);) {
        std::istringstream words(line);
        std::string number, local, remote, state;
        words >> number >> local >> remote >> state;
        const std::size_t colon = local.find(':');
        if (state != "0A" || colon == std::string::npos) continue;
        const int port = std::stoi(local.substr(colon + 1), nullptr, 16);
        if (port != bench.live().console_port() && port != bench.live().modbus_port()) continue;
        ++found;
        CHECK(local.substr(0, colon) == "0100007F");
    }
    CHECK(found == 2);
}
