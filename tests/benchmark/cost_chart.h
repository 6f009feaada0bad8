#pragma once

#include <ostream>
#include <string>
#include <vector>

/// What solvers cost against the number of cells, as a picture.
namespace cornerbench::benchmark {

struct CostPoint {
    int cells = 0;
    double us = 0.0;
};

struct CostCurve {
    std::string name;
    std::vector<CostPoint> points;
};

/// SVG with a logarithmic scale of microseconds.
void draw_costs(std::ostream& out, const std::vector<CostCurve>& curves);

}  // namespace cornerbench::benchmark
