#!/usr/bin/env bash
# Usage: indicator_speaks.sh HOST_FOLDER ELF MACHINE      (from the root of the repository; MACHINE is m7 or m4)
#
# Starts the indicator as it would be shipped, on its own ports, and talks to it over its UART; and once without settings.
# Exit status: 0 it speaks, 1 it does not, 77 no emulator here.
set -euo pipefail
host=$1 elf=$2
if ! command -v qemu-system-arm >/dev/null; then
    echo "[SKIPPED] no qemu-system-arm here: '.ci/packages gates' installs it"
    exit 77
fi
case $3 in
    m7) board=mps2-an500 ;;
    m4) board=mps2-an386 ;;
esac
work=$(mktemp -d)
qemu=(qemu-system-arm -M "$board" -nographic -monitor none -serial stdio -semihosting-config "enable=on,target=native"
    -kernel "$elf")
"$host/cornerbench" settings configs/scales/harbour-8.toml -o "$work/settings" >/dev/null
coproc board_ { exec timeout 60 "${qemu[@]}" -device "loader,file=$work/settings,addr=0x3f000,force-raw=on"; }
trap 'kill "$board__PID" 2>/dev/null || true; rm -rf "$work"' EXIT
failed=0

# ask LINE PATTERN: the answer has to match.
ask() {
    local answer=
    echo "$1" >&"${board_[1]}"
    read -r -t 30 answer <&"${board_[0]}" || true
    echo "  $1    $answer"
    if [[ ! $answer =~ $2 ]]; then
        echo "should have been answered $2"
        failed=1
    fi
}
ask "*IDN?" '^cornerbench,indicator,'
ask "CHAN:COUN?" '^8$'
ask "CAL:POIN 0;:SYST:ERR?" '^-203,"Command protected;calibration sealed"$'
# Kept in the flash of the board, and then shown in it.
ask "UNIT LB;*WAI;UNIT?" '^LB$'
ask "SYST:SETT:COUN?" '^1$'
# More than the UART's ring holds at once: the console has to wait for it, and loses nothing.
echo "SYST:HELP:HEAD?" >&"${board_[1]}"
lines=0
last=$(grep -o '^| `[^`]*` | ' firmware/console/COMMANDS.md | tail -1 | tr -d '|` ')
while read -r -t 30 line <&"${board_[0]}"; do
    lines=$((lines + 1))
    [[ $line == "$last" ]] && break
done
# The block's own last line end is followed by the answer's.
read -r -t 30 line <&"${board_[0]}" || true
echo "  SYST:HELP:HEAD?    $lines lines"
wanted=$(grep -c '^| `.*` | ' firmware/console/COMMANDS.md)
if ((lines != wanted)); then
    echo "should have been $wanted, as COMMANDS.md has them"
    failed=1
fi
# The filter takes its time to fill.
for _ in {1..200}; do
    echo "MEAS:STAT?" >&"${board_[1]}"
    read -r -t 30 line <&"${board_[0]}" || true
    [[ $line == *starting* ]] || break
    sleep 0.1
done
ask "MEAS:STAT?;:SYST:ERR:COUN?" '^15,"not calibrated",0;0$'

status=0
said=$(timeout 30 "${qemu[@]}" </dev/null) || status=$?
echo "  without settings    $said (status $status)"
((status == 3)) && [[ $said == *"no block of settings"* ]] || failed=1
exit $failed
