#include "firmware/diagnosis/corner_channels.h"

#include <algorithm>
#include <cmath>

#include "firmware/numbers/elementary.h"

namespace cornerbench::diagnosis {

namespace {

/// Part of the mass that the straight deck model leaves open in one support's force.
constexpr double model_uncertainty = 0.005;

constexpr double root_2pi = 2.50662827463100050242;

constexpr double square(double x) {
    return x * x;
}

PerSupport only(int support, double gain) {
    PerSupport gains{};
    gains[support] = gain;
    return gains;
}

}  // namespace

int ChannelSearch::take(int channel) {
    channel_ = channel;
    likelihood_.begin_rows(scale_.channel_gain);
    for (int i = 0; i < readings_.supports(); ++i) {
        if (!readings_.known(i, channel)) continue;
        const double mass_kg = readings_.mass_kg(i);
        const double noise = scale_.channel_kg / mass_kg;
        likelihood_.add_row(
            {i, readings_.change_kg(i, channel) / mass_kg, square(noise) + square(model_uncertainty), noise});
    }
    return likelihood_.rows();
}

bool ChannelSearch::distance(double& sigmas, CornerEstimate& gain, double& chi_square) {
    if (!likelihood_.compare(only(channel_, 1.0))) return false;
    const CornerEstimate more = likelihood_.along(only(channel_, 1.0));
    gain = {1.0 + more.value, more.uncertainty};
    sigmas = std::fabs(more.value) / more.uncertainty;
    chi_square = likelihood_.chi_square();
    return true;
}

bool ChannelSearch::weigh(int support, double gain, ChannelFit& fit) {
    if (!likelihood_.compare(only(support, gain))) return false;
    const CornerEstimate more = likelihood_.along(only(support, 1.0));
    fit.support = support;
    fit.gain = {gain + more.value, more.uncertainty};
    fit.log_evidence = likelihood_.log_evidence();
    return true;
}

bool ChannelSearch::fit_own(ChannelFit& best) {
    if (!weigh(channel_, 0.0, best)) return false;
    best.state = ChannelState::dead;
    const double seen = best.gain.value;

    ChannelFit fit;
    if (!weigh(channel_, -1.0, fit)) return false;
    fit.state = ChannelState::reversed;
    if (fit.log_evidence > best.log_evidence) best = fit;

    if (!weigh(channel_, std::clamp(seen, 0.0, 1.0), fit)) return false;
    fit.state = ChannelState::low;
    const double u = fit.gain.uncertainty;
    const double off = (fit.gain.value - std::clamp(seen, 0.0, 1.0)) / u;
    fit.log_evidence += 0.5 * off * off + numbers::log(u * root_2pi) +
                        numbers::log_normal_between(-fit.gain.value / u, (1.0 - fit.gain.value) / u);
    if (fit.log_evidence > best.log_evidence) best = fit;
    return true;
}

bool ChannelSearch::fit_elsewhere(int support, ChannelFit& best) {
    if (!weigh(support, 1.0, best)) return false;
    ChannelFit fit;
    if (!weigh(support, -1.0, fit)) return false;
    fit.log_evidence -= rare_log_odds;
    if (fit.log_evidence > best.log_evidence) best = fit;
    best.state = ChannelState::elsewhere;
    return true;
}

bool ChannelJudge::measure(int c) {
    const double beyond = report_.limit_sigmas + numbers::normal_quantile(surely_found_share);
    const int rows = channels_.take(c);
    if (rows == 0) return true;
    Channel& channel = channel_[c];
    double chi_square = 0.0;
    if (!channels_.distance(channel.sigmas, channel.gain, chi_square)) return false;
    const double found = beyond * channel.gain.uncertainty;
    if (found < report_.surely_found[c]) {
        report_.surely_found[c] = found;
        report_.gain[c] = channel.gain;
    }
    report_.unread &= ~(1U << c);
    if (report_.limit_sigmas * channel.gain.uncertainty < 1.0) report_.unjudged &= ~(1U << c);
    channel.off = channel.sigmas > report_.limit_sigmas || chi_square > chi_square_limit(rows, one_sided_);
    if (!channel.off) return true;
    ChannelFit fit;
    if (!channels_.fit_own(fit)) return false;
    channel.state = fit.state;
    channel.gain = fit.gain;
    channel.log_evidence = fit.log_evidence;
    return true;
}

/// Two channels that are off may each be where the other belongs: then the sum is right as it is.
bool ChannelJudge::try_pair(int a, int b) {
    ChannelFit at_b;
    ChannelFit at_a;
    channels_.take(a);
    if (!channels_.fit_elsewhere(b, at_b)) return false;
    channels_.take(b);
    if (!channels_.fit_elsewhere(a, at_a)) return false;
    double odds = at_a.log_evidence + at_b.log_evidence - channel_[a].log_evidence - channel_[b].log_evidence;
    sum_.take(likelihood_);
    if (likelihood_.rows() == 0) {
        odds += rare_log_odds;
    } else {
        double exchanged = 0.0;
        double apart = 0.0;
        CornerEdits edits;
        if (!search_.log_evidence(edits, exchanged)) return false;
        edits.of[edits.count++] = edit_for(a);
        edits.of[edits.count++] = edit_for(b);
        if (!search_.log_evidence(edits, apart)) return false;
        odds += exchanged - apart;
    }
    if (odds <= best_odds_) return true;
    best_odds_ = odds;
    best_fit_ = at_b;
    best_first_ = a;
    return true;
}

bool ChannelJudge::next_pair() {
    do {
        if (++second_ >= n_) {
            ++first_;
            second_ = first_ + 1;
        }
    } while (first_ < n_ - 1 && !(channel_[first_].off && channel_[second_].off));
    return first_ < n_ - 1;
}

void ChannelJudge::end_pairs() {
    const bool found = best_first_ >= 0;
    if (found) {
        report_.add(CornerFindingKind::exchanged_channels,
                    {scale::SiteKind::cell_pair, best_first_, best_fit_.support}, best_fit_.gain,
                    channel_[best_first_].sigmas);
        channel_[best_first_].off = channel_[best_fit_.support].off = false;
    }
    first_ = second_ = 0;
    best_odds_ = 0.0;
    best_first_ = -1;
    next_ = 0;
    if (!found || ++pass_ == n_ / 2) stage_ = Stage::telling;
}

/// What is left of a channel that is off: the sum search starts from it.
bool ChannelJudge::tell(int c) {
    const Channel& channel = channel_[c];
    if (!channel.off) return true;
    channels_.take(c);
    ChannelFit best;
    for (int l = 0; l < n_; ++l) {
        ChannelFit fit;
        if (l == c) continue;
        if (!channels_.fit_elsewhere(l, fit)) return false;
        fit.log_evidence -= rare_log_odds + numbers::log(n_ - 1);
        if (best.state != ChannelState::elsewhere || fit.log_evidence > best.log_evidence) best = fit;
    }
    if (best.log_evidence > channel.log_evidence) {
        report_.add(CornerFindingKind::exchanged_channels, {scale::SiteKind::cell_pair, c, best.support},
                    best.gain, channel.sigmas);
    } else if (channel.state != ChannelState::low) {
        if (edits_.count < max_edits) edits_.of[edits_.count++] = edit_for(c);
    } else if (sum_rows_ == 0) {
        report_.add(CornerFindingKind::carries_too_little, {scale::SiteKind::support, c, 0},
                    {1.0 - channel.gain.value, channel.gain.uncertainty}, channel.sigmas);
    }
    return true;
}

CornerEdit ChannelJudge::edit_for(int c) const {
    const Channel& channel = channel_[c];
    CornerEdit edit;
    edit.place = c;
    edit.state = channel.state == ChannelState::reversed ? CornerState::reversed
                 : channel.state == ChannelState::dead   ? CornerState::dead
                                                         : CornerState::low;
    edit.lost = {1.0 - channel.gain.value, channel.gain.uncertainty};
    edit.significance = channel.sigmas;
    return edit;
}

SearchState ChannelJudge::step() {
    switch (stage_) {
        case Stage::measuring:
            if (next_ < n_) return measure(next_++) ? SearchState::working : SearchState::failed;
            stage_ = n_ < 2 ? Stage::telling : Stage::pairing;
            next_ = 0;
            return SearchState::working;
        case Stage::pairing:
            if (next_pair()) return try_pair(first_, second_) ? SearchState::working : SearchState::failed;
            end_pairs();
            return SearchState::working;
        case Stage::telling:
            break;
    }
    if (next_ == n_) return SearchState::done;
    return tell(next_++) ? SearchState::working : SearchState::failed;
}

}  // namespace cornerbench::diagnosis
