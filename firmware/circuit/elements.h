#pragma once

#include <array>

#include "firmware/circuit/mesh.h"

/// A list of resistors between numbered nodes. A fault is a longer or a shorter list.
namespace cornerbench::circuit {

struct Element {
    int a = 0;
    int b = 0;
    double ohm = 0.0;
};

/// What stands between two nodes that must stay apart although the file says zero ohm.
inline constexpr double least_ohm = 1.0e-13;

/// Up to `Capacity` resistors between `Nodes` nodes, of which the first `Kept` never merge with each other.
/// Infinite ohms are left out; zero ohms make both ends one node.
template <int Nodes, int Kept, int Capacity>
class ElementList {
  public:
    ElementList() {
        for (int n = 0; n < Nodes; ++n) alias_[static_cast<unsigned>(n)] = n;
    }

    void join(int a, int b, double ohm) {
        a = node(a);
        b = node(b);
        if (a == b) return;
        if (ohm <= 0.0) {
            if (a >= Kept || b >= Kept) {
                const int keep = a < b ? a : b;
                const int gone = a < b ? b : a;
                for (int& n : alias_) {
                    if (n == gone) n = keep;
                }
                return;
            }
            ohm = least_ohm;
        }
        if (conductance(ohm) == 0.0 || count_ == Capacity) return;
        elements_[static_cast<unsigned>(count_++)] = {a, b, ohm};
    }

    /// The node that stands for `n` once zero-ohm joints are merged.
    int node(int n) const { return alias_[static_cast<unsigned>(n)]; }

    int count() const { return count_; }

    Element operator[](int i) const {
        const Element& e = elements_[static_cast<unsigned>(i)];
        return {node(e.a), node(e.b), e.ohm};
    }

    Mesh<Nodes> mesh() const {
        Mesh<Nodes> m;
        for (int i = 0; i < count_; ++i) {
            const Element e = (*this)[i];
            if (e.a != e.b) m.add(e.a, e.b, 1.0 / e.ohm);
        }
        return m;
    }

  private:
    std::array<Element, Capacity> elements_{};
    std::array<int, Nodes> alias_{};
    int count_ = 0;
};

}  // namespace cornerbench::circuit
