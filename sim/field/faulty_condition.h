#pragma once

#include <span>

#include "firmware/scale/causes.h"
#include "firmware/scale/condition.h"

namespace cornerbench::field {

/// The scale exactly as described, with these causes.
inline scale::Condition faulty_condition(const scale::Description& description,
                                         std::span<const scale::Fault> faults) {
    scale::Condition condition = scale::sound_condition(description);
    for (const scale::Fault& fault : faults) scale::apply(fault, description, condition);
    return condition;
}

}  // namespace cornerbench::field
