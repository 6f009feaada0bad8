#pragma once

#include "tests/commissioning/desk.h"

namespace cornerbench {

/// A day on quarry-8 (Max 60 t, e = 20 kg, 8 supports) without errors, with what OIML R 76-1:2006 asks, from
/// memory but 3.6.2: three weighings at half Max and three near Max (3.6.1, A.4.10); Max / 7 on each support
/// (3.6.2.2); a rolling load (3.6.2.4); five loads up and down with Min, Max and where the limit changes, at
/// 500 e and 2 000 e (A.4.4.1); zero after them (3.9.4.2); discrimination (A.4.8.2).
inline Desk whole_quarry_day(files::Stage stage) {
    using files::PlaceKind;
    using files::TestKind;
    Desk d = desk("quarry-8", stage);
    const auto add = [&](TestKind test, files::TestPlace place, double kg) {
        d.sheet.lines.push_back(read_line(test, place, kg, kg, 10.0));
    };
    add(TestKind::zero, {}, 0.0);
    for (const double kg : {30000.0, 54000.0})
        for (int i = 0; i < 3; ++i) add(TestKind::repeatability, spread, kg);
    for (int i = 0; i < 8; ++i) add(TestKind::eccentricity, {PlaceKind::support, i}, 8580.0);
    for (int i = 0; i < 3; ++i) add(TestKind::eccentricity, {PlaceKind::rolling, i}, 48000.0);
    for (const double kg : {400.0, 10000.0, 30000.0, 40000.0, 60000.0}) add(TestKind::weighing, spread, kg);
    for (const double kg : {40000.0, 30000.0, 10000.0, 400.0}) {
        add(TestKind::weighing, spread, kg);
        d.sheet.lines.back().decreasing = true;
    }
    add(TestKind::zero_return, {}, 0.0);
    files::TestLine step{TestKind::discrimination, spread, 400.0};
    step.indication_kg = 400.0;
    step.after_kg = 440.0;
    d.sheet.lines.push_back(step);
    return d;
}

}  // namespace cornerbench
