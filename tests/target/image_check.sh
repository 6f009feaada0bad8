#!/usr/bin/env bash
# Usage: image_check.sh ELF
#
# That the shipped image, libraries included, has nothing of a heap, of exceptions or of standard input and output in it,
# and no code but its own to start with.
# Exit status: 0 kept, 1 broken (each symbol named), 2 wrong usage.
set -euo pipefail
if [[ $# -ne 1 || ! -f ${1:-} ]]; then
    echo "usage: image_check.sh ELF; '${1:-}' is no file" >&2
    exit 2
fi

# Symbols as the linker knows them, one a line.
forbidden() {
    grep -E '^(_?(malloc|free|calloc|realloc|sbrk|brk)(_r)?|__malloc_.*|_Zn[wa].*|_Zd[la].*'`
            `'|__cxa_.*|_Unwind_.*|__gxx_personality.*|__aeabi_(atexit|unwind.*)|abort|_?exit|_start|_init|_fini'`
            `'|_?v?[fs]?n?i?(printf|scanf)(_r)?|_?f?(puts|putc|open|close|read|write|flush)(_r)?|__sinit|__s[fw].*)$' || true
}

# The list itself: every one of these has to be on it.
known=(malloc _malloc_r _sbrk _Znwj _ZdlPvj __cxa_throw _Unwind_Resume __aeabi_atexit abort exit printf _printf_r vsnprintf
    fputs _write __sinit)
if (($(printf '%s\n' "${known[@]}" | forbidden | wc -l) != ${#known[@]})); then
    echo "the list lets through what it must refuse"
    exit 1
fi

symbols=$(arm-none-eabi-nm "$1" | awk '{ print $NF }')
if ! grep -q '^_ZN11cornerbench9Indicator4stepEv$' <<<"$symbols"; then
    echo "$1 has no indicator in it: nothing was checked"
    exit 1
fi
found=$(forbidden <<<"$symbols")
if [[ -n $found ]]; then
    echo "the image has in it what it must do without: $(paste -sd' ' <<<"$found")"
    exit 1
fi
echo "$(basename "$1"): $(wc -l <<<"$symbols") symbols, none of a heap, of exceptions or of standard input and output"
