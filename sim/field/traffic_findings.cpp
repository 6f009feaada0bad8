#include "sim/field/traffic_findings.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <optional>

#include "sim/field/gain_suspects.h"

namespace cornerbench::field {

using watch::Chart;
using watch::NumberKind;
using watch::TrafficWatch;

namespace {

/// Shares further apart than this are no scatter of supports: a cell some 15 % off.
constexpr double share_off = 0.08;
/// A section of which one cell has lost two thirds of its signal.
constexpr double share_lost = 0.5;
/// The sum of all channels stays when load passes from support to support; up to this share.
constexpr double balance = 0.3;
constexpr double least_sigmas = 1.0;
constexpr double outdone_sigmas = 4.0;
/// What seems to have begun within so many trucks of each other may have begun together.
constexpr std::uint32_t together_trucks = 12;

struct Change {
    int number = 0;
    const Chart* chart = nullptr;

    double size() const { return chart->recent() - chart->mean(); }
};

class Reader {
  public:
    explicit Reader(const TrafficWatch& traffic) : traffic_(traffic), list_(traffic.numbers()) {
        for (int n = 0; n < list_.count(); ++n)
            if (traffic.chart(n).alarmed()) alarms_.push_back({n, &traffic.chart(n)});
    }

    std::vector<TrafficFinding> read() {
        add_refused();
        if (list_.per_cell()) {
            if (has_lost_a_cell() || (!add_friction_of_a_side() && !add_gap() && !add_friction_of_an_end()))
                add_gains();
            add_from_the_first();
        } else {
            add_ends();
        }
        add_zeros();
        std::vector<std::uint32_t> begin;
        for (const TrafficFinding& finding : findings_) begin.push_back(began(finding));
        std::vector<std::size_t> order(findings_.size());
        std::iota(order.begin(), order.end(), std::size_t{0});
        std::stable_sort(order.begin(), order.end(),
                         [&](std::size_t x, std::size_t y) { return begin[x] < begin[y]; });
        std::vector<TrafficFinding> sorted;
        for (const std::size_t at : order) sorted.push_back(std::move(findings_[at]));
        return sorted;
    }

  private:
    std::vector<Change> changes(NumberKind kind) const {
        std::vector<Change> of;
        for (const Change& c : alarms_)
            if (list_.kind(c.number) == kind) of.push_back(c);
        return of;
    }

    double sigmas(const Change& c) const {
        const double floor = traffic_.chart_settings(list_.kind(c.number)).floor;
        return std::fabs(c.size()) / std::hypot(c.chart->deviation(), floor);
    }

    TrafficFinding& add(TrafficSign sign, const std::vector<Change>& by) {
        TrafficFinding finding;
        finding.sign = sign;
        finding.since_truck = finding.noticed_truck = ~0u;
        for (const Change& c : by) {
            if (c.chart->alarm_truck() < finding.noticed_truck) {
                finding.noticed_truck = c.chart->alarm_truck();
                finding.since_truck = c.chart->since_truck() + 1;
            }
            finding.sigmas = std::max(finding.sigmas, sigmas(c));
        }
        findings_.push_back(finding);
        return findings_.back();
    }

    /// A support's height shows in shares and friction too, and comes before them. Where the deck rubs, it
    /// does not come all the way back when empty: such a zero comes behind its cause.
    std::uint32_t began(const TrafficFinding& finding) const {
        if (finding.sign == TrafficSign::support_height)
            return finding.since_truck - std::min(finding.since_truck, together_trucks);
        if (finding.sign != TrafficSign::zero_moved || finding.suspects.empty()) return finding.since_truck;
        for (const TrafficFinding& f : findings_)
            if (f.sign == TrafficSign::rubbing && !f.suspects.empty() &&
                f.suspects.front().cell == finding.suspects.front().cell &&
                f.since_truck < finding.since_truck + together_trucks)
                return f.since_truck;
        return finding.since_truck;
    }

