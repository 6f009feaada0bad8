#include "sim/live/key_reader.h"

namespace cornerbench::live {

namespace {

using Kind = KeyStroke::Kind;

KeyStroke plain(char byte) {
    if (byte == '\r' || byte == '\n') return {Kind::enter};
    if (byte == '\x7f' || byte == '\b') return {Kind::backspace};
    if (byte >= ' ' && byte <= '~') return {Kind::character, byte};
    return {Kind::other};
}

KeyStroke cursor(char final) {
    switch (final) {
        case 'A':
            return {Kind::up};
        case 'B':
            return {Kind::down};
        case 'C':
            return {Kind::right};
        case 'D':
            return {Kind::left};
        default:
            return {Kind::other};
    }
}

}  // namespace

std::vector<KeyStroke> KeyReader::read(std::string_view bytes) {
    std::vector<KeyStroke> keys;
    for (const char byte : bytes) {
        switch (state_) {
            case State::plain:
                if (byte == '\x1b')
                    state_ = State::escaped;
                else
                    keys.push_back(plain(byte));
                break;
            case State::escaped:
                if (byte == '[' || byte == 'O') {
                    state_ = State::sequence;
                    break;
                }
                keys.push_back({Kind::escape});
                if (byte == '\x1b') break;
                state_ = State::plain;
                keys.push_back(plain(byte));
                break;
            case State::sequence:
                // Parameters stand before the letter that ends it.
                if (byte >= '@' && byte <= '~') {
                    keys.push_back(cursor(byte));
                    state_ = State::plain;
                }
                break;
        }
    }
    // The key itself sends nothing behind it; a sequence comes in one piece.
    if (state_ == State::escaped) {
        keys.push_back({Kind::escape});
        state_ = State::plain;
    }
    return keys;
}

}  // namespace cornerbench::live
