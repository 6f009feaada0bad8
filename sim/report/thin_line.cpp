#include "sim/report/thin_line.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include <spdlog/fmt/fmt.h>

namespace cornerbench::report {

void ThinLine::draw_to(double x, double y) {
    const long column = std::lround(std::floor(x));
    if (begun_ && column != column_) end_column();
    const Point point{x, y};
    if (!begun_) {
        begun_ = true;
        column_ = column;
        first_ = least_ = most_ = point;
    }
    if (y < least_.y) least_ = point;
    if (y > most_.y) most_ = point;
    last_ = point;
}

void ThinLine::add(const Point& point) {
    path_ += fmt::format("{}{:.1f} {:.1f}", pen_down_ ? 'L' : 'M', point.x, point.y);
    pen_down_ = true;
}

void ThinLine::end_column() {
    std::array<Point, 4> points{first_, least_, most_, last_};
    std::sort(points.begin(), points.end(), [](const Point& a, const Point& b) { return a.x < b.x; });
    for (std::size_t i = 0; i < points.size(); ++i) {
        const bool again = i > 0 && points[i].x == points[i - 1].x && points[i].y == points[i - 1].y;
        if (!again) add(points[i]);
    }
    begun_ = false;
}

void ThinLine::lift() {
    if (begun_) end_column();
    pen_down_ = false;
}

std::string ThinLine::take() {
    lift();
    return std::exchange(path_, {});
}

}  // namespace cornerbench::report
