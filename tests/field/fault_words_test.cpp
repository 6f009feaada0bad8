#include "sim/field/fault_words.h"

#include <catch2/catch.hpp>

#include "sim/field/cause_catalogue.h"
#include "sim/field/fault_draw.h"
#include "tests/field/field_scales.h"

using namespace cornerbench;
using namespace cornerbench::field;
using scale::Cause;

namespace {

std::string error_of(const std::string& words, const scale::Description& d = stiff_eight()) {
    const ReadFault read = read_fault(words, d);
    CHECK_FALSE(read.fault);
    return read.error;
}

bool says(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("faults in words mean what they say", "[field]") {
    const ReadFault loose = read_fault("loose-terminal cell=5 wire=S+ ohm=38", stiff_eight());
    REQUIRE(loose.fault);
    CHECK(loose.fault->cause == Cause::loose_terminal);
    CHECK(loose.fault->site == scale::Site{scale::SiteKind::cell, 4, 0});
    CHECK(loose.fault->variant.a == scale::Wire::signal_plus);
    CHECK(loose.fault->magnitude[0] == 38.0);

    // Word order and the order of two wires or cells do not matter; units are SI inside.
    const ReadFault leak = read_fault("  wet-leak ohm=2e6 wires=shield,S-   cell=1 ", stiff_eight());
    REQUIRE(leak.fault);
    CHECK(leak.fault->variant.a == scale::Wire::signal_minus);
    CHECK(leak.fault->variant.b == scale::Wire::shield);
    const ReadFault swapped = read_fault("swapped-cells cells=5,3", stiff_eight());
    REQUIRE(swapped.fault);
    CHECK(swapped.fault->site == scale::Site{scale::SiteKind::cell_pair, 2, 4});
    const ReadFault rubbing = read_fault("rubbing side=far kN_per_mm=5 limit_kN=8", stiff_eight());
    REQUIRE(rubbing.fault);
    CHECK(rubbing.fault->site.kind == scale::SiteKind::far_side);
    CHECK(rubbing.fault->magnitude[0] == 5.0e6);
    CHECK(rubbing.fault->magnitude[1] == 8.0e3);
    const ReadFault settled = read_fault("settled-footing support=2 mm=3", stiff_eight());
    REQUIRE(settled.fault);
    CHECK(settled.fault->magnitude[0] == Approx(3.0e-3));
}

TEST_CASE("words that make no fault are answered with what would", "[field]") {
    CHECK(says(error_of(""), "name of a cause"));
    CHECK(says(error_of("loose-terminl cell=5"), "nearest: loose-terminal"));
    CHECK(says(error_of("upside-down"), "cell=1 to 8"));
    CHECK(says(error_of("upside-down cell=9"), "cell=9 is no place on this scale; valid: cell=1 to 8"));
    CHECK(says(error_of("rubbing kN_per_mm=5 limit_kN=8"), "side=far|near"));
    CHECK(says(error_of("loose-terminal cell=5 ohm=3"), "wire=E+ | E- | S+ | S-"));
    CHECK(says(error_of("loose-terminal cell=5 wire=shield ohm=3"), "wire=shield is no choice"));
    CHECK(says(error_of("loose-terminal cell=5 wire=S+"), "ohm from 0.2 to 2000"));
    CHECK(says(error_of("loose-terminal cell=5 wire=S+ ohm=1e9"), "ohm from 0.2 to 2000"));
    CHECK(says(error_of("loose-terminal cell=5 wire=S+ ohm=many"), "is no number"));
    CHECK(says(error_of("loose-terminal cell=5 wire=S+ ohm=nan"), "is no number"));
    CHECK(
        says(error_of("loose-terminal cell=5 wire=S+ ohm=3 mm=2"), "has no 'mm'; it takes cell, wire, ohm"));
    CHECK(says(error_of("loose-terminal cell=5 wire=S+ ohms=38"), "has no 'ohms'; it takes cell, wire, ohm"));
    CHECK(says(error_of("loose-terminal cells=5 wire=S+ ohm=38"), "has no 'cells'"));
    CHECK(says(error_of("qqqq cell=5"), "one of: healthy, upside-down"));
    CHECK(says(error_of("loose-terminal cell=5 cell=6 wire=S+ ohm=3"), "given twice"));
    CHECK(says(error_of("loose-terminal five"), "no key=value word"));
    CHECK(says(error_of("swapped-cells cells=3,3"), "two different numbers"));
    CHECK(says(error_of("trim-off cell=1 turns=2",
                        [] {
                            scale::Description d = stiff_eight();
                            d.trim.kind = scale::TrimKind::none;
                            return d;
                        }()),
               "its box has no trims"));
    CHECK(says(error_of("sense-open wire=sense+", per_cell_eight()), "has no sense wires"));
}

TEST_CASE("every fault survives being put into words and read back", "[field]") {
    for (const scale::Description& d : {stiff_eight(), per_cell_eight()}) {
        RandomSource random(11);
        for (int i = 0; i < scale::cause_count; ++i) {
            const auto cause = static_cast<Cause>(i);
            if (!scale::possible(d, cause)) continue;
            for (int round = 0; round < 5; ++round) {
                const scale::Fault fault = draw_fault_of(d, cause, random);
                const std::string words = fault_words(fault, d);
                INFO(words);
                const ReadFault read = read_fault(words, d);
                INFO(read.error);
                REQUIRE(read.fault);
                CHECK(read.fault->cause == fault.cause);
                CHECK(read.fault->site == fault.site);
                CHECK(read.fault->variant == fault.variant);
                for (unsigned k = 0; k < scale::max_magnitudes; ++k) {
                    CHECK(read.fault->magnitude[k] == Approx(fault.magnitude[k]).epsilon(1e-5));
                }
            }
        }
    }
}

TEST_CASE("every cause has its page", "[field]") {
    for (int i = 0; i < scale::cause_count; ++i) {
        const auto cause = static_cast<Cause>(i);
        INFO(scale::name_of(cause));
        const CauseEntry& entry = entry_of(cause);
        CHECK(entry.brief.size() >= 10);
        CHECK(entry.brief.size() <= 50);
        CHECK(entry.what.size() > 60);
        CHECK_FALSE(entry.corner_weights.empty());
        CHECK_FALSE(entry.shown_by.empty());
        CHECK_FALSE(entry.remedy.empty());
        // Whatever is done to a scale in trade may break a seal.
        bool seals = false;
        for (const Caution caution : entry.cautions) seals = seals || caution == Caution::seals;
        CHECK(seals);
        CHECK(find_cause(scale::name_of(cause)) == cause);
    }
    CHECK_FALSE(find_cause("broken"));
    CHECK(nearest_cause("openwire") == "nearest: open-wire");
}
