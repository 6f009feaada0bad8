#pragma once

#include <Eigen/Dense>
#include <limits>
#include <map>
#include <optional>
#include <string>

#include "tests/circuit/netlist.h"

namespace cornerbench::oracle {

/// Modified nodal analysis of a netlist (Ho, Ruehli and Brennan 1975), solved densely by Eigen in `Scalar`.
/// In long double the conductances may span 1e-11 to 1e3 S and the signal still holds about 1e-12 of itself.
template <typename Scalar>
class NodalAnalysis {
  public:
    explicit NodalAnalysis(const Netlist& whole) : pruned_(pruned(whole)) {
        const Netlist& n = pruned_.live;
        for (const auto& r : n.resistors) {
            number(r.a);
            number(r.b);
        }
        for (const auto& s : n.sources) {
            number(s.plus);
            number(s.minus);
        }
        const int nodes = static_cast<int>(number_.size());
        const int size = nodes + static_cast<int>(n.sources.size());
        Matrix a = Matrix::Zero(size, size);
        Vector b = Vector::Zero(size);
        for (const auto& r : n.resistors) {
            const int i = number(r.a);
            const int j = number(r.b);
            const Scalar g = Scalar(1) / static_cast<Scalar>(r.ohm);
            if (i >= 0) a(i, i) += g;
            if (j >= 0) a(j, j) += g;
            if (i >= 0 && j >= 0) {
                a(i, j) -= g;
                a(j, i) -= g;
            }
        }
        for (std::size_t k = 0; k < n.sources.size(); ++k) {
            const int row = nodes + static_cast<int>(k);
            for (const auto& [end, sign] :
                 {std::pair{n.sources[k].plus, 1}, std::pair{n.sources[k].minus, -1}}) {
                const int i = number(end);
                if (i < 0) continue;
                a(i, row) += static_cast<Scalar>(sign);
                a(row, i) += static_cast<Scalar>(sign);
            }
            b(row) = static_cast<Scalar>(n.sources[k].volt);
        }
        solution_ = Eigen::PartialPivLU<Matrix>(a).solve(b);
        for (std::size_t k = 0; k < n.sources.size(); ++k) {
            ampere_[n.sources[k].plus + ">" + n.sources[k].minus] = nodes + static_cast<int>(k);
        }
    }

    /// Volts of a node against the reference; none for one that hangs free.
    std::optional<Scalar> volt(const std::string& node) const {
        if (pruned_.floating(node)) return std::nullopt;
        const std::string live = pruned_.at(node);
        if (live == "0") return Scalar(0);
        return solution_(number_.at(live));
    }

    /// Amperes that the source between two nodes delivers; 0 when the source drives nothing.
    Scalar ampere(const std::string& plus, const std::string& minus) const {
        const auto at = ampere_.find(plus + ">" + minus);
        return at == ampere_.end() ? Scalar(0) : -solution_(at->second);
    }

  private:
    using Matrix = Eigen::Matrix<Scalar, Eigen::Dynamic, Eigen::Dynamic>;
    using Vector = Eigen::Matrix<Scalar, Eigen::Dynamic, 1>;

    int number(const std::string& node) {
        if (node == "0") return -1;
        return number_.try_emplace(node, static_cast<int>(number_.size())).first->second;
    }

    Pruned pruned_;
    std::map<std::string, int> number_;
    std::map<std::string, int> ampere_;
    Vector solution_;
};

}  // namespace cornerbench::oracle
