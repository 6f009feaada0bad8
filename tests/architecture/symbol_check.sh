#!/usr/bin/env bash
# Usage: symbol_check.sh ARCHIVE [TOOL_PREFIX]      (TOOL_PREFIX as in arm-none-eabi-)
#
# The core's promises, read off its machine code: no heap, no exceptions, no streams, no library function whose last
# bit differs between machines, no multiply-add that rounds once where the source rounds twice, no tables that only an
# exception would read. Whatever the archive takes from outside must be on the list below, so that nothing new slips in
# unnamed.
# Exit status: 0 kept, 1 broken (each symbol named, with the object files it is in), 2 wrong usage.
set -euo pipefail
export LC_ALL=C

if [[ $# -lt 1 || $# -gt 2 || ! -f ${1:-} ]]; then
    echo "usage: symbol_check.sh ARCHIVE [TOOL_PREFIX]; '${1:-}' is no file" >&2
    exit 2
fi
archive=$1
prefix=${2:-}

allowed='^('
# IEEE 754 fixes every bit of these, so each C library gives the same answer.
allowed+='sqrt|floor|ceil|trunc|round|fmod|ldexp'
# What a compiler calls by itself for copying, clearing and comparing.
allowed+='|memcpy|memmove|memset|memcmp|bcmp|strlen'
# Arithmetic a processor lacks, from the compiler's own library (Run-time ABI for the Arm Architecture, sections 4.1
# to 4.3). Not all of __aeabi_: exit handlers and unwinding live there too.
allowed+='|__aeabi_(c?[df]|[il]|u[il])[a-z0-9_]*|__aeabi_mem(cpy|move|set|clr)[48]?'
allowed+='|__(clz|ctz|popcount|ffs|bswap|parity)[sd]i2'
# Position-independent code on the computer.
allowed+='|_GLOBAL_OFFSET_TABLE_'
allowed+=')$'

names=$("${prefix}nm" --print-file-name "$archive")
defined=$(awk 'NF > 1 && $(NF-1) ~ /^[ABCDGRSTVWiu]$/ { print $NF }' <<<"$names" | sort -u)
# A weak reference (v, w) counts as well: it becomes real as soon as something else brings the symbol in.
wanted=$(awk 'NF > 1 && $(NF-1) ~ /^[Uvw]$/ { print $NF }' <<<"$names" | sort -u)
outside=$(comm -13 <(echo "$defined") <(echo "$wanted"))
if [[ -z $defined ]]; then
    echo "$archive defines no symbol: nothing was checked"
    exit 1
fi

broken=0
while IFS= read -r symbol; do
    [[ -n $symbol && ! $symbol =~ $allowed ]] || continue
    broken=1
    files=$(awk -v symbol="$symbol" '$NF == symbol { sub(/:[0-9a-f]*$/, "", $1); sub(/.*:/, "", $1); print $1 }' \
        <<<"$names" | sort -u | paste -sd' ')
    name=$(c++filt "$symbol")
    if [[ $name == cornerbench::* ]]; then
        echo "the core uses $name, which nothing in it defines [$files]"
    else
        echo "the core refers to $name, which is not on the list of what it may use [$files]"
    fi
done <<<"$outside"

# Defined in the core itself these would be a heap or exceptions brought along rather than asked for.
while IFS= read -r symbol; do
    [[ -n $symbol ]] || continue
    broken=1
    echo "the core defines $(c++filt "$symbol")"
done < <(grep -E '^(_Zn[wa]|_Zd[la]|(malloc|calloc|realloc|free|_sbrk)$|__cxa_|_Unwind)' <<<"$defined" || true)

# ARM's vfma family, x86's vfmadd family, AArch64's fmadd and fmla.
fused=$("${prefix}objdump" --disassemble --no-show-raw-insn "$archive" |
    awk '/file format/ { sub(/:$/, "", $1); file = $1 }
         $2 ~ /^(vfn?m(a|s|add|sub)|fn?m(add|sub)|fml[as])/ { count[file]++ }
         END { for (file in count) print "the core multiplies and adds with one rounding, " count[file] " times [" file "]" }' |
    sort)
if [[ -n $fused ]]; then
    broken=1
    echo "$fused"
fi

# Where landing pads stand (Itanium C++ ABI, exception handling, and Exception Handling ABI for the Arm Architecture,
# section 6): there are none in code that neither throws nor catches. How to unwind a frame is asked for by the x86-64
# ABI of every function, so those tables only count on a microcontroller, where they take flash.
tables='gcc_except_table|ARM[.]extab'
[[ -z $prefix ]] || tables+='|ARM[.]exidx|eh_frame'
unwinding=$("${prefix}objdump" --section-headers "$archive" |
    awk -v tables="^[.]($tables)([._]|$)" '/file format/ { sub(/:$/, "", $1); file = $1 }
         $1 ~ /^[0-9]+$/ && $2 ~ tables { print "the core brings along the table " $2 " of exceptions [" file "]" }' |
    sort -u)
if [[ -n $unwinding ]]; then
    broken=1
    echo "$unwinding"
fi

if ((broken == 0)); then
    echo "$(basename "$archive"): $(grep -c . <<<"$defined") symbols of its own; from outside only" \
        "$(paste -sd' ' <<<"${outside:-nothing}")"
fi
exit $broken
