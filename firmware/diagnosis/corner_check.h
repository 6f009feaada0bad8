#pragma once

#include <optional>

#include "firmware/diagnosis/corner_judge.h"

/// The corner check that a summing box makes by itself, from stable readings alone.
namespace cornerbench::diagnosis {

/// Working memory and check in one, so that a box can place it where it likes; it stays there.
class CornerCheck {
  public:
    CornerCheck() = default;
    CornerCheck(const CornerCheck&) = delete;
    CornerCheck& operator=(const CornerCheck&) = delete;

    /// Begins to judge one round, in place of one that is under way. `channels` may be null: a box with one
    /// converter on the sum. What is given has to stay as it is until the check is done.
    void begin(const CornerScale& scale, const CornerReadings& readings,
               const ChannelReadings* channels = nullptr);

    /// One slice: at most some thirty comparisons of all readings. False when the check is done.
    bool step();

    bool working() const { return judge_.has_value(); }

    /// What came of it; while it is working nothing but the error `working`.
    const CornerReport& report() const;

    /// Judges one round at once.
    CornerReport judge(const CornerScale& scale, const CornerReadings& readings,
                       const ChannelReadings* channels = nullptr);

  private:
    void end_with(CornerError error);

    CornerLikelihood likelihood_;
    std::optional<CornerJudge> judge_;
    CornerReport report_;
};

}  // namespace cornerbench::diagnosis
