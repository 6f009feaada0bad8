#pragma once

/// What is measured, each part with a printed table.
namespace cornerbench::benchmark {

void circuit();
void diagnosis();
void yard();

}  // namespace cornerbench::benchmark
