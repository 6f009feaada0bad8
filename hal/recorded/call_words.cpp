#include "hal/recorded/call_words.h"

#include "hal/answer.h"

namespace cornerbench::hal {

void describe(const Call& call, LineText& text) {
    const CallKind* kind = kind_of(call.letter);
    if (kind == nullptr) return;
    text.text(kind->name);
    for (std::size_t i = 0; i < kind->given; ++i)
        text.character(' ').text(kind->given_name[i]).field(call.given[i]);
}

void describe_answered(const Call& call, LineText& text) {
    describe(call, text);
    text.text(": ");
    if (call.letter == call_supply) {
        text.text(call.answered[0] != 0 ? "good" : "low");
    } else if (call.letter == call_seal) {
        text.text(call.answered[0] != 0 ? "open" : "closed");
    } else {
        text.text(name_of(static_cast<Answer>(call.answered[0])));
    }
    const CallKind* kind = kind_of(call.letter);
    if (call.letter != call_now && kind != nullptr && kind->answered > 1)
        text.character(',').field(call.answered[1]);
}

}  // namespace cornerbench::hal
