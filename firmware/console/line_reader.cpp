#include "firmware/console/line_reader.h"

namespace cornerbench::console {

void LineReader::take(std::uint8_t byte) {
    if (state_ != State::reading) return;
    if (byte == '\n') {
        state_ = error_ == Error::none ? State::line : State::bad;
        return;
    }
    // Only a line's end gives a carriage return a meaning.
    if (carriage_returned_) spoil(Error::invalid_character);
    carriage_returned_ = byte == '\r';
    if (carriage_returned_ || error_ != Error::none) return;
    if ((byte < ' ' && byte != '\t') || byte > '~') return spoil(Error::invalid_character);
    if (length_ == line_.size()) return spoil(Error::input_overrun);
    line_[length_++] = static_cast<char>(byte);
}

void LineReader::next() {
    length_ = 0;
    carriage_returned_ = false;
    state_ = State::reading;
    error_ = error_of_next_;
    error_of_next_ = Error::none;
}

void LineReader::spoil(Error error) {
    Error& spoiled = state_ == State::reading ? error_ : error_of_next_;
    if (spoiled == Error::none) spoiled = error;
}

}  // namespace cornerbench::console
