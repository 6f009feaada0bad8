#include <catch2/catch.hpp>

#include <algorithm>

#include <spdlog/fmt/fmt.h>

#include "sim/field/fault_words.h"
#include "sim/field/traffic_findings.h"
#include "sim/virtual_scale/traffic.h"
#include "tests/yard/shipped_yard.h"

using namespace cornerbench;
using field::TrafficFinding;
using field::TrafficSign;

namespace {

struct Shares {
    int runs = 0;
    int noticed = 0;
    int named = 0;
    std::string missed;
};

/// What boxes with a channel per cell find of `words`, one cell or support after another on every shipped
/// scale. The cause comes behind the eightieth of a hundred and thirty trucks; what was noticed before does
/// not count. Named: the first finding suspects the right one first, and one of them by one of these signs.
Shares shares_of(const char* words, std::initializer_list<TrafficSign> signs) {
    Shares shares;
    for (const char* name : tests::shipped_scales) {
        tests::ShippedScale shipped(name);
        scale::Description& d = shipped.file.description;
        d.converter = scale::Converter::per_cell;
        d.trim.kind = scale::TrimKind::none;
        for (std::uint64_t seed = 1; seed <= 2; ++seed) {
            const int cell = (3 * shares.runs + static_cast<int>(seed)) % d.cell_count();
            const auto fault = field::read_fault(fmt::format(fmt::runtime(words), cell + 1), d);
            REQUIRE(fault.fault);
            virtual_scale::TrafficSetting setting;
            setting.seed = seed;
            setting.trucks = 130;
            setting.sound_trucks = 80;
            setting.faults = {*fault.fault};
            auto findings = field::traffic_findings(
                virtual_scale::run_traffic(d, virtual_scale::indicator_settings(shipped.file), setting)
                    .traffic);
            std::erase_if(findings, [](const TrafficFinding& f) { return f.noticed_truck <= 80; });
            ++shares.runs;
            if (!findings.empty()) ++shares.noticed;
            const auto suspects = [&](const TrafficFinding& f) {
                return !f.suspects.empty() && f.suspects.front().cell == cell;
            };
            const bool named =
                !findings.empty() && suspects(findings.front()) &&
                std::any_of(findings.begin(), findings.end(), [&](const TrafficFinding& f) {
                    return suspects(f) && std::find(signs.begin(), signs.end(), f.sign) != signs.end();
                });
            if (named) {
                ++shares.named;
                continue;
            }
            shares.missed += fmt::format("{} seed {} place {}:", name, seed, cell + 1);
            for (const TrafficFinding& f : findings)
                shares.missed += fmt::format(" sign {} at {}", static_cast<int>(f.sign),
                                             f.suspects.empty() ? 0 : f.suspects.front().cell + 1);
            shares.missed += '\n';
        }
    }
    return shares;
}

}  // namespace

TEST_CASE("a box with a channel per cell names what has befallen a cell or support",
          "[virtual][watch][night]") {
    struct Case {
        const char* words;
        std::initializer_list<TrafficSign> signs;
        int named;  ///< at least, of twelve: as measured, less one
    };
    const Case cases[] = {
        {"weak-output cell={} ratio=0.98", {TrafficSign::reads_less}, 11},
        {"upside-down cell={}", {TrafficSign::signal_refused, TrafficSign::reversed}, 11},
        {"open-wire cell={} wire=S+", {TrafficSign::signal_refused, TrafficSign::dead}, 11},
        {"bound-support support={} share=1", {TrafficSign::dead}, 11},
        {"bound-support support={} share=0.1", {TrafficSign::reads_less}, 11},
        {"rubbing support={} kN_per_mm=20 limit_kN=5", {TrafficSign::rubbing, TrafficSign::zero_moved}, 10},
        {"shifted-zero cell={} mV_per_V=0.02", {TrafficSign::zero_moved, TrafficSign::zero_moved_empty}, 11},
        {"unseated-support support={} mm=10",
         {TrafficSign::share_with_load, TrafficSign::support_height},
         10},
        // On four supports a settled one and the one across look alike.
        {"settled-footing support={} mm=5", {TrafficSign::support_height}, 10},
    };
    for (const Case& c : cases) {
        const Shares shares = shares_of(c.words, c.signs);
        INFO(c.words << ": " << shares.noticed << " noticed and " << shares.named << " named of "
                     << shares.runs << "; else\n"
                     << shares.missed);
        CHECK(shares.noticed == shares.runs);
        CHECK(shares.named >= c.named);
    }
}
