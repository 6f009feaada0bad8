#pragma once

#include <string>
#include <string_view>

#include "firmware/console/console.h"
#include "sim/virtual_scale/virtual_scale.h"

namespace cornerbench::virtual_scale {

/// The console of somebody who talks to the firmware past the board's own line, over a network say. What it
/// is told and what it answers go into the scale's recording as notes (hal/recorded/FORMAT.md), so that a
/// replay has this client too.
///
/// It belongs to the firmware that runs when it is made: after a new start it may only be thrown away. The
/// scale has to outlive it.
class ClientConsole {
  public:
    explicit ClientConsole(VirtualScale& scale);
    ~ClientConsole();
    ClientConsole(const ClientConsole&) = delete;
    ClientConsole& operator=(const ClientConsole&) = delete;

    /// One round with the client's line. To be called between two steps of the firmware, after its first.
    void serve(hal::Line& line);

    /// To be called after every step of the firmware: conditions that come and go are latched.
    void after_step();

    bool idle() const { return console_.idle(); }

    /// Says one line and returns the answer without its line's end; empty when there is none at once.
    std::string ask(std::string_view line);

  private:
    VirtualScale& scale_;
    std::string name_;
    console::Console console_;
};

}  // namespace cornerbench::virtual_scale
