#pragma once

#include <cstdint>

/// What every port answers with.
namespace cornerbench::hal {

/// Microseconds since an arbitrary start that power-on does not have to reset; never runs backwards.
using Microseconds = std::int64_t;

/// How a call on a port ended. Only `done` means that what was asked for has happened; after anything else
/// nothing may be taken from the call's outputs but the counts it set.
enum class [[nodiscard]] Answer : std::uint8_t{
    done,
    busy,          ///< an operation started before has not ended: poll, ask again later
    not_there,     ///< this board has no such thing (a panel on a bare box)
    bad_argument,  ///< out of the part's geometry or limits; nothing was done
    failed,        ///< the part answered with an error, or what it wrote does not read back
    disconnected   ///< a cable is out, or nobody is at the other end
};

/// The answer's name, for messages.
constexpr const char* name_of(Answer answer) {
    switch (answer) {
        case Answer::done:
            return "done";
        case Answer::busy:
            return "busy";
        case Answer::not_there:
            return "not there";
        case Answer::bad_argument:
            return "bad argument";
        case Answer::failed:
            return "failed";
        case Answer::disconnected:
            return "disconnected";
    }
    return "unknown";
}

}  // namespace cornerbench::hal
