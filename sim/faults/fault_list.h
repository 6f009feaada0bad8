#pragma once

#include <array>
#include <cstdint>
#include <map>

#include "firmware/scale/condition.h"
#include "sim/faults/running_fault.h"

namespace cornerbench::faults {

/// Every fault that is or will be in one world.
class FaultList {
  public:
    explicit FaultList(std::uint64_t seed) : seed_(seed) {}

    /// A number by which it is spoken of later.
    int add(const scale::Description& description, const Scheduled& scheduled, double now_s);
    /// False for a number that is not there (any more).
    bool mend(int number);

    /// Nothing changes before this time.
    double next_s() const { return next_s_; }
    /// True when any of them has changed what it does.
    bool step_to(double now_s);

    /// Null once it is over.
    const RunningFault* find(int number) const;
    bool empty() const { return running_.empty(); }

    /// Whom each contact of a condition belongs to: a fault's number, 0 for the specimen's own.
    using ContactOwners = std::array<int, scale::max_contacts>;

    /// Lays those that are present into `condition`, in the order in which they were added.
    ContactOwners apply(const scale::Description& description, scale::Condition& condition) const;

  private:
    void find_next();

    std::uint64_t seed_ = 0;
    int last_number_ = 0;
    std::map<int, RunningFault> running_;
    double next_s_ = std::numeric_limits<double>::infinity();
};

}  // namespace cornerbench::faults
