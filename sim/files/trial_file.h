#pragma once

#include <array>
#include <cstdint>
#include <ostream>
#include <string>
#include <string_view>
#include <vector>

#include "firmware/diagnosis/diagnose.h"
#include "sim/field/magnitude_ranks.h"
#include "sim/field/observer_trial.h"
#include "sim/field/trial.h"
#include "sim/field/visit_trial.h"
#include "sim/files/file_error.h"

namespace cornerbench::files {

/// What is measured on each sheet: how causes are ranked, how long a visit takes, where true magnitudes rank
/// in their posteriors, or how an ideal observer ranks beside the diagnosis.
enum class TrialKind : unsigned char { ranking, minutes, ranks, ideal };

/// What was tried. Parts belong together when all of it is equal.
struct TrialQuestion {
    std::string scale;                 ///< its name
    std::uint32_t scale_checksum = 0;  ///< CRC-32C of the scale file's text
    diagnosis::Priors priors{};        ///< by scale::index_of
    int sheets = 0;                    ///< of the whole
    std::uint64_t first_seed = 1;
    bool healthy = false;
    std::string readings;  ///< "all", "signals", "weights" or "corners"
    TrialKind kind = TrialKind::ranking;
    field::CheckMinutes minutes;  ///< of visits
    bool wild = false;            ///< one value of every sheet is mistyped
    std::string world = "rich";   ///< "rich" or "plain"

    friend bool operator==(const TrialQuestion&, const TrialQuestion&) = default;
};

/// The outcomes of a trial, or of one part of it, on disk: JSON with one line per sheet, so that parts run on
/// many machines can be put together.
/// Only the outcomes of its own question are there.
struct TrialPart {
    TrialQuestion question;
    field::TrialShard shard;
    std::vector<field::SheetOutcome> outcomes;  ///< of a ranking
    std::vector<field::VisitCase> visits;       ///< of minutes
    std::vector<field::RankCase> ranks;         ///< of ranks
    std::vector<field::ObserverCase> observed;  ///< of the ideal observer
};

void write_trial_part(std::ostream& out, const TrialPart& part);

/// Whether `text` means to be a part, damaged or not.
bool looks_like_trial_part(std::string_view text);

/// Reads the file at `path`. What it holds agrees with itself: every sheet of its part is there, once.
Loaded<TrialPart> load_trial_part(const std::string& path);

/// The same from text in memory; `path` only names it in errors.
Loaded<TrialPart> parse_trial_part(std::string_view text, const std::string& path);

}  // namespace cornerbench::files
