#!/usr/bin/env bash
# Runs every oracle against the built program and adds up. Usage: oracles/run.sh [--require]
# --require: a missing tool is a failure, not a skip.
set -u
here=$(cd "$(dirname "$0")" && pwd) || exit 1
LOOPWRIGHT_BIN=$(realpath -m "${LOOPWRIGHT_BIN:-$here/../target/release/loopwright}")
export LOOPWRIGHT_BIN PYTHONDONTWRITEBYTECODE=1
cd "$here" || exit 1
require=no
[ "${1:-}" = "--require" ] && require=yes

passed=0
failed=0

if ! command -v python3 >/dev/null || ! python3 -c 'import sys; sys.exit(sys.version_info < (3, 9))'; then
    echo "skipped every oracle: python3 (3.9 or later) is not installed"
    [ "$require" = yes ] && { echo "0 passed, 1 failed"; exit 1; }
    echo "0 passed, 0 failed"
    exit 0
fi
if [ ! -x "$LOOPWRIGHT_BIN" ]; then
    echo "no program to ask: cargo build --release, or set LOOPWRIGHT_BIN"
    echo "0 passed, 1 failed"
    exit 1
fi

one() {
    local output status line
    output=$(python3 "$@" 2>&1)
    status=$?
    line=$(tail -n 1 <<<"$output")
    if [[ "$line" =~ ^([0-9]+)\ passed,\ ([0-9]+)\ failed$ ]]; then
        passed=$((passed + BASH_REMATCH[1]))
        failed=$((failed + BASH_REMATCH[2]))
        # A script that ends badly after a clean count has still failed.
        [ "$status" -ne 0 ] && [ "${BASH_REMATCH[2]}" -eq 0 ] && failed=$((failed + 1))
    else
        failed=$((failed + 1))
    fi
    [ "$status" -ne 0 ] && head -n -1 <<<"$output"
    printf '%-24s %s\n' "$1" "$line"
}

one reference.py --selftest
if command -v ngspice >/dev/null; then
    one ngspice_networks.py
elif [ "$require" = yes ]; then
    echo "ngspice_networks.py      ngspice is not installed"
    failed=$((failed + 1))
else
    echo "skipped ngspice_networks.py: ngspice is not installed (Debian package: ngspice)"
fi
for script in corners.py masking.py modes.py worked.py identify_exact.py contract.py; do
    one "$script"
done

echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ]