    void add_refused() {
        for (int i = 0; i < list_.channels && list_.per_cell(); ++i) {
            if (traffic_.refused_since(i) == 0) continue;
            TrafficFinding& finding = add(TrafficSign::signal_refused, {});
            finding.since_truck = finding.noticed_truck = traffic_.refused_since(i);
            finding.suspects.push_back({i, TrafficSign::signal_refused, 1.0, 0.0});
        }
    }

    void add_zeros() {
        struct Moved {
            int channel;
            double kg;
            Change change;
            bool empty;
        };
        std::vector<Moved> moved;
        for (const Change& c : alarms_) {
            const NumberKind kind = list_.kind(c.number);
            if (kind != NumberKind::zero_return && kind != NumberKind::zero_moved) continue;
            const int channel = list_.index(c.number);
            // What comes back while nobody is there is told once.
            const bool told = std::any_of(moved.begin(), moved.end(), [&](const Moved& m) {
                return m.channel == channel && m.change.chart->alarm_truck() <= c.chart->alarm_truck();
            });
            if (!told) moved.push_back({channel, c.chart->alarm_step(), c, kind == NumberKind::zero_moved});
        }
        double sum = 0.0;
        double all = 0.0;
        for (const Moved& m : moved) {
            sum += m.kg;
            all += std::fabs(m.kg);
        }
        if (moved.size() >= 3 && std::fabs(sum) < balance * all) {
            std::vector<Change> by;
            for (const Moved& m : moved) by.push_back(m.change);
            TrafficFinding& finding = add(TrafficSign::support_height, by);
            double down = 0.0;
            for (const Moved& m : moved) down += std::max(0.0, -m.kg);
            for (const Moved& m : moved)
                if (m.kg < 0.0)
                    finding.suspects.push_back({m.channel, TrafficSign::support_height, -m.kg / down, 1.0});
            std::sort(finding.suspects.begin(), finding.suspects.end(),
                      [](const Suspect& a, const Suspect& b) { return a.probability > b.probability; });
            finding.kg = 0.5 * all;
            finding.sigmas = 0.0;
            return;
        }
        for (const Moved& m : moved) {
            TrafficFinding& finding =
                add(m.empty ? TrafficSign::zero_moved_empty : TrafficSign::zero_moved, {m.change});
            finding.kg = m.kg;
            finding.sigmas = 0.0;
            if (list_.per_cell()) finding.suspects.push_back({m.channel, finding.sign, 1.0, 1.0});
        }
    }

    /// Of the sections' numbers of this kind the one that has moved most, in its own deviations.
    std::optional<Change> largest(NumberKind kind) const {
        std::optional<Change> best;
        for (const Change& c : changes(kind))
            if (!best || sigmas(c) > sigmas(*best)) best = c;
        return best;
    }

    int side_of(const Change& c) const {
        return scale::support_at(list_.index(c.number), c.size() < 0.0, list_.sections);
    }

    /// What has come back since its alarm explains no shares and ends that have moved and stay.
    bool is_outdone(const Change& c) const {
        const std::vector<Change> gains = gain_changes();
        return sigmas(c) < least_sigmas && std::any_of(gains.begin(), gains.end(), [this](const Change& g) {
                   return sigmas(g) > outdone_sigmas;
               });
    }

    bool add_friction_of_a_side() {
        const auto friction = largest(NumberKind::hysteresis);
        if (!friction) return false;
        if (is_outdone(*friction)) return false;
        const auto gap = largest(NumberKind::gap);
        if (gap && std::fabs(gap->size()) > std::fabs(friction->size())) return false;
        TrafficFinding& finding = add(TrafficSign::rubbing, changes(NumberKind::hysteresis));
        finding.kg = std::fabs(friction->size());
        finding.suspects.push_back({side_of(*friction), TrafficSign::rubbing, 1.0, 1.0});
        return true;
    }

