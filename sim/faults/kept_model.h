#pragma once

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include "firmware/storage/kept_store.h"

namespace cornerbench::faults {

/// What must be found in a memory after which history, without a byte or a slot: the rules that the real
/// store is held to. Every call that finds one broken says so in words.
class KeptModel {
  public:
    /// A box on which nothing was ever kept, or on which `settled` is.
    explicit KeptModel(std::optional<storage::Kept> settled = {}) : settled_(std::move(settled)) {}

    /// A save was begun: from now on a cut may leave it.
    void began(const storage::Kept& kept) { possible_.push_back(kept); }

    /// It was told to be kept: nothing else may be found any more.
    void told_kept() { settle(possible_.back()); }

    /// A start has ended with this in force.
    std::string in_force(const storage::Kept& kept) {
        if (settled_ && *settled_ == kept) {
            settle(kept);
            return {};
        }
        if (std::find(possible_.begin(), possible_.end(), kept) == possible_.end())
            return settled_ ? "neither the old nor the new is in force"
                            : "something never written is in force";
        const bool counter_fell = settled_ && (kept.calibration_changes < settled_->calibration_changes ||
                                               kept.configuration_changes < settled_->configuration_changes);
        settle(kept);
        return counter_fell ? "a counter has gone down" : std::string{};
    }

    /// A start has ended with nothing in force, and this is why. `worn`: the part refuses what is asked of
    /// it.
    std::string nothing_in_force(storage::Loaded why, bool worn) const {
        if (worn && storage::is_found(why)) return {};
        if (settled_) return "what was kept is lost";
        if (why == storage::Loaded::never_set || why == storage::Loaded::damaged) return {};
        // The first of all saves was cut: it may still turn up.
        if (storage::is_found(why) && !possible_.empty()) return {};
        return "a box that was never set up has no such error";
    }

    /// What a next save is a change of.
    storage::Kept now() const { return settled_.value_or(storage::factory_kept()); }

  private:
    void settle(const storage::Kept& kept) {
        const storage::Kept only = kept;
        settled_ = only;
        possible_.clear();
    }

    std::optional<storage::Kept> settled_;  ///< told to be kept, or seen in force
    std::vector<storage::Kept> possible_;   ///< begun since, and never told
};

}  // namespace cornerbench::faults
