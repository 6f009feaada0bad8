#pragma once

/// What is measured, each part with a printed table.
namespace cornerbench::benchmark {

void circuit();
void diagnosis();
void yard();
void firmware();

/// Calibrates a scale and weighs trucks for 100 seconds, then prints how many steps the firmware made: for
/// whoever counts the instructions of them. 1 when the calibration failed.
int firmware_steps(bool channel_per_cell);

}  // namespace cornerbench::benchmark
