#!/usr/bin/env bash
# Usage: symbol_check_test.sh COMPILER
#
# Shows that the symbol check can fail: one made-up offence a time, and a harmless file that must pass.
set -euo pipefail
compiler=$1
check=$(dirname "$0")/symbol_check.sh
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0

# Compiles the text on standard input into an archive: archive COMPILER TOOL_PREFIX FLAGS...
archive() {
    local compiler=$1 prefix=$2
    shift 2
    rm -f "$work"/core.{o,a}
    "$compiler" -std=c++20 -O2 "$@" -x c++ -c - -o "$work/core.o"
    "${prefix}ar" qc "$work/core.a" "$work/core.o"
}

# refused WORD [PREFIX]: the check must refuse the archive and name WORD.
refused() {
    local word=$1 prefix=${2:-} said status=0
    said=$(bash "$check" "$work/core.a" "$prefix") || status=$?
    if [[ $status -ne 1 || $said != *"$word"* ]]; then
        echo "should have been refused with '$word', status $status: $said"
        failed=1
    fi
}

accepted() {
    local prefix=${1:-} said
    if ! said=$(bash "$check" "$work/core.a" "$prefix"); then
        echo "should have been accepted: $said"
        failed=1
    fi
}

harmless='#include <cmath>
#include <cstring>
double length(const double* v) { return std::sqrt(v[0] * v[0] + v[1] * v[1]); }
double shifted(double v, int n) { return std::floor(std::ldexp(v, n)) + std::fmod(v, 3.0) + std::round(v); }
void copy(char* to, const char* from, std::size_t n) { std::memcpy(to, from, n); }'

archive "$compiler" "" -ffp-contract=off <<<"$harmless"
accepted
archive "$compiler" "" <<<'int* one() { return new int(1); }'
refused "operator new"
archive "$compiler" "" <<<'#include <cstdlib>
void* some(std::size_t n) { return std::malloc(n); }'
refused "malloc"
archive "$compiler" "" <<<'struct Port { virtual ~Port() = default; virtual int read() = 0; };
struct Fixed final : Port { int read() override; }; int Fixed::read() { return 1; }'
refused "operator delete"
archive "$compiler" "" <<<'void give_up() { throw 1; }'
refused "__cxa_throw"
archive "$compiler" "" <<<'#include <cstdio>
void say(double v) { std::printf("%g", v); }'
refused "printf"
archive "$compiler" "" <<<'#include <cmath>
double grown(double v) { return std::exp(v); }'
refused "exp"
archive "$compiler" "" <<<'#include <optional>
double sure(const std::optional<double>& v) { return v.value(); }'
refused "__cxa_"
archive "$compiler" "" <<<'#include <array>
double nth(const std::array<double, 3>& v, unsigned i) { return v.at(i); }'
refused "__throw_out_of_range"
archive "$compiler" "" <<<'#include <new>
#include <cstddef>
char place[64];
void* operator new(std::size_t) { return place; }'
refused "defines operator new"
# A landing pad: its table alone is the offence, whatever the code then calls.
landing='struct Port { int (*read)(); void (*close)() noexcept; };
struct Closing { void (*close)() noexcept; ~Closing() { close(); } };
int once(const Port& port) { const Closing closing{port.close}; return port.read(); }'
archive "$compiler" "" <<<"$landing"
refused "table .gcc_except_table"
archive "$compiler" "" -fno-exceptions <<<"$landing"
accepted
archive "$compiler" "" <<<'static int nothing;'
refused "nothing was checked"

if command -v arm-none-eabi-g++ >/dev/null; then
    m7=(-mthumb -mcpu=cortex-m7 -mfpu=fpv5-d16 -mfloat-abi=hard -fno-exceptions)
    multiply_add='double sum(double a, double b, double c) { return a * b + c; }'
    archive arm-none-eabi-g++ arm-none-eabi- "${m7[@]}" -ffp-contract=off <<<"$harmless"
    accepted arm-none-eabi-
    archive arm-none-eabi-g++ arm-none-eabi- "${m7[@]}" -ffp-contract=off <<<"$multiply_add"
    accepted arm-none-eabi-
    archive arm-none-eabi-g++ arm-none-eabi- "${m7[@]}" -ffp-contract=fast <<<"$multiply_add"
    refused "one rounding" arm-none-eabi-
    m4=(-mthumb -mcpu=cortex-m4 -mfpu=fpv4-sp-d16 -mfloat-abi=hard -fno-exceptions)
    archive arm-none-eabi-g++ arm-none-eabi- "${m4[@]}" <<<"$harmless"
    accepted arm-none-eabi-
    archive arm-none-eabi-g++ arm-none-eabi- "${m4[@]}" <<<"$multiply_add"
    accepted arm-none-eabi-
    archive arm-none-eabi-g++ arm-none-eabi- "${m4[@]}" <<<'struct Last { ~Last(); }; Last last;'
    refused "__aeabi_atexit" arm-none-eabi-
    framed='__asm__(".section .eh_frame,\"a\"\n.word 0\n.text");'
    for cpu in m7 m4; do
        declare -n target=$cpu
        archive arm-none-eabi-g++ arm-none-eabi- "${target[@]}" <<<"$landing"
        accepted arm-none-eabi-
        archive arm-none-eabi-g++ arm-none-eabi- "${target[@]}" -fexceptions <<<"$landing"
        refused "table .ARM.extab" arm-none-eabi-
        archive arm-none-eabi-g++ arm-none-eabi- "${target[@]}" -funwind-tables <<<"$harmless"
        refused "table .ARM.exidx" arm-none-eabi-
        archive arm-none-eabi-g++ arm-none-eabi- "${target[@]}" <<<"$harmless"$'\n'"$framed"
        refused "table .eh_frame" arm-none-eabi-
    done
fi

((failed == 0)) && echo "every offence was refused, every harmless file accepted"
exit $failed
