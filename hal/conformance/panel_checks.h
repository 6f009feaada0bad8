#pragma once

#include <algorithm>
#include <array>
#include <span>
#include <string_view>

#include "hal/conformance/clock_checks.h"

namespace cornerbench::hal {

/// hal/panel.h
inline void check_panel(Rig& rig, Findings& findings) {
    Panel& panel = rig.board().panel;
    std::array<Key, 4> keys{};
    std::size_t count = 99;
    Answer answer = panel.take_keys(keys, count);
    if (answer == Answer::not_there) {
        CORNERBENCH_PROMISED(findings, panel.show({}) == Answer::not_there && count == 0,
                             "a box without a panel says so to every call");
        return findings.left_out();
    }
    for (int i = 0; i < 100 && count > 0; ++i) answer = panel.take_keys(keys, count);
    CORNERBENCH_PROMISED(findings, answer == Answer::done && count == 0, "no key is no error");

    PanelPicture picture;
    const std::string_view digits = "  12340";
    std::copy(digits.begin(), digits.end(), picture.digits.begin());
    picture.unit = {'k', 'g', 0, 0};
    picture.lights = light_stable | light_net;
    CORNERBENCH_PROMISED(findings, panel.show(picture) == Answer::done, "a picture is taken over");
    PanelPicture seen;
    if (rig.look(seen)) CORNERBENCH_PROMISED(findings, seen == picture, "the picture shown is the one given");

    constexpr std::array<Key, 6> pressed{Key::tare, Key::zero, Key::zero, Key::print, Key::unit, Key::clear};
    for (const Key key : pressed)
        if (!rig.press(key)) return findings.left_out();
    let_pass(rig, findings, 100'000);
    std::size_t next = 0;
    for (const std::size_t expected : {4u, 2u, 0u}) {
        answer = panel.take_keys(keys, count);
        CORNERBENCH_PROMISED(findings, answer == Answer::done && count == expected,
                             "as many keys as fit, each once");
        for (std::size_t i = 0; i < std::min(count, expected); ++i, ++next)
            CORNERBENCH_PROMISED(findings, keys[i] == pressed[next], "keys come in the order of pressing");
    }
}

}  // namespace cornerbench::hal
