#pragma once

#include <string>
#include <vector>

#include "sim/sweep/sweep.h"

namespace cornerbench::cli {

/// What a sweep runs through its range: a number of the scale's file, or the size of a cause.
class SweptParameter {
  public:
    /// `words`: a key such as `home_run.length_m`, or a cause in the words of --with but for the value of its
    /// last key, as in `loose-terminal cell=5 wire=S+ ohm`. Ends the command with code 2 for anything else.
    SweptParameter(const std::string& words, const std::string& scale_path);

    /// The scale as its file has it.
    const files::ScaleFile& scale() const { return scale_; }
    const std::string& name() const { return name_; }
    const std::string& unit() const { return unit_; }

    /// The scene at one value, `others` being wrong all the while; ends the command for a value that the
    /// file's rules or the cause refuse.
    sweep::Scene at(double value, const std::vector<std::string>& others) const;

  private:
    void take_key(const std::string& words);
    void take_cause(const std::string& words);

    std::string text_;  ///< of the scale's file
    files::ScaleFile scale_;
    std::string name_;
    std::string unit_;
    std::string cause_;  ///< words without the swept key; empty where a key of the file is swept
    std::string cause_key_;
};

}  // namespace cornerbench::cli
