#pragma once

#include <Eigen/Dense>
#include <map>
#include <string>

#include "tests/circuit/drawing.h"

namespace cornerbench::benchmark {

/// The whole circuit of one scale as one nodal matrix: every conductor and joint a node, ideal joints merged,
/// the supply's poles held. Assembled once; only factoring and solving are timed.
class DenseCircuit {
  public:
    DenseCircuit(const scale::Condition& c, const oracle::Forces& force_N) {
        const oracle::Netlist n = oracle::draw_box(c, force_N);
        using Kind = netlist::Element::Kind;
        for (const netlist::Element& e : n.elements())
            if (e.kind == Kind::source && e.value == 0.0) merged_[find(e.a)] = find(e.b);
        for (const netlist::Element& e : n.elements()) {
            if (e.kind != Kind::resistor) continue;
            number(e.a);
            number(e.b);
        }
        const auto size = static_cast<Eigen::Index>(number_.size());
        siemens_ = Eigen::MatrixXd::Zero(size, size);
        ampere_ = Eigen::VectorXd::Zero(size);
        for (const netlist::Element& e : n.elements()) {
            if (e.kind != Kind::resistor) continue;
            join(number(e.a), e.b, e.value, c.excitation_V);
            join(number(e.b), e.a, e.value, c.excitation_V);
        }
    }

    Eigen::Index nodes() const { return siemens_.rows(); }

    double ratio() const {
        const Eigen::VectorXd volt = Eigen::PartialPivLU<Eigen::MatrixXd>(siemens_).solve(ampere_);
        return (at(volt, "indicator_sig_plus") - at(volt, "indicator_sig_minus")) /
               (at(volt, "indicator_sense_plus") - at(volt, "indicator_sense_minus"));
    }

  private:
    std::string find(std::string node) const {
        for (auto it = merged_.find(node); it != merged_.end(); it = merged_.find(node)) node = it->second;
        return node;
    }
    bool held(const std::string& node) const {
        const std::string n = find(node);
        return n == "0" || n == find("supply_plus") || n == find("supply_minus");
    }
    Eigen::Index number(const std::string& node) {
        if (held(node)) return -1;
        return number_.try_emplace(find(node), static_cast<Eigen::Index>(number_.size())).first->second;
    }
    void join(Eigen::Index here, const std::string& there, double ohm, double excitation_V) {
        if (here < 0) return;
        siemens_(here, here) += 1.0 / ohm;
        const Eigen::Index other = number(there);
        if (other >= 0) {
            siemens_(here, other) -= 1.0 / ohm;
        } else if (find(there) != "0") {
            ampere_(here) += (find(there) == find("supply_plus") ? 0.5 : -0.5) * excitation_V / ohm;
        }
    }
    double at(const Eigen::VectorXd& volt, const std::string& node) const {
        return volt(number_.at(find(node)));
    }

    std::map<std::string, std::string> merged_;
    std::map<std::string, Eigen::Index> number_;
    Eigen::MatrixXd siemens_;
    Eigen::VectorXd ampere_;
};

}  // namespace cornerbench::benchmark
