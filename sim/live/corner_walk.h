#pragma once

#include <memory>
#include <string>
#include <string_view>

#include "sim/live/yard.h"
#include "sim/virtual_scale/client_console.h"

namespace cornerbench::live {

/// Somebody who carries the test weight from support to support and tells the box, through a console of his
/// own; the box judges its corners.
/// Goes on a little with every frame and waits for nothing.
class CornerWalk {
  public:
    explicit CornerWalk(Yard& yard) : yard_(yard) {}

    /// Begins a round: the box forgets the last one and is zeroed. Refused while a vehicle stands there or
    /// there is no power.
    void begin();
    void stop();
    /// To be called once a frame.
    void go_on();

    bool under_way() const { return doing_ != Doing::nothing; }
    /// Where the walk is, such as "support 3, waiting for rest"; empty when there is none.
    std::string words() const;

  private:
    /// What the walk is at, over one support after another.
    enum class Doing : unsigned char { nothing, zeroing, loading, loaded, unloading, judged };

    void turn_to(Doing doing, double settle_s);
    void give_up(const std::string& why);
    bool take_reading();
    /// Tells the box; empty when it did so, else why not.
    std::string tell(std::string_view command);

    Yard& yard_;
    Doing doing_ = Doing::nothing;
    int support_ = 0;
    double not_before_s_ = 0.0;
    double give_up_s_ = 0.0;
    std::uint64_t firmware_ = 0;
    std::unique_ptr<virtual_scale::ClientConsole> console_;
};

}  // namespace cornerbench::live
