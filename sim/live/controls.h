#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "sim/live/corner_walk.h"
#include "sim/live/key_reader.h"
#include "sim/live/yard.h"

namespace cornerbench::live {

/// What the keys do in the yard.
class Controls {
  public:
    explicit Controls(Yard& yard);

    /// What came from the keyboard, or from a script in its place.
    void take(std::string_view bytes);

    bool wants_to_quit() const { return quit_; }
    /// The support that the next weight goes over, counted from 0.
    int support() const { return support_; }
    CornerWalk& walk() { return walk_; }

    /// Whether the words of a fault are being written.
    bool writing() const { return writing_; }
    /// The words so far, or the suggestion that holds while there are none.
    const std::string& words() const { return written_.empty() ? suggestions_[suggested_] : written_; }

    /// The keys, for the foot of a screen: two lines of at most 80 columns.
    std::vector<std::string> legend() const;

  private:
    void press(const KeyStroke& stroke);
    void press(char key);
    void choose_digit(int digit);
    void step_support(int by);
    void begin_writing();
    void write(const KeyStroke& stroke);
    void suggest();

    Yard& yard_;
    CornerWalk walk_;
    KeyReader reader_;
    int support_ = 0;
    bool ten_more_ = false;  ///< 0 was pressed: the next digit is one of ten more
    bool quit_ = false;
    bool writing_ = false;
    std::string written_;
    std::vector<std::string> suggestions_{""};  ///< never empty
    std::size_t suggested_ = 0;
};

}  // namespace cornerbench::live
