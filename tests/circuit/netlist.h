#pragma once

#include <cmath>
#include <map>
#include <set>
#include <string>
#include <vector>

#include "firmware/scale/condition.h"

/// The scale's circuit drawn a second time, from the physical description alone: every screw, conductor and
/// joint a named node or a resistor of its own, nothing merged or reduced. What the core computes is held
/// against this drawing, solved by somebody else's software.
namespace cornerbench::oracle {

/// Resistors and voltage sources between named nodes; "0" is the reference, half way up the excitation.
class Netlist {
  public:
    struct Resistor {
        std::string a, b;
        double ohm;
    };
    struct Source {
        std::string plus, minus;
        double volt;
    };

    /// An infinite resistor is left out; a zero one is an ideal joint, which a source of 0 V is.
    void resistor(const std::string& a, const std::string& b, double ohm) {
        if (std::isinf(ohm)) return;
        if (ohm == 0.0) {
            source(a, b, 0.0);
        } else {
            resistors.push_back({a, b, ohm});
        }
    }
    void source(const std::string& plus, const std::string& minus, double volt) {
        sources.push_back({plus, minus, volt});
    }

    std::vector<Resistor> resistors;
    std::vector<Source> sources;
};

/// A netlist without what carries no current: parts that nothing connects to the reference, and branches that
/// end nowhere. Both would cost a solver in doubles its accuracy (50 S of a screw beside 50 pS of
/// insulation).
struct Pruned {
    Netlist live;
    std::map<std::string, std::string> same_potential;  ///< a dead end's node: the node it hangs on
    std::set<std::string> reached;

    bool floating(const std::string& node) const { return reached.count(node) == 0; }
    /// The live node that has the potential of `node`.
    std::string at(std::string node) const {
        for (auto it = same_potential.find(node); it != same_potential.end();
             it = same_potential.find(node)) {
            node = it->second;
        }
        return node;
    }
};

inline Pruned pruned(const Netlist& whole) {
    struct Branch {
        std::string a, b;
        bool live;
    };
    std::vector<Branch> branches;
    for (const auto& r : whole.resistors) branches.push_back({r.a, r.b, true});
    for (const auto& s : whole.sources) branches.push_back({s.plus, s.minus, true});

    Pruned out;
    out.reached.insert("0");
    for (bool grew = true; grew;) {
        grew = false;
        for (const Branch& b : branches) {
            if (out.reached.count(b.a) != out.reached.count(b.b)) {
                out.reached.insert(b.a);
                out.reached.insert(b.b);
                grew = true;
            }
        }
    }
    for (Branch& b : branches) b.live = b.a != b.b && out.reached.count(b.a) > 0;

    for (bool cut = true; cut;) {
        cut = false;
        std::map<std::string, std::vector<std::size_t>> at;
        for (std::size_t i = 0; i < branches.size(); ++i) {
            if (!branches[i].live) continue;
            at[branches[i].a].push_back(i);
            at[branches[i].b].push_back(i);
        }
        for (const auto& [node, touching] : at) {
            if (node == "0" || touching.size() != 1) continue;
            Branch& b = branches[touching[0]];
            const std::size_t as_source = touching[0] - whole.resistors.size();
            const bool driven = touching[0] >= whole.resistors.size() && whole.sources[as_source].volt != 0.0;
            if (!b.live || driven) continue;
            b.live = false;
            out.same_potential[node] = b.a == node ? b.b : b.a;
            cut = true;
        }
    }
    for (std::size_t i = 0; i < branches.size(); ++i) {
        if (!branches[i].live) continue;
        if (i < whole.resistors.size()) {
            out.live.resistors.push_back(whole.resistors[i]);
        } else {
            out.live.sources.push_back(whole.sources[i - whole.resistors.size()]);
        }
    }
    return out;
}

}  // namespace cornerbench::oracle
