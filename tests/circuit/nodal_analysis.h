#pragma once

#include <Eigen/Dense>
#include <limits>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "sim/netlist/netlist.h"

namespace cornerbench::oracle {

/// Modified nodal analysis of a netlist (Ho, Ruehli and Brennan 1975), solved densely by Eigen in `Scalar`.
/// In long double the conductances may span 1e-11 to 1e3 S and the signal still holds about 1e-12 of itself.
template <typename Scalar>
class NodalAnalysis {
  public:
    explicit NodalAnalysis(const netlist::Netlist& whole) : paths_(whole) {
        std::vector<netlist::Element> sources;
        for (const netlist::Element& e : paths_.live()) {
            number(e.a);
            number(e.b);
            if (e.kind == netlist::Element::Kind::source) sources.push_back(e);
        }
        const int nodes = static_cast<int>(number_.size());
        const int size = nodes + static_cast<int>(sources.size());
        Matrix a = Matrix::Zero(size, size);
        Vector b = Vector::Zero(size);
        for (const netlist::Element& r : paths_.live()) {
            if (r.kind != netlist::Element::Kind::resistor) continue;
            const int i = number(r.a);
            const int j = number(r.b);
            const Scalar g = Scalar(1) / static_cast<Scalar>(r.value);
            if (i >= 0) a(i, i) += g;
            if (j >= 0) a(j, j) += g;
            if (i >= 0 && j >= 0) {
                a(i, j) -= g;
                a(j, i) -= g;
            }
        }
        for (std::size_t k = 0; k < sources.size(); ++k) {
            const int row = nodes + static_cast<int>(k);
            for (const auto& [end, sign] : {std::pair{sources[k].a, 1}, std::pair{sources[k].b, -1}}) {
                const int i = number(end);
                if (i < 0) continue;
                a(i, row) += static_cast<Scalar>(sign);
                a(row, i) += static_cast<Scalar>(sign);
            }
            b(row) = static_cast<Scalar>(sources[k].value);
            ampere_[sources[k].name] = row;
        }
        solution_ = Eigen::PartialPivLU<Matrix>(a).solve(b);
    }

    /// Volts of a node against the reference; none for one that hangs free.
    std::optional<Scalar> volt(const std::string& node) const {
        if (paths_.floating(node)) return std::nullopt;
        const std::string live = paths_.at(node);
        if (live == netlist::reference_node) return Scalar(0);
        return solution_(number_.at(live));
    }

    /// Amperes that the source of that name delivers; 0 when it drives nothing.
    Scalar ampere(const std::string& source) const {
        const auto at = ampere_.find(source);
        return at == ampere_.end() ? Scalar(0) : -solution_(at->second);
    }

  private:
    using Matrix = Eigen::Matrix<Scalar, Eigen::Dynamic, Eigen::Dynamic>;
    using Vector = Eigen::Matrix<Scalar, Eigen::Dynamic, 1>;

    int number(const std::string& node) {
        if (node == netlist::reference_node) return -1;
        return number_.try_emplace(node, static_cast<int>(number_.size())).first->second;
    }

    netlist::CurrentPaths paths_;
    std::map<std::string, int> number_;
    std::map<std::string, int> ampere_;
    Vector solution_;
};

}  // namespace cornerbench::oracle
