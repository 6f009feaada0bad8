#!/usr/bin/env bash
# Usage: stack_depth_test.sh HOST_FOLDER COMPILER
#
# Shows that the stack check adds up, and that it refuses what it cannot add up.
set -euo pipefail
stack=$1/cornerbench_stack
compiler=$2
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$work"
failed=0

# Runs it on the code on standard input: status and words in $status and $said.
judge() {
    cat >code.cpp
    "$compiler" -O0 -fcallgraph-info=su -c code.cpp -o code.o
    status=0
    said=$("$stack" rules code.ci) || status=$?
}
expect() {
    local wanted=$1 words=$2
    if ((status != wanted)) || [[ $said != *"$words"* ]]; then
        echo "should have ended with $wanted and '$words', status $status: $said"
        failed=1
    fi
}

printf 'root program ^_Z4rootv\nlibrary 100\n' >rules
judge <<<'void outside(); __attribute__((noinline)) void leaf(char* p) { *p = 1; outside(); }
void big() { char room[1000]; leaf(room); } void small() { char room[10]; leaf(room); } void root() { small(); big(); }'
expect 0 "(library)"
depth=$(sed -n 's/^stack //p' <<<"$said")
# 1000 for the room and 100 for what is outside, and what four frames take besides.
if ((depth < 1100 || depth > 1250)); then
    echo "should have been between 1100 and 1250: $said"
    failed=1
fi
judge <<<'int root(); int other() { return root() + 1; } int root() { return other() + 1; }'
expect 1 "calls itself"
judge <<<'void use(char*); void root() { } void root(int n) { use(static_cast<char*>(__builtin_alloca(n))); }'
expect 0 "stack"
judge <<<'void use(char*); extern int n; void root() { use(static_cast<char*>(__builtin_alloca(n))); }'
expect 1 "no fixed size"
pointer='extern void (*somewhere)(); void root() { somewhere(); } void there() { char room[500]; room[0] = 1; }'
judge <<<"$pointer"
expect 1 "no rule says what"
echo '^_Z4rootv -> ^_Z5therev' >>rules
judge <<<"$pointer"
expect 0 "there()"
echo '^_Z4rootv -> ^_Z7nowherev' >>rules
judge <<<"$pointer"
expect 1 "leads nowhere"
printf 'root program ^_Z7nowherev\n' >rules
judge <<<"$pointer"
expect 1 "no function matches"

((failed == 0)) && echo "depths are added up, and what has none is refused"
exit $failed