    bool add_gap() {
        const auto gap = largest(NumberKind::gap);
        if (!gap || is_outdone(*gap)) return false;
        TrafficFinding& finding = add(TrafficSign::share_with_load, changes(NumberKind::gap));
        finding.kg = std::fabs(gap->size());
        const auto share = largest(NumberKind::lateral);
        finding.suspects.push_back({side_of(share ? *share : *gap), TrafficSign::share_with_load, 1.0, 1.0});
        return true;
    }

    /// A cell that answers to next to nothing makes every other number stray.
    bool has_lost_a_cell() const {
        const std::vector<Change> shares = changes(NumberKind::lateral);
        return std::any_of(shares.begin(), shares.end(),
                           [](const Change& c) { return std::fabs(c.size()) > share_lost; });
    }

    /// One cell's gain moves its section's share too; what moves the ends alone takes from both cells alike.
    bool add_friction_of_an_end() {
        if (!changes(NumberKind::lateral).empty()) return false;
        const std::vector<Change> by = gain_changes();
        if (by.empty()) return false;
        add(TrafficSign::rubbing, by).part = DeckPart::an_end;
        return true;
    }

    std::vector<Change> gain_changes() const {
        std::vector<Change> by = changes(NumberKind::lateral);
        for (const NumberKind kind :
             {NumberKind::left_end, NumberKind::right_end, NumberKind::front_steps, NumberKind::rear_steps})
            for (const Change& c : changes(kind)) by.push_back(c);
        return by;
    }

    void add_gains() {
        const std::vector<Change> by = gain_changes();
        if (by.empty()) return;
        std::vector<Suspect> suspects = gain_suspects(traffic_, false);
        TrafficFinding& finding = add(suspects.front().sign, by);
        finding.suspects = std::move(suspects);
    }

    void add_from_the_first() {
        double largest_share = 0.0;
        for (int s = 0; s < list_.sections; ++s) {
            const Chart& chart = traffic_.chart(list_.find(NumberKind::lateral, s));
            if (chart.count() < watch::learning_numbers) return;
            largest_share = std::max(largest_share, std::fabs(chart.mean()));
        }
        if (largest_share < share_off) return;
        std::vector<Suspect> suspects = gain_suspects(traffic_, true);
        TrafficFinding& finding = add(suspects.front().sign, {});
        finding.suspects = std::move(suspects);
        finding.since_truck = 1;
        finding.noticed_truck = 0;
    }

    void add_ends() {
        const std::vector<Change> by = gain_changes();
        if (by.empty()) return;
        const auto change_of = [this](NumberKind kind) {
            const Chart& chart = traffic_.chart(list_.find(kind));
            return chart.recent() - chart.mean();
        };
        const double coming = change_of(NumberKind::left_end);
        const double leaving = change_of(NumberKind::right_end);
        TrafficFinding& finding = add(TrafficSign::reads_less, by);
        finding.coming = coming;
        finding.leaving = leaving;
        // Against where trucks stand: both ends off the same way is the middle off the other way.
        const bool middle =
            coming * leaving > 0.0 && std::min(std::fabs(coming), std::fabs(leaving)) >
                                          0.5 * std::max(std::fabs(coming), std::fabs(leaving));
        const double size = std::fabs(coming) > std::fabs(leaving) ? coming : leaving;
        if (middle)
            finding.part = DeckPart::middle;
        else
            finding.part =
                std::fabs(coming) > std::fabs(leaving) ? DeckPart::coming_end : DeckPart::leaving_end;
        if ((size > 0.0) != middle) finding.sign = TrafficSign::reads_more;
    }

    const TrafficWatch& traffic_;
    const watch::NumberList& list_;
    std::vector<Change> alarms_;
    std::vector<TrafficFinding> findings_;
};

}  // namespace

std::vector<TrafficFinding> traffic_findings(const TrafficWatch& traffic) {
    if (traffic.numbers().channels == 0) return {};
    return Reader(traffic).read();
}

}  // namespace cornerbench::field
