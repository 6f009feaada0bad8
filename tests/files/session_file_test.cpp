#include "sim/files/session_file.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <string>

#include "tests/files/error_matchers.h"
#include "tests/files/loaded_check.h"
#include "tests/files/scale_text.h"
#include "tests/random_scale.h"

using namespace cornerbench;
using namespace cornerbench::files;
using namespace cornerbench::files::testing;

namespace {

ScaleFile small_scale() {
    const auto loaded = parse_scale(ScaleText::small().text(), "scale.toml");
    REQUIRE(loaded);
    return *loaded.value;
}

Loaded<Vehicle> truck(const std::string& name) {
    return parse_vehicle("name = \"" + name +
                             "\"\nunit = \"kg\"\n[[axle]]\nmass = 4000\n[[axle]]\nmass = 6000\n"
                             "spacing_m = 3.5\n",
                         name + ".toml");
}

Loaded<SessionFile> session(const std::string& steps) {
    return parse_session("name = \"s\"\n" + steps, "s.toml", small_scale(), {nullptr, truck});
}

}  // namespace

TEST_CASE("A session holds its steps in order, with what each of them says") {
    const auto loaded = session(
        "[surroundings]\ntemperature_C = -5\nwind_m_per_s = 7\n"
        "[[step]]\ndo = \"drive on\"\nvehicle = \"tipper\"\nspeed_km_h = 18\nheading = "
        "\"left\"\nfront_axle_m = "
        "2.5\n"
        "[[step]]\ndo = \"settle\"\n"
        "[[step]]\ndo = \"put\"\nload = { mass = 500, over = 3 }\n"
        "[[step]]\ndo = \"corner round\"\nmass = 2000\n"
        "[[step]]\ndo = \"power cut\"\ns = 4\n"
        "[[step]]\ndo = \"press\"\nkey = \"tare\"\n"
        "[[step]]\ndo = \"cause\"\nwith = \"upside-down cell=1\"\ngrows_s = 3\non_s = 4\noff_s = 5\n"
        "irregular = true\nwander = 0.5\n"
        "[[step]]\ndo = \"converter fault\"\nfault = \"stuck\"\ns = 2\n"
        "[[step]]\ndo = \"drive off\"\n"
        "[[step]]\ndo = \"trucks\"\ncount = 200\nvehicles = [\"a\", \"b\"]\napart_s = 90\n");
    INFO(to_string(loaded.errors));
    REQUIRE(loaded);
    const SessionFile& s = *loaded.value;
    CHECK(s.surroundings.temperature_C == -5.0);
    CHECK(s.surroundings.wind_m_per_s == 7.0);
    REQUIRE(s.steps.size() == 10);
    CHECK(s.steps[0].deed == Deed::drive_on);
    CHECK(s.steps[0].line == 6);
    CHECK(s.steps[0].vehicles.at(0).name == "tipper");
    CHECK(s.steps[0].speed_m_per_s == Approx(5.0));
    CHECK_FALSE(s.steps[0].heads_right);
    CHECK(s.steps[0].front_axle_m == 2.5);
    CHECK(s.steps[1].seconds == 60.0);
    CHECK(s.steps[2].load.load.total_kg() == Approx(500.0));
    CHECK(s.steps[3].mass_kg == Approx(2000.0));
    CHECK(s.steps[4].seconds == 4.0);
    CHECK(s.steps[5].key == 1);
    CHECK(s.steps[6].cause_words == "upside-down cell=1");
    CHECK(s.steps[6].line == 27);  // of `with`
    CHECK(s.steps[6].grows_s == 3.0);
    CHECK(s.steps[6].on_s == 4.0);
    CHECK(s.steps[6].off_s == 5.0);
    CHECK(s.steps[6].irregular);
    CHECK(s.steps[6].wander == 0.5);
    CHECK(converter_fault_words[s.steps[7].converter_fault] == "stuck");
    CHECK(s.steps[9].count == 200);
    CHECK(s.steps[9].vehicles.size() == 2);
}

TEST_CASE("All errors of a session are reported at once, each at its line") {
    const auto loaded = session(
        "[surroundings]\ntemprature_C = 5\nwind_m_per_s = -1\n"
        "[[step]]\ndo = \"drive of\"\n"
        "[[step]]\ndo = \"wait\"\n"
        "[[step]]\ndo = \"put\"\nload = { mass = 500, over = 9 }\n"
        "[[step]]\ndo = \"press\"\nkey = \"zreo\"\ns = 3\n"
        "[[step]]\ndo = \"corner round\"\nmass = 1e9\n"
        "[[step]]\nspeed_km_h = 4\n");
    INFO(to_string(loaded.errors));
    const Expected expected[] = {
        {ErrorKind::unknown_key, 3, "temprature_C", "nearest is temperature_C"},
        {ErrorKind::out_of_range, 4, "wind_m_per_s", "at least 0"},
        {ErrorKind::out_of_range, 6, "#1 do", "\"drive off\""},
        {ErrorKind::missing_key, 7, "#2 s", "at least 0.01"},
        {ErrorKind::out_of_range, 11, "over", "at least 1 and at most 4"},
        {ErrorKind::out_of_range, 14, "#4 key", "\"zero\""},
        {ErrorKind::unknown_key, 15, "#4 s", ""},
        {ErrorKind::out_of_range, 18, "#5 mass", "at most 20 000"},
        {ErrorKind::missing_key, 19, "#6 do", "\"wait\""},
    };
    for (const Expected& one : expected) {
        INFO(one.key);
        CHECK(count_of(loaded.errors, one) == 1);
    }
    CHECK(loaded.errors.size() == std::size(expected));
}

