#pragma once

namespace cornerbench::scale {

/// A part of a multi-interval scale's range: up to and including `max_kg` it weighs by `division_kg`.
struct PartialRange {
    double max_kg = 0.0;
    double division_kg = 0.0;
};

}  // namespace cornerbench::scale
