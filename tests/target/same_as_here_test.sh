#!/usr/bin/env bash
# Usage: same_as_here_test.sh HOST_FOLDER      (from the root of the repository)
#
# Shows that the comparison can fail, and that it names the step: a machine that goes wrong from step 4242 on.
set -euo pipefail
host=$1
here=$(dirname "$0")
if [[ ! -x $host/cornerbench_trace ]]; then
    echo "[SKIPPED] no $host/cornerbench_trace: cmake --build --preset release --target cornerbench_trace"
    exit 77
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

cat >"$work/wrong" <<END
#!/usr/bin/env bash
'$host/cornerbench_trace' "\$@" | awk '\$1 == "step" && \$2 >= 4242 { \$4 = "0123456789abcdef" } { print }'
END
chmod +x "$work/wrong"
status=0
said=$(bash "$here/same_as_here.sh" "$host" here "$work/wrong" scene configs/scales/quarry-8.toml usual) || status=$?
if ((status != 1)) || ! grep -q '^  here:  step 4242 ' <<<"$said" ||
    ! grep -q '^  there: step 4242 [0-9]* 0123456789abcdef' <<<"$said"; then
    printf 'should have ended with 1 and step 4242, status %s:\n%s\n' "$status" "$said"
    exit 1
fi

# A machine that says nothing at all.
status=0
said=$(bash "$here/same_as_here.sh" "$host" here /bin/true scene configs/scales/quarry-8.toml usual) || status=$?
if ((status != 1)); then
    printf 'silence should have ended with 1, status %s:\n%s\n' "$status" "$said"
    exit 1
fi
echo "a wrong machine was found out, to the step"
