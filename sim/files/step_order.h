#pragma once

#include "sim/files/session_file.h"
#include "sim/files/table_view.h"

/// Which steps of a session cannot be done after those before them.
namespace cornerbench::files {

/// Takes a session's steps one after another and keeps in mind what stands on the deck.
class StepOrder {
  public:
    /// Reports at the step's `do` what cannot be done: a vehicle where one stands, leaving without one,
    /// taking off what was not put.
    void take(const Step& step, const TableView& view);

  private:
    int vehicle_line_ = 0;  ///< of the step that drove it on; 0: none
    bool weights_ = false;
};

}  // namespace cornerbench::files
