#!/usr/bin/env bash
# Usage: cross_build.sh PRESET BUILD_FOLDER      (from the root of the repository; PRESET is cortex-m7 or cortex-m4)
#
# Builds the core and the ports that need no operating system for a microcontroller and holds both to the symbol check.
# Exit status: 0 good, 77 no cross compiler here (ctest reports the test as skipped), else failed.
set -euo pipefail
preset=$1
folder=$2

if ! command -v arm-none-eabi-g++ >/dev/null; then
    echo "[SKIPPED] no arm-none-eabi-g++ here: '.ci/packages test' installs it"
    exit 77
fi

cmake --preset "$preset" -B "$folder" >"$folder.log" 2>&1 &&
    cmake --build "$folder" --target cornerbench_firmware cornerbench_hal >>"$folder.log" 2>&1 ||
    { cat "$folder.log"; exit 1; }
for part in firmware hal; do
    archive=$folder/$part/libcornerbench_$part.a
    arm-none-eabi-size --totals "$archive" | tail -n 1 |
        awk -v what="$part on $preset" \
            '{ print what ": " $1 " bytes of code and constants, " $2 " initialised, " $3 " cleared" }'
    bash "$(dirname "$0")/symbol_check.sh" "$archive" arm-none-eabi-
done
