#!/usr/bin/env bash
# Usage: budgets.sh HOST_FOLDER BUILD_FOLDER MACHINE      (from the root of the repository; MACHINE is m7 or m4)
#
# Measures what the firmware takes on a microcontroller and holds it to the line of MACHINE in budgets.txt: flash and RAM
# of the indicator as it would be shipped, the deepest its stack can get, the instructions of its steps.
# Exit status: 0 within, 1 beyond, 2 wrong usage, 77 no emulator here.
set -euo pipefail
if (($# != 3)); then
    sed -n '2s/^# //p' "$0" >&2
    exit 2
fi
host=$1 build=$2 machine=$3
here=$(dirname "$0")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
if ! command -v qemu-system-arm >/dev/null; then
    echo "[SKIPPED] no qemu-system-arm here: '.ci/packages gates' installs it"
    exit 77
fi
case $machine in
    m7) board=mps2-an500 ;;
    m4) board=mps2-an386 ;;
esac

# Bytes of these sections of the indicator, one behind the other.
bytes_of() {
    arm-none-eabi-size --format=sysv "$build/hal/cornerbench_indicator.elf" |
        awk -v sections=" $* " 'index(sections, " " $1 " ") { sum += $2 } END { print sum + 0 }'
}

# What gcc wrote beside the objects of the indicator, not of recordings and simulations.
mapfile -t graphs < <(find "$build/firmware" "$build/hal" -name '*.ci' -not -path '*/recorded/*' -not -path '*/simulated/*')
if ! "$host/cornerbench_stack" "$here/calls.rules" "${graphs[@]}" >"$work/stack"; then
    cat "$work/stack"
    exit 1
fi
# Words the processor pushes for an interrupt: calls.rules.
stack=$(($(awk '$1 == "stack" { print $2 }' "$work/stack") + 108))

# Of the usual session at a scale, or of judged corner rounds there: mean, largest without an answer, largest. With
# -icount shift=6 an instruction takes 64 ns, 1.6 ticks of the 25 MHz timer.
cost() {
    "$host/cornerbench" settings "$1" -o "$work/settings" --force >/dev/null
    case $2 in
        usual) "$host/cornerbench" weigh "$1" --record "$work/recording" --force >/dev/null ;;
        round) "$host/cornerbench_talk" "$1" round "$work/recording" ;;
    esac
    timeout 100 qemu-system-arm -icount shift=6 -M "$board" -nographic -monitor none -serial stdio -semihosting-config \
        "enable=on,target=native,arg=replay,arg=$work/recording,arg=1000000000,arg=1,arg=0,arg=cost" \
        -device "loader,file=$work/settings,addr=0x3f000,force-raw=on" \
        -kernel "$build/tests/target/cornerbench_replay.elf" </dev/null >"$work/trace"
    awk '$1 == "cost" { printf "%d %d %d\n", $2 / 1.6, $5 / 1.6, $3 / 1.6 }' "$work/trace"
}
read -r summed summed_ordinary summed_most < <(cost configs/scales/quarry-8.toml usual)
read -r each each_ordinary each_most < <(cost configs/scales/harbour-8.toml usual)
read -r _ _ summed_round < <(cost configs/scales/quarry-8.toml round)
read -r _ _ each_round < <(cost configs/scales/harbour-8.toml round)
larger() { echo $(($1 > $2 ? $1 : $2)); }

status=0
row() {
    local what=$1 measured=$2 budget
    budget=$(awk -v machine="$machine" -v what="$what" -F ' *\\| *' '$1 == machine && $2 == what { print $3 }' "$here/budgets.txt")
    local verdict=within
    if [[ -z $budget ]] || ((measured > budget)); then
        verdict=BEYOND
        status=1
    fi
    printf '  %-46s %10d %10s  %s\n' "$what" "$measured" "${budget:-none}" "$verdict"
}
printf '  %-46s %10s %10s\n' "Cortex-${machine^^}" measured budget
row "flash, bytes" "$(bytes_of .vectors .text .rodata .init_array .data)"
row "RAM without the stack, bytes" "$(bytes_of .data .bss .noinit)"
row "deepest stack, bytes" "$stack"
row "instructions a step, summed, mean" "$summed"
row "instructions a step, 8 channels, mean" "$each"
row "instructions, largest step without an answer" "$(larger "$summed_ordinary" "$each_ordinary")"
row "instructions, largest step" "$(larger "$summed_most" "$each_most")"
row "instructions, largest step of corner rounds" "$(larger "$summed_round" "$each_round")"
if ((status != 0)); then
    echo "the way down to the deepest stack:"
    cat "$work/stack"
    echo "the largest parts of flash and RAM:"
    arm-none-eabi-nm --demangle --print-size --size-sort --reverse-sort "$build/hal/cornerbench_indicator.elf" | head -n 20
fi
exit $status
