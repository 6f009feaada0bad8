#pragma once

#include <string>
#include <string_view>

#include "sim/field/trial.h"

namespace cornerbench::cli {

/// The part that `--shard K/N` names; the whole for no words. `what` is what the whole is counted in.
field::TrialShard shard_or_stop(const std::string& words, int whole, std::string_view what);

}  // namespace cornerbench::cli