TEST_CASE("A step that cannot be done after those before it is refused at its line") {
    const std::string on = "[[step]]\ndo = \"drive on\"\nvehicle = \"a\"\n";
    const std::string off = "[[step]]\ndo = \"drive off\"\n";
    const std::string put = "[[step]]\ndo = \"put\"\nload = { mass = 500, over = 3 }\n";
    const std::string take = "[[step]]\ndo = \"take off\"\n";
    const std::string round = "[[step]]\ndo = \"corner round\"\nmass = 500\n";
    const std::string trucks = "[[step]]\ndo = \"trucks\"\ncount = 2\nvehicles = [\"a\"]\n";
    for (const std::string& possible : {on + off + on + off, put + put + take + put + take,
                                        on + put + take + off, on + off + trucks, trucks + on, put + round}) {
        const auto loaded = session(possible);
        INFO(possible << to_string(loaded.errors));
        CHECK(loaded);
    }
    const struct {
        std::string steps;
        Expected error;
    } impossible[] = {
        {off, {ErrorKind::impossible, 3, "#1 do", "\"drive on\" first"}},
        {on + off + off, {ErrorKind::impossible, 8, "#3 do", "\"drive on\" first"}},
        {on + on, {ErrorKind::impossible, 6, "#2 do", "vehicle of line 3"}},
        {on + trucks, {ErrorKind::impossible, 6, "#2 do", "vehicle of line 3"}},
        {trucks + off, {ErrorKind::impossible, 7, "#2 do", "\"drive on\" first"}},
        {take, {ErrorKind::impossible, 3, "#1 do", "\"put\" first"}},
        {put + take + take, {ErrorKind::impossible, 8, "#3 do", "\"put\" first"}},
        {put + round + take, {ErrorKind::impossible, 9, "#3 do", "\"put\" first"}},
    };
    for (const auto& one : impossible) {
        const auto loaded = session(one.steps);
        INFO(one.steps << to_string(loaded.errors));
        CHECK(count_of(loaded.errors, one.error) == 1);
        CHECK(loaded.errors.size() == 1);
    }
}

TEST_CASE("A cause that comes and goes needs both its times") {
    const std::string cause = "[[step]]\ndo = \"cause\"\nwith = \"upside-down cell=1\"\n";
    CHECK(session(cause + "on_s = 3\noff_s = 4\n"));
    const struct {
        std::string keys;
        Expected error;
    } wrong[] = {
        {"on_s = 3\n", {ErrorKind::missing_key, 2, "#1 off_s", "at least 0.01"}},
        {"off_s = 3\n", {ErrorKind::missing_key, 2, "#1 on_s", "at least 0.01"}},
        {"irregular = true\n", {ErrorKind::impossible, 5, "#1 irregular", "on_s and off_s"}},
        {"wander = 9\n", {ErrorKind::out_of_range, 5, "#1 wander", "at most 3"}},
    };
    for (const auto& one : wrong) {
        const auto loaded = session(cause + one.keys);
        INFO(one.keys << to_string(loaded.errors));
        CHECK(count_of(loaded.errors, one.error) == 1);
        CHECK(loaded.errors.size() == 1);
    }
}

TEST_CASE("Another kind of file is named for what it is, and a session elsewhere too") {
    const auto sheet = parse_session("zeroed = \"now\"\n", "x.toml", small_scale(), {nullptr, truck});
    REQUIRE(sheet.errors.size() == 1);
    CHECK(to_string(sheet.errors).find("sheet of readings") != std::string::npos);
    const auto as_scale = parse_scale("name = \"s\"\n[[step]]\ndo = \"print\"\n", "x.toml");
    CHECK(to_string(as_scale.errors).find("a session") != std::string::npos);
}

TEST_CASE("A session with a byte or a line changed is read or refused, never more") {
    const std::string text =
        "name = \"s\"\n[surroundings]\nstart_h = 7\n[[step]]\ndo = \"put\"\nload = { mass = 500, over = 3 }\n"
        "[[step]]\ndo = \"trucks\"\ncount = 2\nvehicles = [\"a\"]\n[[step]]\ndo = \"print\"\n";
    const ScaleFile scale = small_scale();
    tests::Draw draw(1);
    for (int i = 0; i < 3000; ++i) {
        std::string changed = text;
        for (int k = 0; k < 1 + i % 3; ++k) {
            const int place = draw.integer(0, static_cast<int>(changed.size()) - 1);
            changed[static_cast<std::size_t>(place)] = static_cast<char>(draw.integer(0, 127));
        }
        const auto loaded = parse_session(changed, "s.toml", scale, {nullptr, truck});
        INFO(changed);
        REQUIRE(error_violation(loaded, changed).empty());
    }
}

TEST_CASE("Every shipped session is read for the scale it names") {
    const std::filesystem::path root = CORNERBENCH_SOURCE_DIR;
    const auto scale = load_scale((root / "configs/scales/quarry-8.toml").string());
    REQUIRE(scale);
    int count = 0;
    for (const auto& entry : std::filesystem::directory_iterator(root / "configs/sessions")) {
        const auto loaded = load_session(entry.path().string(), *scale.value);
        INFO(to_string(loaded.errors));
        CHECK(loaded);
        ++count;
    }
    CHECK(count >= 2);
}

TEST_CASE("Every key that a session may have stands in its documentation") {
    const std::string text = session_keys_text();
    for (const PlainKey& key : session_keys()) CHECK(text.find(std::string(key.name)) != std::string::npos);
    for (const std::string_view deed : deed_words) CHECK(text.find(std::string(deed)) != std::string::npos);
}
