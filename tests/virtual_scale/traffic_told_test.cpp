#include <bit>
#include <catch2/catch.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "firmware/console/register_map.h"
#include "sim/virtual_scale/indicator_settings.h"
#include "sim/virtual_scale/traffic.h"
#include "tests/console/conversation.h"
#include "tests/yard/shipped_yard.h"

// What the box has learnt from trucks is told over its lines and registers without a computer beside it.

using namespace cornerbench;

namespace {

watch::TrafficWatch watched(const char* scale, std::vector<scale::Fault> faults) {
    const tests::ShippedScale shipped(scale);
    virtual_scale::TrafficSetting setting;
    setting.trucks = 120;
    setting.sound_trucks = 80;
    setting.faults = std::move(faults);
    return virtual_scale::run_traffic(shipped.description(), virtual_scale::indicator_settings(shipped.file),
                                      setting)
        .traffic;
}

std::vector<std::string> fields(const std::string& answer) {
    std::vector<std::string> out;
    std::istringstream text(answer);
    for (std::string field; std::getline(text, field, ',');) out.push_back(field);
    return out;
}

struct Registers {
    console::RegisterMap map;

    std::uint32_t u32(std::uint16_t address) {
        std::array<std::uint16_t, 2> words{};
        REQUIRE(map.read(address, words) == console::Exception::none);
        return static_cast<std::uint32_t>(words[0]) << 16 | words[1];
    }
    std::uint32_t u16(std::uint16_t address) { return u32(address) >> 16; }
    double f32(std::uint16_t address) { return static_cast<double>(std::bit_cast<float>(u32(address))); }
};

}  // namespace

TEST_CASE("a cell that begins to read less shows in what the box says of traffic", "[virtual][watch]") {
    // harbour-8 has a converter for each cell; cell 3 stands on section 2.
    const scale::Fault weak{scale::Cause::weak_output, {scale::SiteKind::cell, 2}, {}, {0.98}};
    console::testing::Conversation talk;
    talk.instrument.watched = watched("harbour-8", {weak});
    const watch::TrafficWatch& traffic = talk.instrument.watched;
    REQUIRE(traffic.alarmed());

    const auto counts = fields(talk.ask("TRAF:COUN?"));
    REQUIRE(counts.size() == 2);
    CHECK(counts[0] == std::to_string(traffic.trucks()));
    CHECK(counts[1] == std::to_string(traffic.judged()));

    const auto said = fields(talk.ask("TRAFFIC:CHECK?"));
    REQUIRE(said.size() >= 8);
    CHECK(said[0] == "CHANGED");
    const int changed = std::stoi(said[1]);
    CHECK(changed == traffic.changed_count());
    CHECK(said.size() == 2 + 6 * static_cast<std::size_t>(std::min(changed, 12)));
    bool sides = false;
    for (std::size_t at = 2; at + 5 < said.size(); at += 6) {
        if (said[at] != "SIDES" || said[at + 1] != "2") continue;
        sides = true;
        CHECK(std::stoi(said[at + 2]) >= 75);  // the cause came behind the 80th truck
        CHECK(std::stoi(said[at + 3]) > 80);
        // The far or the near side takes half of a section, and a fiftieth of one cell is missing: the share
        // moves by a half times a half of that, less what the mean of the other sections moves with it.
        CHECK(std::fabs(std::stod(said[at + 4])) > 0.001);
        CHECK(std::fabs(std::stod(said[at + 4])) < 0.02 * 0.25);
    }
    CHECK(sides);

    Registers registers{console::RegisterMap(talk.instrument)};
    CHECK(registers.u32(44) == traffic.trucks());
    CHECK(registers.u32(46) == traffic.judged());
    CHECK(registers.u16(48) == static_cast<std::uint32_t>(changed));
    const int first = traffic.first_changed();
    REQUIRE(first >= 0);
    CHECK(registers.u16(49) == static_cast<std::uint32_t>(traffic.numbers().kind(first)) + 1);
    CHECK(registers.u16(50) == static_cast<std::uint32_t>(traffic.numbers().place(first)));
    CHECK(registers.u32(54) == traffic.chart(first).alarm_truck());
    CHECK(registers.f32(56) ==
          Approx(traffic.chart(first).recent() - traffic.chart(first).mean()).epsilon(1.0e-6));

    talk.ask("TRAF:CLE");
    CHECK(talk.ask("TRAF:CHEC?") == "LEARNING,0");
    CHECK(registers.u16(49) == 0);
    CHECK(std::isnan(registers.f32(56)));
}

TEST_CASE("traffic over a sound scale is as before, and its shares are all of the load", "[virtual][watch]") {
    console::testing::Conversation talk;
    talk.instrument.watched = watched("harbour-8", {});
    CHECK(talk.ask("TRAF:CHEC?") == "AS_BEFORE,0");
    double whole = 0.0;
    for (int n = 1; n <= 4; ++n)  // the instrument that stands in for one here has four channels
        whole += std::stod(talk.ask("TRAF:SHAR" + std::to_string(n) + "?"));
    double rest = 0.0;
    for (int c = 4; c < 8; ++c) rest += talk.instrument.watched.share(c);
    CHECK(whole + rest == Approx(1.0).epsilon(1.0e-5));
    talk.ask("TRAF:SHAR9?");
    CHECK(talk.error() == -114);  // SCPI-99, volume 2, 21.8.9: header suffix out of range (from memory)
    CHECK(talk.ask("TRAF:COUN?").find(',') != std::string::npos);
}
