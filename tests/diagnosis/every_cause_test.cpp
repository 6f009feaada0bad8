#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <iostream>
#include <map>
#include <set>
#include <string>
#include <vector>

#include "sim/field/diagnosed_sheet.h"
#include "sim/field/fault_words.h"
#include "sim/field/simulated_sheet.h"
#include "sim/files/scale_file.h"
#include "tests/random_scale.h"

// What the diagnosis is for, on every scale that ships: a full sheet without scatter, read on a scale with
// one fault that moves some reading by at least ten standard uncertainties, puts that fault, or the group of
// those that no reading here tells from it, first with a probability above 0.9. The sheets come from the
// simulator, which knows nothing of the diagnosis.

namespace {

using namespace cornerbench;

constexpr double clearly_moved = 10.0;
constexpr int magnitudes_tried = 33;

const std::vector<std::string> shipped = {"depot-6",  "elevator-10", "harbour-8",
                                          "quarry-8", "sawmill-4",   "scrapyard-6"};

std::filesystem::path scale_folder() {
    return std::filesystem::path(CORNERBENCH_SOURCE_DIR) / "configs" / "scales";
}

class ExactScale {
  public:
    explicit ExactScale(const scale::Description& d) : description_(d) {
        setting_.noisy = false;
        setting_.scatter = field::no_scatter;
        healthy_ = read(scale::Fault{});
        std::vector<double> memory(diagnosis::diagnosis_doubles(d, healthy_.sheet()));
        std::vector<diagnosis::Compared> rows(healthy_.readings.size());
        const int count = diagnosis::compare(d, healthy_.sheet(), {}, {}, memory, rows);
        for (int i = 0; i < count; ++i) uncertainty_[rows[i].reading] = rows[i].uncertainty;
    }

    field::SimulatedSheet read(const scale::Fault& fault) const {
        return field::simulate_sheet(description_, std::span(&fault, 1), 1, {}, setting_);
    }

    /// Largest move of any reading, in standard uncertainties of the healthy scale's.
    double moved(const field::SimulatedSheet& sheet) const {
        if (sheet.error != mechanics::DeckError::none || sheet.readings.size() != healthy_.readings.size()) {
            return 0.0;
        }
        double most = 0.0;
        for (std::size_t i = 0; i < sheet.readings.size(); ++i) {
            const diagnosis::Reading& with = sheet.readings[i];
            const diagnosis::Reading& without = healthy_.readings[i];
            const bool number = with.shown == diagnosis::Shown::value && std::isfinite(with.value);
            const auto known = uncertainty_.find(static_cast<int>(i));
            if (!number || known == uncertainty_.end()) {
                if (with.shown != without.shown || !number) most = std::max(most, 1.0e3);
                continue;
            }
            const bool ohms = with.quantity == diagnosis::Quantity::resistance;
            const double change = ohms ? std::log(with.value / without.value) : with.value - without.value;
            most = std::max(most, std::fabs(change) / known->second);
        }
        return most;
    }

