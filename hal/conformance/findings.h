#pragma once

#include <array>
#include <cstddef>

namespace cornerbench::hal {

/// What a run of the conformance suite found. No heap and no test library, so that it runs on a board too.
class Findings {
  public:
    /// A promise that was not kept, and the line of the check that saw it.
    struct Breach {
        const char* promise = "";  ///< the contract's words, or nearly
        const char* file = "";
        int line = 0;
    };

    /// Notes a breach of `promise` unless it was kept. Returns `kept`.
    bool expect(bool kept, const char* promise, const char* file, int line) {
        ++checks_;
        if (kept) return true;
        if (breaches_ < breach_.size()) breach_[breaches_] = {promise, file, line};
        ++breaches_;
        return false;
    }

    /// The rig could not bring about what a check needs.
    void left_out() { ++left_out_; }

    std::size_t checks() const { return checks_; }
    std::size_t breaches() const { return breaches_; }
    std::size_t left_out_checks() const { return left_out_; }

    /// The breaches in their order, the first 16 of them.
    const Breach& breach(std::size_t i) const { return breach_[i]; }

  private:
    std::array<Breach, 16> breach_{};
    std::size_t checks_ = 0;
    std::size_t breaches_ = 0;
    std::size_t left_out_ = 0;
};

}  // namespace cornerbench::hal

#define CORNERBENCH_PROMISED(findings, condition, promise) \
    (findings).expect(static_cast<bool>(condition), promise, __FILE__, __LINE__)
