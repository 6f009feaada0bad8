#pragma once

#include <string>

namespace cornerbench::report {

/// A line of a picture that goes on to the right, as the data of an SVG path. Of all points within one
/// pixel's width it keeps the first, the lowest, the highest and the last: the picture is the same, and as
/// large as it is wide, however many points there were.
class ThinLine {
  public:
    void draw_to(double x, double y);

    /// What comes next is not joined to what was drawn.
    void lift();

    /// Lifts, and returns the whole.
    std::string take();

  private:
    /// A place in the picture, in pixels.
    struct Point {
        double x = 0.0;
        double y = 0.0;
    };

    void end_column();
    void add(const Point& point);

    std::string path_;
    bool pen_down_ = false;
    bool begun_ = false;  ///< a column holds points
    long column_ = 0;
    Point first_, last_, least_, most_;
};

}  // namespace cornerbench::report
