#pragma once

#include <cstdint>

#include "hal/panel.h"
#include "hal/simulated/bounded_queue.h"

namespace cornerbench::hal {

/// A front that remembers its last picture, and a finger for its keys.
class SimulatedPanel final : public Panel {
  public:
    static constexpr std::size_t key_capacity = 32;

    Answer show(const PanelPicture& picture) override {
        if (!fitted_) return Answer::not_there;
        picture_ = picture;
        ++shown_;
        return Answer::done;
    }

    Answer take_keys(std::span<Key> keys, std::size_t& count) override {
        count = 0;
        if (!fitted_) return Answer::not_there;
        while (count < keys.size() && keys_.size() > 0) {
            keys[count++] = keys_.front();
            keys_.pop();
        }
        return Answer::done;
    }

    /// False when the key was lost: nobody took the last ones, or there is no panel.
    bool press(Key key) { return fitted_ && keys_.push(key); }

    /// A box without a panel answers `not_there`.
    void set_fitted(bool fitted) { fitted_ = fitted; }

    const PanelPicture& picture() const { return picture_; }
    std::uint64_t shown() const { return shown_; }  ///< pictures so far

    /// As after power-on: blank, no key waiting.
    void start() {
        picture_ = {};
        keys_.clear();
    }

  private:
    PanelPicture picture_;
    BoundedQueue<Key, key_capacity> keys_;
    std::uint64_t shown_ = 0;
    bool fitted_ = true;
};

}  // namespace cornerbench::hal