  private:
    const scale::Description& description_;
    field::SheetSetting setting_;
    field::SimulatedSheet healthy_;
    std::map<int, double> uncertainty_;
};

/// Which of the magnitudes that move some reading clearly: the one in the middle, or the one that hardly
/// does.
enum class Choice { middle, least };

/// Sets a magnitude that moves some reading clearly. False when none in its range does.
bool choose_magnitude(const ExactScale& exact, const scale::Description& d, Choice choice,
                      scale::Fault& fault) {
    const scale::Magnitudes m = scale::magnitudes_of(d, fault.cause, fault.site);
    if (m.count == 2) fault.magnitude[1] = diagnosis::magnitude_at(m.of[1], 0.6);
    if (m.count == 0) return exact.moved(exact.read(fault)) >= clearly_moved;
    const auto moved = [&](double share) {
        fault.magnitude[0] = diagnosis::magnitude_at(m.of[0], share);
        return exact.moved(exact.read(fault));
    };
    std::vector<double> clear;
    double least = 1.0e300;
    double at_least = 0.0;
    for (int i = 0; i < magnitudes_tried; ++i) {
        const double share = static_cast<double>(i) / (magnitudes_tried - 1);
        const double move = moved(share);
        if (move < clearly_moved) continue;
        clear.push_back(share);
        if (move < least) {
            least = move;
            at_least = share;
        }
    }
    if (clear.empty()) return false;
    double share = clear[clear.size() / 2];
    if (choice == Choice::least) {
        // Towards the side on which it fades.
        const double step = 1.0 / (magnitudes_tried - 1);
        const double below = at_least - step;
        double faint = below >= 0.0 && moved(below) < clearly_moved ? below : at_least + step;
        share = at_least;
        for (int halving = 0; halving < 12 && faint <= 1.0 && least > 1.05 * clearly_moved; ++halving) {
            const double middle = 0.5 * (share + faint);
            const double move = moved(middle);
            if (move >= clearly_moved) {
                share = middle;
                least = move;
            } else {
                faint = middle;
            }
        }
    }
    fault.magnitude[0] = diagnosis::magnitude_at(m.of[0], share);
    return true;
}

scale::Description described(const std::string& name) {
    const auto loaded = files::load_scale((scale_folder() / (name + ".toml")).string());
    REQUIRE(loaded.value.has_value());
    return loaded.value->description;
}

/// True when the sheet of `fault` puts it or its group first. Fails the test, with what came first, if not.
bool comes_first(const ExactScale& exact, const scale::Description& d, const diagnosis::Priors& priors,
                 const scale::Fault& fault) {
    const field::SimulatedSheet sheet = exact.read(fault);
    const field::DiagnosedSheet found = field::rank_causes(d, sheet.sheet(), priors);
    const diagnosis::Candidate& first = found.candidates.front();
    double probability = 0.0;
    bool holds = false;
    for (const diagnosis::Candidate& candidate : found.candidates) {
        const bool with_first = &candidate == &first || (first.group >= 0 && candidate.group == first.group);
        if (!with_first) continue;
        probability += candidate.probability;
        holds = holds || (candidate.fault.cause == fault.cause && candidate.fault.site == fault.site);
    }
    const bool right = holds && probability > 0.9;
    INFO(field::fault_words(fault, d) << " gave " << field::fault_words(first.fault, d) << " with "
                                      << first.probability << ", its group with " << probability);
    CHECK(right);
    return right;
}

void find_every_cause(const std::string& name, Choice choice) {
    const scale::Description d = described(name);
    const ExactScale exact(d);
    const diagnosis::Priors priors = diagnosis::default_priors(d);
    int tried = 0;
    int missed = 0;
    std::map<std::string, int> too_small;
    for (int c = 0; c < scale::cause_count; ++c) {
        const auto cause = static_cast<scale::Cause>(c);
        if (cause == scale::Cause::healthy || cause == scale::Cause::unlisted) continue;
        if (!scale::possible(d, cause)) continue;
        for (int s = 0; s < scale::site_count(d, cause); ++s) {
            for (int v = 0; v < scale::variant_count(d, cause); ++v) {
                scale::Fault fault;
                fault.cause = cause;
                fault.site = scale::site_at(d, cause, s);
                fault.variant = scale::variant_at(d, cause, v);
                if (!choose_magnitude(exact, d, choice, fault)) {
                    ++too_small[scale::name_of(cause)];
                    continue;
                }
                ++tried;
                INFO(name);
                if (!comes_first(exact, d, priors, fault)) ++missed;
            }
        }
    }
    std::cout << name << ": " << tried << " faults tried, " << missed
              << " missed; too small to move a reading:";
    for (const auto& [cause, count] : too_small) std::cout << ' ' << cause << ' ' << count;
    std::cout << '\n';
    CHECK(tried > 0);
}

/// Contacts drawn over nearly the whole range of their stiffness and their friction limit.
void find_any_contact(const std::string& name) {
    const scale::Description d = described(name);
    const ExactScale exact(d);
    const diagnosis::Priors priors = diagnosis::default_priors(d);
    tests::Draw draw(20260731);
    int clear = 0;
    for (int trial = 0; trial < 60; ++trial) {
        const int sites = scale::site_count(d, scale::Cause::rubbing);
        scale::Fault fault;
        fault.cause = scale::Cause::rubbing;
        fault.site = scale::site_at(d, fault.cause, draw.integer(0, sites - 1));
        const scale::Magnitudes m = scale::magnitudes_of(d, fault.cause, fault.site);
        for (int k = 0; k < m.count; ++k)
            fault.magnitude[k] = diagnosis::magnitude_at(m.of[k], draw.uniform(0.05, 0.95));
        if (exact.moved(exact.read(fault)) < clearly_moved) continue;
        ++clear;
        INFO(name << ", trial " << trial);
        comes_first(exact, d, priors, fault);
    }
    CHECK(clear > 15);
}

}  // namespace

TEST_CASE("A contact of any stiffness and any friction limit is found on every scale",
          "[diagnosis][campaign]") {
    for (const std::string& name : shipped) find_any_contact(name);
}

TEST_CASE("Every shipped scale is asked for every cause", "[diagnosis]") {
    std::set<std::string> there;
    for (const auto& entry : std::filesystem::directory_iterator(scale_folder())) {
        there.insert(entry.path().stem().string());
    }
    CHECK(there == std::set<std::string>(shipped.begin(), shipped.end()));
}

TEST_CASE("Every cause at every place is found on depot-6", "[diagnosis][campaign]") {
    find_every_cause("depot-6", Choice::middle);
}

TEST_CASE("Every cause at every place is found on depot-6 as soon as it is clear", "[diagnosis][night]") {
    find_every_cause("depot-6", Choice::least);
}

TEST_CASE("Every cause at every place is found on elevator-10", "[diagnosis][night]") {
    find_every_cause("elevator-10", Choice::middle);
}

TEST_CASE("Every cause at every place is found on elevator-10 as soon as it is clear", "[diagnosis][night]") {
    find_every_cause("elevator-10", Choice::least);
}

TEST_CASE("Every cause at every place is found on harbour-8", "[diagnosis][campaign]") {
    find_every_cause("harbour-8", Choice::middle);
}

TEST_CASE("Every cause at every place is found on harbour-8 as soon as it is clear", "[diagnosis][night]") {
    find_every_cause("harbour-8", Choice::least);
}

TEST_CASE("Every cause at every place is found on quarry-8", "[diagnosis][campaign]") {
    find_every_cause("quarry-8", Choice::middle);
}

TEST_CASE("Every cause at every place is found on quarry-8 as soon as it is clear", "[diagnosis][night]") {
    find_every_cause("quarry-8", Choice::least);
}

TEST_CASE("Every cause at every place is found on sawmill-4", "[diagnosis][campaign]") {
    find_every_cause("sawmill-4", Choice::middle);
}

TEST_CASE("Every cause at every place is found on sawmill-4 as soon as it is clear",
          "[diagnosis][campaign]") {
    find_every_cause("sawmill-4", Choice::least);
}

TEST_CASE("Every cause at every place is found on scrapyard-6", "[diagnosis][campaign]") {
    find_every_cause("scrapyard-6", Choice::middle);
}

TEST_CASE("Every cause at every place is found on scrapyard-6 as soon as it is clear", "[diagnosis][night]") {
    find_every_cause("scrapyard-6", Choice::least);
}
