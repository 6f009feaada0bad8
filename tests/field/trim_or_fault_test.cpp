#include "sim/field/trim_or_fault.h"

#include <catch2/catch.hpp>

using namespace cornerbench;
using field::suspect_fault;
using field::TrimOrFault;

namespace {

/// A candidate with its probability and its fit, log density against a sound scale.
struct Said {
    scale::Cause cause;
    double probability;
    double fit = 0.0;
    int group = -1;
};

field::DiagnosedSheet diagnosed(std::initializer_list<Said> said, bool like_healthy = false) {
    field::DiagnosedSheet found;
    for (const Said& s : said) {
        diagnosis::Candidate c;
        c.fault.cause = s.cause;
        c.probability = s.probability;
        c.best_log_density = s.fit;
        c.group = s.group;
        if (s.group >= 0) {
            found.groups.resize(1);
            found.groups[0].members.push_back(static_cast<int>(found.candidates.size()));
            found.groups[0].probability += s.probability;
            found.groups[0].like_healthy = like_healthy;
        }
        found.candidates.push_back(c);
    }
    return found;
}

using scale::Cause;

}  // namespace

TEST_CASE("faults that fit far better than trims are a fault together", "[trim]") {
    const auto one = suspect_fault(diagnosed({{Cause::rubbing, 0.97, 50.0}, {Cause::healthy, 0.03}}));
    CHECK(one.verdict == TrimOrFault::fault);
    CHECK(one.fault_probability == Approx(0.97));
    const auto three = suspect_fault(diagnosed({{Cause::upside_down, 0.3, 40.0, 0},
                                                {Cause::signal_pair_swapped, 0.3, 40.0, 0},
                                                {Cause::wet_leak, 0.3, 40.0, 0},
                                                {Cause::healthy, 0.1}}));
    CHECK(three.verdict == TrimOrFault::fault);
    CHECK(three.suspects == std::vector<int>{0, 1, 2});
    CHECK(three.group == 0);
}

TEST_CASE("a trim in the same group as a fault leaves it undecided, however likely the fault", "[trim]") {
    for (const double trim_off : {0.1, 0.5, 0.8}) {
        const auto suspicion = suspect_fault(diagnosed({{Cause::trim_off, trim_off, 30.0, 0},
                                                        {Cause::weak_output, 1.0 - trim_off, 30.0, 0},
                                                        {Cause::healthy, 0.0}}));
        CHECK(suspicion.verdict == TrimOrFault::undecided);
        CHECK(suspicion.suspects == std::vector<int>{1});
        CHECK(suspicion.suspects_probability == Approx(1.0 - trim_off));
    }
}

TEST_CASE("faults that move no reading stand in no trim's way", "[trim]") {
    CHECK(suspect_fault(diagnosed({{Cause::healthy, 0.4},
                                   {Cause::excitation_low, 0.3, 0.1, 0},
                                   {Cause::home_run_loose, 0.3, 0.1, 0}},
                                  true))
              .verdict == TrimOrFault::trim);
    CHECK(suspect_fault(diagnosed({{Cause::altered_cable, 0.99, 20.0}, {Cause::healthy, 0.01}})).verdict ==
          TrimOrFault::trim);
    // A sound scale comes first, as in the diagnosis' own words, and a fault fits a little better.
    CHECK(suspect_fault(diagnosed({{Cause::healthy, 0.6}, {Cause::wet_leak, 0.4, 2.0}})).verdict ==
          TrimOrFault::trim);
    CHECK(suspect_fault(diagnosed({{Cause::wet_leak, 0.4, 2.9}, {Cause::trim_off, 0.6, 0.0}})).verdict ==
          TrimOrFault::trim);
    CHECK(suspect_fault(diagnosed({{Cause::wet_leak, 0.4, 4.0}, {Cause::trim_off, 0.6, 0.0}})).verdict ==
          TrimOrFault::undecided);
}

TEST_CASE("what no single cause explains is said to be so", "[trim]") {
    CHECK(suspect_fault(diagnosed({{Cause::unlisted, 0.9}, {Cause::trim_off, 0.1}})).verdict ==
          TrimOrFault::unexplained);
    field::DiagnosedSheet misfit = diagnosed({{Cause::trim_off, 1.0, 30.0}});
    misfit.outcome.measured = 50;
    misfit.outcome.misfit = 55.0;
    CHECK(suspect_fault(misfit).verdict == TrimOrFault::trim);
    // Chi-squared with 50 degrees of freedom: mean 50, standard deviation 10.
    misfit.outcome.misfit = 110.0;
    CHECK(suspect_fault(misfit).verdict == TrimOrFault::unexplained);
}
