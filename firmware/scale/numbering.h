#pragma once

/// Where things are on a deck, seen from the operator's side: x runs right along the deck, y away from the
/// operator with 0 on the near row of supports. Supports count clockwise from the far left (common practice):
/// 1..n along the far side left to right, n+1..2n along the near side right to left. Indices in the code
/// count from 0, numbers on screens and in files from 1.
namespace cornerbench::scale {

/// Most cells (and supports) that the core holds.
inline constexpr int max_cells = 16;
/// Most section lines, and most deck pieces between them.
inline constexpr int max_sections = max_cells / 2;
inline constexpr int max_modules = 8;

/// True when support `index` stands on the far row of a scale with `sections` section lines.
constexpr bool is_far(int index, int sections) {
    return index < sections;
}

/// Section line, 0 at the left, on which support `index` stands.
constexpr int section_of(int index, int sections) {
    return is_far(index, sections) ? index : 2 * sections - 1 - index;
}

/// Support index at section line `section`, on the far or the near row.
constexpr int support_at(int section, bool far, int sections) {
    return far ? section : 2 * sections - 1 - section;
}

}  // namespace cornerbench::scale
