#include "sim/virtual_scale/replay.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "sim/field/corner_test.h"
#include "sim/virtual_scale/session_run.h"
#include "sim/virtual_scale/usual_session.h"
#include "tests/hal/recorded_rigs.h"
#include "tests/hal/sealed_text.h"
#include "tests/random_scale.h"
#include "tests/virtual_scale/replayed_text.h"

using namespace cornerbench;
using hal::ReplayState;
using tests::replay_text;

// That one firmware on the same inputs says the same follows from determinism: nothing outside the project
// states it.

namespace {

const std::filesystem::path root = CORNERBENCH_SOURCE_DIR;

std::string text_of(const std::filesystem::path& path) {
    std::ifstream file(path);
    std::stringstream text;
    text << file.rdbuf();
    return text.str();
}

struct Recorded {
    std::string text;
    std::uint64_t state_hash = 0;
};

/// A session of a shipped scale, recorded with its notes; the usual one without a name.
Recorded record(const std::string& name, const std::string& session_name = "", std::uint64_t seed = 1) {
    const auto path = root / "configs/scales" / (name + ".toml");
    const auto scale = files::load_scale(path.string());
    REQUIRE(scale);
    const auto standard = files::find_standard(scale.value->standard, path.string());
    REQUIRE(standard);
    files::SessionFile session = virtual_scale::usual_session(
        *scale.value, field::standard_test_kg(*standard.value, scale.value->description));
    if (!session_name.empty()) {
        const auto loaded = files::load_session(
            (root / "configs/sessions" / (session_name + ".toml")).string(), *scale.value);
        REQUIRE(loaded);
        session = *loaded.value;
    }
    hal::StringSink sink;
    virtual_scale::SessionSetting setting;
    setting.seed = seed;
    setting.recording = &sink;
    setting.notes = {{"scale", text_of(path)}};
    const auto record = virtual_scale::run_session(*scale.value, *standard.value, session, setting);
    CHECK(record.recorded_whole);
    setting.recording = nullptr;
    const auto again = virtual_scale::run_session(*scale.value, *standard.value, session, setting);
    CHECK(again.state_hash == record.state_hash);
    return {sink.text, record.state_hash};
}

/// The first lines, with an end that suits nobody.
std::string first_lines(const std::string& text, int lines) {
    std::size_t place = 0;
    for (int i = 0; i < lines && place != std::string::npos; ++i) place = text.find('\n', place + 1);
    return text.substr(0, place + 1);
}

}  // namespace

TEST_CASE("a recorded session replays without a difference, on every shipped scale", "[virtual]") {
    for (const char* name : {"depot-6", "elevator-10", "harbour-8", "quarry-8", "sawmill-4", "scrapyard-6"}) {
        INFO(name);
        const Recorded recorded = record(name);
        const virtual_scale::ReplayOutcome outcome = replay_text(recorded.text);
        INFO(outcome.recorded << " now " << outcome.came);
        CHECK(outcome.state == ReplayState::finished);
        CHECK(outcome.same());
        CHECK(outcome.state_hash == recorded.state_hash);
        CHECK(outcome.recorded_hash == recorded.state_hash);
        CHECK(outcome.power_ons == 1);
        CHECK(outcome.frames > 1000);
    }
}

TEST_CASE("a recording holds power cuts, faults and keys, byte for byte the same from one seed",
          "[virtual]") {
    const Recorded recorded = record("quarry-8", "quarry-morning", 3);
    CHECK(recorded.text == record("quarry-8", "quarry-morning", 3).text);
    CHECK(recorded.text != record("quarry-8", "quarry-morning", 4).text);
    const virtual_scale::ReplayOutcome outcome = replay_text(recorded.text);
    CHECK(outcome.same());
    CHECK(outcome.power_ons == 2);
    CHECK(outcome.seconds > 200.0);
}

TEST_CASE("another division is found where the panel first shows it, with the calls before", "[virtual]") {
    const Recorded recorded = record("quarry-8");
    hal::TextInMemory source(recorded.text);
    virtual_scale::Replay replay(source);
    IndicatorSettings settings = tests::settings_of_notes(replay.notes());
    settings.weigher.ranges.ranges[0].division_kg = 50.0;
    const virtual_scale::ReplayOutcome outcome = replay.run(settings);
    CHECK(outcome.state == ReplayState::different);
    CHECK_FALSE(outcome.same());
    CHECK(outcome.recorded.starts_with("Panel::show"));
    CHECK(outcome.came.starts_with("Panel::show"));
    CHECK(outcome.recorded != outcome.came);
    REQUIRE(outcome.before.size() == hal::ReplayedBoard::remembered_calls);
    CHECK(outcome.before.back().at_s == outcome.seconds);
    CHECK(outcome.before.back().words == "Supervisor::seal_open: open");
    for (std::size_t i = 1; i < outcome.before.size(); ++i)
        CHECK(outcome.before[i].at_s >= outcome.before[i - 1].at_s);
}

TEST_CASE("a state that no port showed is told apart by its hash", "[virtual]") {
    const Recorded recorded = record("sawmill-4");
    std::string text = recorded.text;
    const std::size_t end = text.rfind("\nend ");
    REQUIRE(end != std::string::npos);
    text.replace(text.find_last_of("0123456789", text.size() - 3), 1, "x");
    const std::size_t digit = text.rfind('x');
    text[digit] = recorded.text[digit] == '0' ? '1' : '0';
    const virtual_scale::ReplayOutcome outcome = replay_text(hal::sealed_anew(text));
    CHECK(outcome.state == ReplayState::finished);
    CHECK(outcome.hash_differs());
    CHECK_FALSE(outcome.same());
}

TEST_CASE("no damage to a recording makes its replay crash, hang or name a line that is not there",
          "[virtual]") {
    const std::string whole = first_lines(record("sawmill-4").text, 900);
    tests::Draw draw(4720);
    int far = 0;
    for (int turn = 0; turn < 400; ++turn) {
        std::string text = whole;
        for (int change = draw.integer(1, 4); change > 0; --change) {
            const auto place = static_cast<std::size_t>(draw.integer(0, static_cast<int>(text.size()) - 1));
            switch (draw.integer(0, 3)) {
                case 0:
                    text.erase(place, static_cast<std::size_t>(draw.integer(1, 40)));
                    break;
                case 1:
                    text.insert(place,
                                text.substr(text.size() / 2, static_cast<std::size_t>(draw.integer(0, 80))));
                    break;
                case 2:
                    text[place] = static_cast<char>(draw.integer(0, 255));
                    break;
                default:
                    text[place] = draw.one_of({'0', '1', '9', ' ', '-', '"', '=', '@', 'F', '!', 'n'});
            }
        }
        INFO("turn " << turn);
        CHECK(tests::replay_violation(text) == "");
        // With its seals made anew the damage gets as far as the firmware.
        const std::string sealed = hal::sealed_anew(text);
        CHECK(tests::replay_violation(sealed) == "");
        far += replay_text(sealed).steps > 10 ? 1 : 0;
    }
    CHECK(far > 50);
}
