#include <cstdio>
#include <cstring>

#include "tests/benchmark/benchmarks.h"

/// Without a word all of it; `firmware` or `diagnosis` for that part alone; `boxes` for that one, with a
/// picture in FILE; `steps summed` or `steps channels` for somebody who counts instructions.
int main(int count, char** words) {
    using namespace cornerbench;
    if (count == 1) {
        benchmark::circuit();
        benchmark::boxes();
        benchmark::diagnosis();
        benchmark::yard();
        benchmark::firmware();
        return 0;
    }
    if (count == 2 && std::strcmp(words[1], "firmware") == 0) {
        benchmark::firmware();
        return 0;
    }
    if (count == 2 && std::strcmp(words[1], "diagnosis") == 0) {
        benchmark::diagnosis();
        return 0;
    }
    if (count <= 3 && std::strcmp(words[1], "boxes") == 0) {
        benchmark::boxes(count == 3 ? words[2] : nullptr);
        return 0;
    }
    const bool steps = count == 3 && std::strcmp(words[1], "steps") == 0;
    if (steps && std::strcmp(words[2], "summed") == 0) return benchmark::firmware_steps(false);
    if (steps && std::strcmp(words[2], "channels") == 0) return benchmark::firmware_steps(true);
    std::fprintf(stderr,
                 "usage: %s [firmware | diagnosis | boxes [FILE.svg] | steps summed | steps channels]\n",
                 words[0]);
    return 2;
}
