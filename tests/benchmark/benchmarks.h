#pragma once

/// What is measured, each part with a printed table.
namespace cornerbench::benchmark {

void circuit();
/// Draws the cost against the number of cells into a file, if one is given.
void boxes(const char* svg_path = nullptr);
void diagnosis();
void yard();
void firmware();

/// Calibrates a scale and weighs trucks for 100 seconds, then prints how many steps the firmware made: for
/// whoever counts the instructions of them. 1 when the calibration failed.
int firmware_steps(bool channel_per_cell);

}  // namespace cornerbench::benchmark
