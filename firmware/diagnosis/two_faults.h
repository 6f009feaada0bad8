#pragma once

#include <span>

#include "firmware/diagnosis/diagnose.h"

/// Two causes at once. Only where no single one explains the readings are pairs looked for, and not all of
/// them: the causes that explain most by themselves are held one after another while all others are tried
/// beside them.
namespace cornerbench::diagnosis {

/// Most pairs that come of one search.
inline constexpr int max_pairs = 16;

/// True when the best single cause leaves more unexplained than chance lets expect, or needs a reading set
/// aside.
bool worth_pairing(const Outcome& outcome, std::span<const Candidate> singles);

/// Looks for pairs on a sheet that `diagnose` has ranked, and shares the probability between them and the
/// singles, all of which then sum to 1. Fills `pairs`, most probable first, and returns how many; 0 when the
/// singles explain the readings. Where pairs explain a reading that was set aside as wild for the singles'
/// sake, `outcome` no longer names it; where the best pair comes before all singles, `outcome` has its
/// misfit. Memory as for `diagnose`.
int diagnose_pairs(const scale::Description& description, const Sheet& sheet, Outcome& outcome,
                   std::span<double> memory, std::span<Candidate> singles, std::span<Candidate> pairs,
                   const Scatter& scatter = {});

/// Working memory, in doubles, that a search takes beside its bench, with `rows` measured values.
std::size_t pairing_doubles(int rows);

}  // namespace cornerbench::diagnosis
