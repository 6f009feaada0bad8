#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "hal/golden/compared_trace.h"
#include "hal/golden/golden_run.h"

using namespace cornerbench;

namespace fs = std::filesystem;

namespace {

const fs::path folder = fs::path(CORNERBENCH_SOURCE_DIR) / "hal" / "golden";

std::vector<std::string> names() {
    std::vector<std::string> found;
    for (const auto& entry : fs::directory_iterator(folder / "sessions"))
        found.push_back(entry.path().stem().string());
    std::sort(found.begin(), found.end());
    return found;
}

std::string text_of(const fs::path& path) {
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

struct Golden {
    explicit Golden(const std::string& name)
        : recording(text_of(folder / (name + ".recording"))),
          settings(text_of(folder / (name + ".settings"))),
          trace(text_of(folder / (name + ".trace"))) {}

    golden::ReplayEnd run(golden::ComparedTrace& compared) const {
        hal::TextInMemory source(recording);
        const std::vector<std::uint8_t> block(settings.begin(), settings.end());
        golden::TraceWish wish;
        wish.every = 50;
        return golden::run_replay({source, compared, block}, wish);
    }

    std::string recording;
    std::string settings;
    std::string trace;
};

}  // namespace

// What was recorded is all that is held here: the physics behind it is held elsewhere.
TEST_CASE("the firmware does what the golden traces say", "[hal]") {
    CHECK(names().size() >= 7);
    for (const std::string& name : names()) {
        const Golden golden(name);
        golden::ComparedTrace compared(golden.trace);
        const golden::ReplayEnd end = golden.run(compared);
        INFO(name << ", line " << compared.line() << " of the trace\n  expected: " << compared.expected()
                  << "\n  came:     " << compared.came()
                  << "\nIf that is what the firmware is meant to do from now on: hal/golden/make");
        CHECK(compared.same());
        CHECK(end == golden::ReplayEnd::same);
    }
}

TEST_CASE("every golden trace shows what it is for", "[hal]") {
    // By NoWeight's numbers, firmware/weighing/no_weight.h; the last field holds 1 where the weight is
    // stable.
    const auto shows = [](const std::string& name, const std::string& why) {
        std::istringstream lines(Golden(name).trace);
        std::string word;
        for (std::string line; std::getline(lines, line);) {
            std::istringstream fields(line);
            std::string step, time, hash, reason;
            fields >> word >> step >> time >> hash >> reason;
            if (word == "step" && reason == why) return true;
        }
        return false;
    };
    for (const std::string& name : names()) CHECK(shows(name, "0"));
    CHECK_FALSE(shows("healthy", "1"));
    CHECK(shows("excitation", "1"));
    CHECK(shows("dead-cell", "2"));
    CHECK(shows("wiring", "18"));
    CHECK(shows("converter", "2"));
    CHECK(shows("converter", "4"));
    CHECK(Golden("power-cut").trace.find("\nstart ") != std::string::npos);
    CHECK(Golden("healthy").trace.find("\nend finished ") != std::string::npos);
}

TEST_CASE("a trace that is another is found out, with the line", "[hal]") {
    const Golden golden("healthy");
    const auto first_difference = [&](const std::string& expected) {
        golden::ComparedTrace compared(expected);
        (void)golden.run(compared);
        CHECK_FALSE(compared.same());
        return compared.line();
    };
    const auto lines = static_cast<std::size_t>(std::count(golden.trace.begin(), golden.trace.end(), '\n'));
    const std::size_t third = golden.trace.find('\n', golden.trace.find('\n') + 1) + 1;
    std::string other = golden.trace;
    other[third + 6] = '9';
    CHECK(first_difference(other) == 3);
    CHECK(first_difference(golden.trace.substr(0, third)) == 3);
    CHECK(first_difference(golden.trace + "step 1\n") == lines + 1);
    CHECK(first_difference("") == 1);

    // One code of one frame: the seals of the recording show it, and the trace ends there.
    std::string damaged = golden.recording;
    damaged[damaged.size() / 2] = damaged[damaged.size() / 2] == '1' ? '2' : '1';
    Golden broken = golden;
    broken.recording = damaged;
    golden::ComparedTrace compared(golden.trace);
    CHECK(broken.run(compared) == golden::ReplayEnd::no_run);
    CHECK_FALSE(compared.same());
}
