#pragma once

#include <array>

#include "firmware/diagnosis/corner_likelihood.h"
#include "firmware/scale/causes.h"

/// Which few cells or contacts, and no more than needed, explain corner readings that are not alike.
namespace cornerbench::diagnosis {

/// Chi-square of `rows` degrees of freedom that is exceeded as often as `sigmas` by a normal, one-sided
/// (Wilson and Hilferty 1931; on the safe side this far out).
double chi_square_limit(int rows, double sigmas);

/// How a search that is made in slices stands.
enum class SearchState : unsigned char {
    working,
    done,
    failed  ///< a comparison failed
};

/// Named states of a place. `lost` is the share of its load that the sum lacks, 0 when sound.
enum class CornerState : unsigned char {
    reversed,  ///< a cell against its arrow: 2 lost
    dead,      ///< 1 lost
    low,       ///< any share lost: bound, rubbing, weak; at a side, a contact there
    high       ///< the cell gives too much
};

inline constexpr int max_edits = 6;

/// Logarithm of the odds, 20 to 1, that readings must give before the rarer of two explanations is named: a
/// contact between supports rather than something at one support, one fault more rather than one less.
inline constexpr double rare_log_odds = 3.0;

/// One place at which something is off, and how.
struct CornerEdit {
    int place = 0;  ///< see CornerPlaces
    CornerState state = CornerState::low;
    CornerEstimate lost;        ///< as it fits best, whatever the state
    double significance = 0.0;  ///< standard uncertainties away from sound, when it was found
    int other_place = -1;       ///< the next most likely; -1: none
    double log_odds = 0.0;      ///< natural logarithm of the odds against that
};

/// The places that together explain the readings, in the order in which they were found.
struct CornerEdits {
    std::array<CornerEdit, max_edits> of{};
    int count = 0;
};

/// Where something can be wrong: every support, then the middle of the far side, of the near side, of the
/// left end, of the right end.
class CornerPlaces {
  public:
    explicit CornerPlaces(const scale::Deck& deck) : deck_(deck) {}

    int supports() const { return 2 * deck_.sections; }
    int count() const { return supports() + 4; }
    bool is_support(int place) const { return place < supports(); }
    scale::Site site(int place) const;
    /// Change of the cells' gains by one lost share at `place`: a cell weaker, or, to first order, a contact
    /// that takes load from the supports beside it.
    PerSupport change(int place) const;
    /// False for the middle of a side under which a support stands anyway.
    bool is_own(int place) const;

  private:
    const scale::Deck& deck_;
};

/// Adds one place after another for as long as the rows are off, and refits all of them. What it is made of
/// has to outlive it.
class CornerSearch {
  public:
    /// `sigmas`: how far one place, `chi_square`: how far all rows together may be off before that is called
    /// so.
    CornerSearch(const CornerPlaces& places, CornerLikelihood& likelihood, double sigmas, double chi_square)
        : places_(places), likelihood_(likelihood), sigmas_(sigmas), chi_square_(chi_square) {}

    /// Starts from what `edits` has already, and adds the likeliest place and state as long as the rows are
    /// off. Afterwards the likelihood stands compared with the result. False when a comparison failed.
    /// In slices of some comparisons: `begin`, then `step` for as long as it is working.
    void begin(CornerEdits& edits);
    /// Goes on by one slice.
    [[nodiscard]] SearchState step();

    /// True when, after the search, the rows are no further off than they may be.
    bool explained() const { return explained_; }

    /// Gains of all cells under `edits`; one of them, by its number, may be left out.
    PerSupport gains(const CornerEdits& edits, int without = -1) const;

    /// Logarithm of the evidence for `edits`, whose free sizes are fitted, against one fault at a given
    /// place. False when a comparison failed.
    [[nodiscard]] bool log_evidence(CornerEdits& edits, double& result);

  private:
    [[nodiscard]] SearchState begin_pass();
    [[nodiscard]] SearchState end_pass();
    [[nodiscard]] SearchState finish();

    /// A place that might be added next, with the evidence once it is.
    struct Candidate {
        CornerEdit edit;
        double log_evidence = 0.0;
        bool found = false;
    };

    /// True when the rows are off; `farthest` receives how far at the place where they are farthest.
    bool is_off(double& farthest) const;
    [[nodiscard]] bool consider(const CornerEdits& edits, int place, double least_sigmas, Candidate& best,
                                Candidate& second);
    [[nodiscard]] bool weigh(const PerSupport& gain, const PerSupport& change, const CornerEstimate& first,
                             Candidate& candidate);
    [[nodiscard]] bool refit(CornerEdits& edits);
    /// Gives shares lost that come near a dead or a reversed cell's that name.
    [[nodiscard]] bool name_states(CornerEdits& edits);

    const CornerPlaces& places_;
    CornerLikelihood& likelihood_;
    double sigmas_ = 0.0;
    double chi_square_ = 0.0;
    bool explained_ = false;

    CornerEdits* edits_ = nullptr;  ///< of the search under way
    int pass_ = 0;
    int place_ = -1;  ///< to be considered next; -1: the pass has not begun
    double least_sigmas_ = 0.0;
    Candidate best_;
    Candidate second_;
};

}  // namespace cornerbench::diagnosis
