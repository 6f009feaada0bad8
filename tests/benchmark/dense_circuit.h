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
        for (const auto& s : n.sources) {
            if (s.volt == 0.0) merged_[find(s.plus)] = find(s.minus);
        }
        for (const auto& r : n.resistors) {
            number(r.a);
            number(r.b);
        }
        const auto size = static_cast<Eigen::Index>(number_.size());
        siemens_ = Eigen::MatrixXd::Zero(size, size);
        ampere_ = Eigen::VectorXd::Zero(size);
        for (const auto& r : n.resistors) {
            join(number(r.a), r.b, r.ohm, c.excitation_V);
            join(number(r.b), r.a, r.ohm, c.excitation_V);
        }
    }

    Eigen::Index nodes() const { return siemens_.rows(); }

    double ratio() const {
        const Eigen::VectorXd volt = Eigen::PartialPivLU<Eigen::MatrixXd>(siemens_).solve(ampere_);
        return (at(volt, "indicator.S+") - at(volt, "indicator.S-")) /
               (at(volt, "indicator.sense+") - at(volt, "indicator.sense-"));
    }

  private:
    std::string find(std::string node) const {
        for (auto it = merged_.find(node); it != merged_.end(); it = merged_.find(node)) node = it->second;
        return node;
    }
    bool held(const std::string& node) const {
        const std::string n = find(node);
        return n == "0" || n == find("supply+") || n == find("supply-");
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
            ampere_(here) += (find(there) == find("supply+") ? 0.5 : -0.5) * excitation_V / ohm;
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
