#!/usr/bin/env bash
# Usage: conformance.sh ELF MACHINE      (MACHINE is m7 or m4)
#
# Runs the ports' conformance suite on the board's own parts, with its first and its second UART wired together. Time is the
# emulated processor's, so that a busy computer changes nothing.
# Exit status: 0 every promise kept, 77 no emulator here, else broken.
set -euo pipefail
if ! command -v qemu-system-arm >/dev/null; then
    echo "[SKIPPED] no qemu-system-arm here: '.ci/packages gates' installs it"
    exit 77
fi
case $2 in
    m7) board=mps2-an500 ;;
    m4) board=mps2-an386 ;;
esac
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
status=0
said=$(timeout 300 qemu-system-arm -icount shift=6,sleep=off -M "$board" -display none -monitor none \
    -serial "unix:$work/wire,server=on,wait=off" -serial "unix:$work/wire" -serial stdio \
    -semihosting-config enable=on,target=native -kernel "$1" </dev/null) || status=$?
echo "$said"
if [[ $said != *"started anew and knew why"* ]]; then
    echo "it never got to the end (status $status)"
    exit 1
fi
# What takes chosen codes, a hand at the buttons, somebody who leaves, or a power cut; nothing else may be left out.
if [[ $said != *" 6 left out"* ]]; then
    echo "six checks should have been left out"
    exit 1
fi
exit $status
