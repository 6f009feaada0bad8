#!/usr/bin/env bash
# Usage: same_as_here.sh HOST_FOLDER MACHINE PROGRAM SCENE SCALE (SESSION | usual | talk SEED | talk round)
#
# Records SCENE on this computer with the programs in HOST_FOLDER, runs the recording here and by PROGRAM on MACHINE
# (m7 and m4: QEMU; wasm: node; here: another build for this computer), and compares the two traces: the state hash every
# hundred steps, every byte on the console, every start. On a difference both are run again to find the first step that
# differs.
# Exit status: 0 the same, 1 different, 2 wrong usage, 77 this computer has not what MACHINE needs.
set -euo pipefail
if (($# < 6)); then
    sed -n '2,3s/^# //p' "$0" >&2
    exit 2
fi
host=$1 machine=$2 program=$3 scene=$4 scale=$5
shift 5
every=100
here=$(dirname "$0")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

missing() {
    echo "[SKIPPED] $1"
    exit 77
}

# An emulator that hangs must not hang the test: it has to end by itself within a minute.
emulated() {
    local board=$1
    shift
    local words=arg=replay word
    for word in "$work/recording" "$@"; do words+=,arg=$word; done
    timeout 60 qemu-system-arm -M "$board" -nographic -monitor none -serial stdio \
        -semihosting-config "enable=on,target=native,$words" \
        -device "loader,file=$work/settings,addr=0x3f000,force-raw=on" -kernel "$program" </dev/null
}

# The trace of MACHINE with these wishes: every-th step, each from first to last.
trace_there() {
    case $machine in
        m7) emulated mps2-an500 "$@" ;;
        m4) emulated mps2-an386 "$@" ;;
        wasm) node "$here/on_wasm.mjs" "$program" "$work/settings" "$work/recording" "$@" ;;
        here) "$program" "$work/settings" "$work/recording" "$@" ;;
    esac
}

case $machine in
    m7 | m4) command -v qemu-system-arm >/dev/null || missing "no qemu-system-arm here: '.ci/packages gates' installs it" ;;
    wasm) command -v node >/dev/null || missing "no node here: '.ci/packages gates' installs it" ;;
    here) ;;
    *)
        echo "'$machine' is no machine; valid: m7, m4, wasm, here" >&2
        exit 2
        ;;
esac
[[ -x $host/cornerbench_trace ]] || missing "no $host/cornerbench_trace: cmake --build --preset release --target cornerbench_trace"

"$host/cornerbench" settings "$scale" -o "$work/settings" >/dev/null
case $1 in
    usual) "$host/cornerbench" weigh "$scale" --record "$work/recording" --force >/dev/null ;;
    talk) "$host/cornerbench_talk" "$scale" "$2" "$work/recording" ;;
    # A session in which something is refused ends with 1, and is a recording all the same.
    *) "$host/cornerbench" weigh "$scale" --session "$1" --record "$work/recording" --force >/dev/null || (($? == 1)) ;;
esac

"$host/cornerbench_trace" "$work/settings" "$work/recording" "$every" 1 0 >"$work/here"
status=0
trace_there "$every" 1 0 >"$work/there" 2>"$work/said" || status=$?
if ((status == 0)) && cmp -s "$work/here" "$work/there"; then
    echo "$scene on $machine: $(tail -n 1 "$work/here"), $(grep -c '^step' "$work/here") hashes," \
        "$(grep -c '^>' "$work/here" || true) lines out, $(grep -c '^start' "$work/here" || true) starts: the same"
    exit 0
fi

# Number of the first line in which the two traces differ; nothing when one goes on where the other ends.
first_different() { cmp "$work/here" "$work/there" 2>&1 | sed -n 's/.* line \([0-9]*\)$/\1/p' || true; }

echo "$scene on $machine is not what it is here (status $status)"
cat "$work/said"
line=$(first_different)
if [[ -n $line ]]; then
    # The last hash that both have, and the next one: between them it went apart.
    last=$(head -n "$((line - 1))" "$work/here" | awk '$1 == "step" { step = $2 } END { print step + 0 }')
    "$host/cornerbench_trace" "$work/settings" "$work/recording" 1000000000 "$last" "$((last + every))" >"$work/here"
    trace_there 1000000000 "$last" "$((last + every))" >"$work/there" 2>/dev/null || true
    line=$(first_different)
fi
echo "first difference (what each line says: hal/recorded/FORMAT.md, Traces)"
echo "  here:  $(sed -n "${line:-\$}p" "$work/here")"
echo "  there: $(sed -n "${line:-\$}p" "$work/there")"
echo "how it ends"
echo "  here:  $(tail -n 1 "$work/here")"
echo "  there: $(tail -n 3 "$work/there")"
exit 1
