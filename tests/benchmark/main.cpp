#include "tests/benchmark/benchmarks.h"

int main() {
    cornerbench::benchmark::circuit();
    cornerbench::benchmark::diagnosis();
    cornerbench::benchmark::yard();
}
